"""Walking the models of the long form: which fields and which example belong to a place of a description."""

from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from asfitted.description.kinds import KINDS, field_names
from asfitted.description.schema import Description
from asfitted.description.values import Of

Loc = tuple[int | str, ...]


def without_tag(loc: Loc) -> Loc:
    """Return a pydantic `loc` without the kind that it names after the id of a piece of equipment."""
    if len(loc) > 2 and loc[0] == "equipment" and loc[2] in KINDS:
        return (*loc[:2], *loc[3:])
    return loc


def model_at(loc: Loc, kind: str = "") -> Any:
    """Return the model or annotation at a place of the description; `kind` is that of the equipment it lies
    in.
    """
    annotation: Any = Description
    for number, part in enumerate(loc):
        is_equipment = loc[0] == "equipment" and number == 1
        annotation = KINDS.get(kind) if is_equipment else _inside(annotation, part)
    return _unwrapped(annotation)


def fields_at(loc: Loc, kind: str = "") -> list[str]:
    """Return the names of the fields that are possible at a place."""
    model = model_at(loc, kind)
    return field_names(model) if isinstance(model, type) and issubclass(model, BaseModel) else []


def field_at(loc: Loc, name: str, kind: str = "") -> FieldInfo | None:
    """Return the field `name` of a place, as the user writes it."""
    for own_name, info in getattr(model_at(loc, kind), "model_fields", {}).items():
        if name in (own_name, info.alias):
            return info  # type: ignore[no-any-return]
    return None


def dimension_of(info: FieldInfo) -> str:
    """Return the dimension of a field that holds one quantity; empty for any other field."""
    return next((found.dimension for found in _metadata(info) if isinstance(found, Of)), "")


def field_example(info: FieldInfo) -> str:
    """Return an example of a field, or all words that are possible for it."""
    for metadata in _metadata(info):
        schema = getattr(metadata, "json_schema", None) or {}
        if schema.get("examples"):
            return str(schema["examples"][0])
    if info.examples:
        return str(info.examples[0])
    allowed = words_of(info.annotation)
    if allowed:
        return " | ".join(allowed)
    inner = _unwrapped(info.annotation)
    if isinstance(inner, type) and issubclass(inner, BaseModel):
        parts = (
            f"{part.alias or name}: {field_example(part)}"
            for name, part in inner.model_fields.items()
            if part.is_required()
        )
        return "{" + ", ".join(parts) + "}"
    return "…"


def words_of(annotation: Any) -> tuple[str, ...]:
    """Return the words of a closed row such as `Literal["I", "II"] | None`; empty for anything else."""
    if str(get_origin(annotation)) == "typing.Literal":
        return tuple(str(word) for word in get_args(annotation))
    if get_origin(annotation) in (dict, list, tuple):
        return ()
    return next((words for argument in get_args(annotation) if (words := words_of(argument))), ())


def _metadata(info: FieldInfo) -> list[Any]:
    """Return what is annotated on a field, also inside `Annotated[...] | None`."""
    found = list(info.metadata)
    for argument in get_args(info.annotation):
        found += getattr(argument, "__metadata__", ())
    return found


def _inside(annotation: Any, part: int | str) -> Any:
    """Return the annotation one step further in: a field of a model, a value of entries, an item of a row."""
    annotation = _unwrapped(annotation)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        for name, info in annotation.model_fields.items():
            if part in (name, info.alias):
                return info.annotation
        return None
    return get_args(annotation)[-1] if get_origin(annotation) in (dict, list) else None


def _unwrapped(annotation: Any) -> Any:
    """Return what `X | None` and `Annotated[X, …]` hold, where that is a model, entries or a row."""
    if get_origin(annotation) in (dict, list) or isinstance(annotation, type):
        return annotation
    for argument in get_args(annotation):
        inner = _unwrapped(argument)
        if inner is not None and inner is not type(None):
            return inner
    return None
