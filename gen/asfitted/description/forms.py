"""Short forms read: the text of a piece of equipment, of a cable, of a load, as long-form fields at their
places.
"""

import re
from collections.abc import Collection, Sequence

from asfitted import words
from asfitted.description import grammars, tokens
from asfitted.description.draft import Draft, Names, split_kind
from asfitted.description.kind_names import LISTING, kinds_meant, meant_kind
from asfitted.description.kinds import KINDS, LoadItem
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, either, meant, nearest
from asfitted.description.tokens import DECIMAL_COMMA, Token, Unread
from asfitted.description.tree import Mapping, Node, Scalar
from asfitted.description.units import KNOWN_UNITS, NUMBER, point_for_comma, unit_hint

_NUMBER = re.compile(NUMBER)
_WORD = re.compile(r"\S+")
_NUMBER_AND_UNIT = re.compile(rf"({NUMBER})\s?(\S+)")


def read_tokens(
    text: Scalar, offset: int, grammar: Sequence[Token], into: Draft, subject: str, identifiers: bool = False
) -> tuple[list[Problem], list[Scalar]]:
    """Read the tokens of `text` from `offset` on into a draft.

    Returns the problems, and the identifiers found where a short form may end in one (`4 × 16 A desk`).
    """
    problems: list[Problem] = []
    found: list[Scalar] = []
    reads = tokens.read(text.text[offset:], grammar)
    said = {given.field for read in reads if not isinstance(read, Unread) for given in read.given}
    for read in reads:
        mark = text.at(offset + read.offset)
        if isinstance(read, Unread):
            if identifiers and read.text[0].isalpha():
                found += [
                    Scalar(m[0], text.at(offset + read.offset + m.start())) for m in _WORD.finditer(read.text)
                ]
            else:
                problems.append(unknown_token(read.text, mark, grammar, subject, said))
            continue
        for given in read.given:
            earlier = into.fields.get(given.field)
            if earlier is None:
                into.put(given.field, Scalar(given.value, text.at(offset + given.offset)))
                continue
            before = earlier[1].text if isinstance(earlier[1], Scalar) else "…"
            fields: dict[str, object] = {"field": given.field, "text": given.value, "earlier": before}
            code = "length said twice" if given.field == "length" else "said twice"
            problems.append(Problem(code, mark, fields))
    return problems, found


def unknown_token(
    word: str, mark: Mark, grammar: Sequence[Token], subject: str, said: Collection[str] = ()
) -> Problem:
    """Return the problem of a word that means nothing here, with what would; `said` are the fields that its
    neighbours give.
    """
    if DECIMAL_COMMA.match(word):
        return Problem("decimal comma", mark, {"text": word, "right": point_for_comma(word)})
    shown = [text for token in grammar for text in token.shown]
    quantity = _NUMBER_AND_UNIT.fullmatch(word)
    units = _units(grammar)
    fields: dict[str, object]
    if _NUMBER.fullmatch(word) and units:
        missing = _units([token for token in grammar if token.fields[0][0] not in said]) or units
        return Problem("missing unit", mark, _without_unit(word, missing))
    if quantity and units and quantity[2].isalpha() and quantity[2] not in KNOWN_UNITS:
        hint = unit_hint(quantity[1], quantity[2], tuple(units))
        fields = {"text": word, "unit": quantity[2], "units": ", ".join(units), "hint": hint}
        return Problem("unknown unit", mark, fields)
    near = nearest(word, shown) if not word[0].isdigit() else ""
    advice = words.text("problems", "meant.near", near=near) if near else _all_words(grammar)
    return Problem("unknown token", mark, {"word": word, "subject": subject, "meant": advice})


def _units(grammar: Sequence[Token]) -> dict[str, str]:
    """Return the units in the examples of a grammar, each with the field that it first stands for."""
    found: dict[str, str] = {}
    for token in grammar:
        for match in map(_NUMBER_AND_UNIT.fullmatch, token.shown):
            if match and match[2] in KNOWN_UNITS:
                for unit in ("W", "kW") if match[2] == "kW" else (match[2],):
                    found.setdefault(unit, token.fields[0][0])
    return found


def _without_unit(number: str, units: dict[str, str]) -> dict[str, object]:
    """Return the fields of the problem of a number without unit: what it would be with each that is missing."""
    first = {field: unit for unit, field in reversed(units.items())}
    right = [f"{number} {unit} ({field})" for field, unit in reversed(first.items())]
    return {"text": number, "right": either(right[:3]), "units": ", ".join(units)}


def _all_words(grammar: Sequence[Token]) -> str:
    """Return what can be written, one line for each thing that can be said."""
    rows: dict[str, list[str]] = {}
    for token in grammar:
        rows.setdefault(token.fields[0][0], []).extend(token.shown)
    width = max((len(name) for name in rows), default=0)
    lines = [f"  {name:<{width}}  {', '.join(shown)}" for name, shown in rows.items()]
    return words.text("problems", "meant.rows", rows="\n".join(lines)) if lines else ""


