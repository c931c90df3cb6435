"""Slips that YAML reads as something else: a decimal comma, a lost quotation mark, a colon without its space.

Each becomes one problem, and the tree is mended, so that nothing else is said about what follows from it.
"""

import re
from collections.abc import Iterable

from asfitted.description.draft import IDENTIFIER, split_kind
from asfitted.description.problems import Problem
from asfitted.description.tree import Mapping, Node, Scalar
from asfitted.description.units import KNOWN_UNITS, point_for_comma

Entry = tuple[Scalar, Node]
_NUMBER_AT_END = re.compile(r"(?:^|(?<=[\s×]))[+-]?\d+$|(?<=\d[GXx])\d+$")
_FRACTION = re.compile(
    rf"\d+(?:\s?(?:{'|'.join(map(re.escape, sorted(KNOWN_UNITS, key=len, reverse=True)))})(?!\w))?"
)
#: a mark after a figure is taken for inches
_CLOSING_QUOTE = re.compile("[^\"'\\d]([\"'])$")
_COLON = re.compile(r"([A-Za-z][\w -]*):(\S.*)")


def mended_entries(entries: Iterable[Entry], flow: bool) -> tuple[list[Entry], list[Problem]]:
    """Return the entries of a mapping with its slips mended, and a problem for each; `flow` if in braces."""
    mended: list[Entry] = []
    problems: list[Problem] = []
    for key, value in entries:
        empty = isinstance(value, Scalar) and not value.text
        before = mended[-1][1] if mended and flow and empty else None
        joined = _joined(before, key) if isinstance(before, Scalar) else None
        split = (colon_without_space(key) or colon_missing(key)) if empty else None
        if joined is not None:
            problems.append(joined[1])
            mended[-1] = (mended[-1][0], joined[0])
        elif split is not None:
            problems.append(split[2])
            mended.append(split[:2])
        else:
            problems += _stray_quote(value)
            mended.append((key, value))
    return mended, problems


def mended_items(items: Iterable[Node], flow: bool) -> tuple[list[Node], list[Problem]]:
    """Return the items of a list with its decimal commas mended, and a problem for each."""
    mended: list[Node] = []
    problems: list[Problem] = []
    for item in items:
        before = mended[-1] if mended and flow else None
        last = before.entries[-1][1] if isinstance(before, Mapping) and before.entries else before
        joined = _joined(last, item) if isinstance(last, Scalar) and isinstance(item, Scalar) else None
        if joined is None:
            mended.append(item)
            continue
        problems.append(joined[1])
        if isinstance(before, Mapping):
            entries = (*before.entries[:-1], (before.entries[-1][0], joined[0]))
            mended[-1] = Mapping(entries, before.mark)
        else:
            mended[-1] = joined[0]
    return mended, problems


def colon_without_space(text: Scalar) -> tuple[Scalar, Scalar, Problem] | None:
    """Return name, value and problem of a text such as `RCBO:10 A`; None if it is none."""
    match = _COLON.fullmatch(text.text)
    if match is None:
        return None
    name, value = match.groups()
    fields: dict[str, object] = {"text": text.text, "right": f"{name}: {value}"}
    problem = Problem("colon without space", text.at(match.end(1)), fields)
    return Scalar(name, text.mark), _part(text, match.start(2), len(text.text)), problem


def colon_missing(text: Scalar) -> tuple[Scalar, Scalar, Problem] | None:
    """Return name, value and problem of a text such as `W1 5 m 2.5 mm²`, `QF1 RCBO C16` or `RCBO 10 A`."""
    kind, rest, start = split_kind(text.text)
    if not kind or not rest:
        name, _, rest = text.text.partition(" ")
        start = len(name) + 1
        if not IDENTIFIER.fullmatch(name) or not (rest[:1].isdigit() or split_kind(rest)[0]):
            return None
    name = text.text[:start].rstrip()
    problem = Problem("colon missing", text.at(len(name)), {"right": f"{name}: {rest}"})
    return Scalar(name, text.mark), _part(text, start, len(text.text)), problem


def _joined(before: Scalar, after: Scalar) -> tuple[Scalar, Problem] | None:
    """Return two texts as the one that a comma has divided, and the problem of this comma."""
    number, fraction = _NUMBER_AT_END.search(before.text), _FRACTION.match(after.text)
    if number and fraction:
        text = f"{number[0]},{fraction[0]}"
        problem = Problem(
            "decimal comma", before.at(number.start()), {"text": text, "right": point_for_comma(text)}
        )
        return _chained(before, ".", after), problem
    quote = _CLOSING_QUOTE.search(after.text)
    if quote and '"' not in after.text[:-1]:
        whole = _part(after, 0, len(after.text) - 1)
        place = after.at(len(after.text) - 1)
        fields: dict[str, object] = {"sign": quote[1], "text": f"{before.text}, {whole.text}"}
        return _chained(before, ", ", whole), Problem("quote not opened", place, fields)
    return None


def _stray_quote(value: Node) -> list[Problem]:
    """A plain text with one quotation mark, at its end, has lost the other at its beginning."""
    if not isinstance(value, Scalar) or value.places:
        return []
    quote = _CLOSING_QUOTE.search(value.text)
    if quote is None or quote[1] in value.text[:-1]:
        return []
    fields: dict[str, object] = {"sign": quote[1], "text": value.text[:-1]}
    return [Problem("quote not opened", value.at(len(value.text) - 1), fields)]


def _part(text: Scalar, start: int, end: int) -> Scalar:
    return Scalar(text.text[start:end], text.at(start), tuple(text.at(n) for n in range(start, end)))


def _chained(a: Scalar, sign: str, b: Scalar) -> Scalar:
    """Return two texts as one, each character at its own place."""
    comma = a.at(len(a.text))
    places = (
        *(a.at(n) for n in range(len(a.text))), *[comma] * len(sign), *(b.at(n) for n in range(len(b.text))),
    )  # fmt: skip
    return Scalar(a.text + sign + b.text, a.mark, places)
