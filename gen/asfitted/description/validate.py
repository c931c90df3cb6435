"""The long form against its schema; pydantic's errors become problems at their places, in words of the trade."""

from typing import Any

from pydantic import BaseModel, ValidationError

from asfitted.description.kinds import KINDS
from asfitted.description.problems import Problem, meant
from asfitted.description.reader import Mapping, locate, plain
from asfitted.description.schema import FORMAT, Description


def validate(tree: Mapping) -> tuple[Description | None, list[Problem]]:
    """Return the typed description of a long-form tree, or None, and every problem of the schema."""
    version = tree.get("asfitted")
    if version is not None and plain(version) != str(FORMAT):
        fields: dict[str, object] = {"found": plain(version), "known": FORMAT}
        return None, [Problem("format version", version.mark, fields)]
    try:
        return Description.model_validate(plain(tree)), []
    except ValidationError as error:
        return None, _problems(tree, error)


def _problems(tree: Mapping, error: ValidationError) -> list[Problem]:
    problems = []
    for item in error.errors(include_url=False):
        loc = item["loc"]
        context: dict[str, Any] = item.get("ctx") or {}
        where = ".".join(str(part) for part in loc if part not in KINDS)
        name = str(loc[-1]) if loc else ""
        kind = item["type"]
        found = str(item["input"])
        mark = locate(tree, loc)
        if kind == "asfitted":
            problem = Problem(context["code"], mark, {"where": where, **context["fields"]})
        elif kind == "extra_forbidden":
            advice = meant(name, _fields_at(tree, loc[:-1]), 40)
            problem = Problem(
                "unknown field",
                locate(tree, loc, of_key=True),
                {"field": name, "where": _place(loc[:-1]), "meant": advice},
            )
        elif kind == "missing":
            place = locate(tree, loc[:-1], of_key=True)
            problem = Problem("missing field", place, {"field": name, "where": _place(loc[:-1])})
        elif kind == "literal_error":
            allowed = [word.strip("'") for word in context["expected"].replace(" or ", ", ").split(", ")]
            if name == "[key]":
                mark = locate(tree, loc[:-1], of_key=True)
            problem = Problem("not one of", mark, {"where": where, "found": found, "meant": meant(found, allowed, 40)})
        elif kind == "union_tag_invalid":
            problem = Problem(
                "unknown kind", locate(tree, (*loc, "kind")), {"word": context["tag"], "meant": meant(context["tag"], KINDS)}
            )
        elif kind == "union_tag_not_found":
            problem = Problem("no kind", locate(tree, loc, of_key=True), {"id": name, "meant": meant("", KINDS)})
        elif kind in ("dict_type", "model_type", "model_attributes_type", "list_type"):
            wanted = "list expected" if kind == "list_type" else "mapping expected"
            problem = Problem(wanted, mark, {"where": where, "found": type(item["input"]).__name__})
        else:
            problem = Problem("not understood", mark, {"where": where, "found": found[:60], "reason": item["msg"]})
        problems.append(problem)
    return problems


def _place(loc: tuple[int | str, ...]) -> str:
    return ".".join(str(part) for part in loc if part not in KINDS) or "the description"


def _fields_at(tree: Mapping, loc: tuple[int | str, ...]) -> list[str]:
    """Return the names of the fields allowed at `loc`, by walking the models along it."""
    model: Any = Description
    for part in loc:
        if isinstance(part, str) and part in KINDS:
            model = KINDS[part]
            continue
        model = _step_into(model, part)
    if isinstance(model, type) and issubclass(model, BaseModel):
        return [info.alias or name for name, info in model.model_fields.items() if name not in ("kind",)]
    return []


def _step_into(annotation: Any, part: int | str) -> Any:
    """Return the annotation one step along: a field of a model, a value of a mapping, an item of a list."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        for name, info in annotation.model_fields.items():
            if part in (name, info.alias):
                return _model_in(info.annotation)
        return None
    return annotation


def _model_in(annotation: Any) -> Any:
    """Return the model inside an annotation such as `dict[str, Board]` or `NeutralBond | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        found = _model_in(argument)
        if found is not None:
            return found
    return None
