"""Errors of pydantic as problems of the description: at their place, in words of the trade."""

from collections.abc import Collection
from typing import Any

from pydantic.fields import FieldInfo

from asfitted import words
from asfitted.description.kind_names import LISTING, meant_kind
from asfitted.description.kinds import KINDS
from asfitted.description.models import (
    Loc,
    dimension_of,
    field_at,
    field_example,
    fields_at,
    without_tag,
    words_of,
)
from asfitted.description.problems import Problem, meant
from asfitted.description.tree import Mapping, Node, Scalar, Sequence, locate
from asfitted.description.units import units_of

_CODES = {
    "dict_type": "mapping expected",
    "model_type": "mapping expected",
    "model_attributes_type": "mapping expected",
    "list_type": "list expected",
    "tuple_type": "list expected",
    "string_type": "text expected",
    "string_too_long": "text too long",
    "int_parsing": "not a whole number",
    "int_type": "not a whole number",
    "greater_than_equal": "not a whole number",
    "less_than_equal": "not a whole number",
}
_PATTERNS = {"date": "not a date", "reference": "not a reference"}


def problem_of(error: Any, tree: Mapping, spoiled: Collection[str]) -> Problem | None:
    """Return the problem that one of pydantic's errors means; None if it only follows from another problem.

    `spoiled` names equipment and cables of which a part could not be read, so that something seems to be
    missing.
    """
    loc = without_tag(error["loc"])
    of_key = bool(loc) and loc[-1] == "[key]"
    loc = loc[:-1] if of_key else loc
    mark = locate(tree, loc, of_key=of_key)
    context: dict[str, Any] = error.get("ctx") or {}
    name = str(loc[-1]) if loc else ""
    partly_read = len(loc) > 1 and str(loc[1]) in spoiled
    match error["type"]:
        case "asfitted":
            return _of_value(context, tree, loc, mark)
        case "extra_forbidden":
            return _unknown_field(tree, loc)
        case "missing":
            return None if partly_read else _missing(tree, loc)
        case "literal_error":
            allowed = [word.strip("'") for word in context["expected"].replace(" or ", ", ").split(", ")]
            return _not_one_of(mark, place_words(loc), str(error["input"]), allowed)
        case "union_tag_invalid":
            tag = str(context["tag"])
            fields: dict[str, object] = {"word": tag, "meant": meant_kind(tag)}
            return Problem("unknown kind", locate(tree, (*loc, "kind")), fields)
        case "union_tag_not_found":
            fields = {"id": name, "meant": meant("", KINDS, LISTING)}
            return None if partly_read else Problem("no kind", locate(tree, loc, of_key=True), fields)
    node = _node(tree, loc)
    fields = {
        "where": place_words(loc),
        "found": str(error["input"]),
        "limit": context.get("max_length", ""),
        "example": _entry_example(loc),
    }
    return Problem(_code(error["type"], name, node), mark, fields)


def place_words(loc: Loc) -> str:
    """Return a place in words: “kind” of “neutral bond” of “inverter”; the section it lies in is left out."""
    parts = loc[1:] if len(loc) > 1 else loc
    parts = tuple(part for part in parts[:-1] if part not in ("loads", "at")) + parts[-1:]
    said = words.text("problems", "place.whole") if not parts else ""
    for part in parts:
        if isinstance(part, int):
            outer = said or words.text("problems", "place.name", inner=loc[0])
            said = words.text("problems", "place.row", number=part + 1, outer=outer)
        elif said:
            said = words.text("problems", "place.of", inner=part, outer=said)
        else:
            said = words.text("problems", "place.name", inner=part)
    return said


def _of_value(context: dict[str, Any], tree: Mapping, loc: Loc, mark: Any) -> Problem:
    """Return the problem of a value that our own types refuse, at the place inside its text."""
    fields = dict(context["fields"])
    offset = fields.pop("offset", 0)
    node = _node(tree, loc)
    if isinstance(node, Scalar):
        mark = node.at(offset)
    if context["code"] == "not one of":
        return _not_one_of(mark, place_words(loc), fields["found"], fields["allowed"])
    return Problem(context["code"], mark, {"where": place_words(loc), **fields})


def _not_one_of(mark: Any, where: str, found: str, allowed: Collection[str]) -> Problem:
    return Problem(
        "not one of", mark, {"where": where, "found": found, "meant": meant(found, allowed, LISTING)}
    )


def _unknown_field(tree: Mapping, loc: Loc) -> Problem:
    name = str(loc[-1])
    advice = meant(name, fields_at(loc[:-1], _kind(tree, loc)), LISTING)
    fields: dict[str, object] = {"field": name, "where": place_words(loc[:-1]), "meant": advice}
    return Problem("unknown field", locate(tree, loc, of_key=True), fields)


def _missing(tree: Mapping, loc: Loc) -> Problem:
    name = str(loc[-1])
    info = field_at(loc[:-1], name, _kind(tree, loc))
    advice = _advice(str(loc[0]), name, info) if info is not None else ""
    fields: dict[str, object] = {"field": name, "where": place_words(loc[:-1]), "advice": advice}
    return Problem("missing field", locate(tree, loc[:-1], of_key=True), fields)


def _advice(section: str, name: str, info: FieldInfo) -> str:
    """Return how a missing field is given. No figure that could be taken for the right one: it is to be looked
    up.
    """
    allowed, dimension = words_of(info.annotation), dimension_of(info)
    units = units_of(dimension) if dimension else ""
    if section == "cables" and name in ("length", "size"):
        return words.text("problems", f"missing.{name}", units=units)
    if dimension:
        key = "missing.plate" if section == "equipment" else "missing.quantity"
        return words.text("problems", key, field=name, units=units)
    example = field_example(info)
    if allowed and " | " in example:
        return words.text("problems", "missing.words", field=name, words=", ".join(allowed))
    return words.text("problems", "missing.example", field=name, example=f"{name}: {example}")


def _kind(tree: Mapping, loc: Loc) -> str:
    """Return the kind of the equipment in which a place lies."""
    node = _node(tree, (*loc[:2], "kind")) if loc[0] == "equipment" else None
    return node.text if isinstance(node, Scalar) else ""


def _node(tree: Node, loc: Loc) -> Node | None:
    node: Node | None = tree
    for part in loc:
        if isinstance(node, Mapping):
            node = node.get(str(part))
        elif isinstance(node, Sequence) and isinstance(part, int) and part < len(node.items):
            node = node.items[part]
        else:
            return None
    return node


def _code(type_: str, name: str, node: Node | None) -> str:
    if type_ in ("too_short", "too_long"):
        return "two ends" if isinstance(node, Sequence) else "nothing in it"
    if type_ == "string_pattern_mismatch":
        return _PATTERNS.get(name, "not understood")
    return _CODES.get(type_, "not understood")


def _entry_example(loc: Loc) -> str:
    """Return an example of an entry of a section that must not be empty."""
    examples: dict[Any, str] = words.catalogue("problems")["entries"]
    return examples.get(loc[-1] if loc else "", "…")