def equipment(id_: Scalar, node: Node, names: Names) -> tuple[Draft, list[Problem]]:
    """Return the draft of a piece of equipment from any of its forms: text, entries with a kind as key, long
    form.
    """
    draft = Draft(id_)
    if isinstance(node, Scalar) and not node.text:
        return draft, [Problem("empty value", id_.mark, {"key": id_.text})]
    if isinstance(node, Scalar):
        return draft, _kind_and_tokens(node, node, draft, names)
    if not isinstance(node, Mapping):
        return draft, [Problem("mapping expected", node.mark, {"where": f"“{id_.text}”"})]
    if node.key("kind") is not None:
        for key, value in node.entries:
            draft.put(key.text, _whole(key, value), key)
        return draft, loads(draft)
    head = next(((k, v) for k, v in node.entries if split_kind(k.text)[0]), None)
    if head is None:
        return draft, [_no_kind(id_, node)]
    for key, value in node.entries:
        if key is not head[0]:
            draft.put(key.text, _whole(key, value), key)
    return draft, [*_kind_and_tokens(head[0], head[1], draft, names), *loads(draft)]


def _whole(key: Scalar, value: Node) -> Node:
    """Return a group of which only the kind is said, `neutral bond: none`, as the group; else the value."""
    if key.text == "neutral bond" and isinstance(value, Scalar):
        return Mapping(((Scalar("kind", value.mark), value),), value.mark)
    return value


def _no_kind(id_: Scalar, node: Mapping) -> Problem:
    """Return the problem of entries among which there is no kind: a kind misspelt, or none at all."""
    for key, _ in node.entries[:1]:
        if kinds_meant(key.text):
            return unknown_kind(key)
    said = next((v.text for _, v in node.entries if isinstance(v, Scalar) and v.text in KINDS), "")
    advice = words.text("problems", "meant.near", near=f"kind: {said}") if said else meant("", KINDS, LISTING)
    return Problem("no kind", id_.mark, {"id": id_.text, "meant": advice})


def unknown_kind(text: Scalar) -> Problem:
    """Return the problem of a text that should begin with a kind of equipment."""
    word = text.text if nearest(text.text, KINDS) else text.text.split()[0]
    return Problem("unknown kind", text.mark, {"word": word, "meant": meant_kind(text.text)})


def _kind_and_tokens(key: Scalar, value: Node, draft: Draft, names: Names) -> list[Problem]:
    """Read `fuse blade` + `7.5 A 32 V dc` (or one text that holds both) into the draft."""
    kind, rest, offset = split_kind(key.text)
    if not kind:
        return [unknown_kind(key)]
    draft.put("kind", Scalar(kind, key.mark))
    grammar = grammars.equipment(KINDS[kind], names)
    problems: list[Problem] = []
    if rest:
        problems += read_tokens(key, offset, grammar, draft, kind)[0]
    if value is not key:
        if isinstance(value, Scalar):
            problems += read_tokens(value, 0, grammar, draft, kind)[0]
        else:
            problems.append(Problem("text expected", value.mark, {"where": f"“{kind}”"}))
    return problems


def loads(draft: Draft) -> list[Problem]:
    """Expand the `loads:` of a draft: `kettle: 1 kW` becomes entries of its own."""
    entry = draft.fields.get("loads")
    if entry is None or not isinstance(entry[1], Mapping):
        return []
    problems: list[Problem] = []
    expanded: list[tuple[Scalar, Node]] = []
    for name, value in entry[1].entries:
        if isinstance(value, Scalar):
            item = Draft(name)
            found = read_tokens(value, 0, LoadItem.TOKENS, item, f"load “{name.text}”")[0]
            problems += found
            if not found:
                expanded.append((name, Mapping(item.node().entries, value.mark)))
        else:
            expanded.append((name, value))
    draft.put("loads", Mapping(tuple(expanded), entry[1].mark), entry[0])
    return problems


def small(key: Scalar, value: Node, grammar: Sequence[Token], subject: str) -> tuple[Node, list[Problem]]:
    """Return the long form of a bundle or a space written as one text."""
    if not isinstance(value, Scalar):
        return value, []
    draft = Draft(key)
    problems, _ = read_tokens(value, 0, grammar, draft, subject)
    return Mapping(draft.node().entries, value.mark), problems


def revision(value: Node) -> tuple[Node, list[Problem]]:
    """Return the long form of a revision written as `date, by whom, what`."""
    if not isinstance(value, Scalar):
        return value, []
    parts = re.fullmatch(r"([^,]+),\s*([^,]+),\s*(.+)", value.text)
    if parts is None:
        return Mapping((), value.mark), [Problem("revision form", value.mark, {"text": value.text})]
    fields: list[tuple[Scalar, Node]] = []
    for group, name in enumerate(("date", "by", "what"), 1):
        mark = value.at(parts.start(group))
        fields.append((Scalar(name, mark), Scalar(parts[group].strip(), mark)))
    return Mapping(tuple(fields), value.mark), []


def is_cable(text: str, names: Names) -> bool:
    """Tell a cable's text from a device's: words of a cable, and no kind's name in front."""
    if any(text == name or text.startswith(name + " ") for name in names.cable_classes):
        return True
    if split_kind(text)[0]:
        return False
    first = text.split()[0]
    if first.isalpha() and nearest(first, [word for kind in KINDS for word in (kind, kind.split()[0])]):
        return has_cable_words(first, names)
    return has_cable_words(text, names) or not text[0].isalpha()


def has_cable_words(text: str, names: Names) -> bool:
    """Tell whether any word of a text is one of a cable."""
    return any(not isinstance(read, Unread) for read in tokens.read(text, grammars.cable(names)))
