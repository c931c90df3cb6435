"""One text of the file: runs of white space made one space, and the place of each character."""

import re
from collections.abc import Iterator

import yaml

from asfitted.description.marks import Mark
from asfitted.description.tree import Scalar

_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
_SINGLE = re.compile("''")
_DOUBLE = re.compile(r"\\(?:x[0-9A-Fa-f]{2}|u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|(?:\r\n|[\n\r])[ \t]*|[\s\S])")
_ESCAPES = {
    "n": "\n", "t": "\t", "e": "\x1b", "0": "\0", "a": "\a", "b": "\b", "v": "\v", "f": "\f", "r": "\r",
    "N": "\x85", "_": "\xa0", "L": "\u2028", "P": "\u2029",
}  # fmt: skip


def read_scalar(node: yaml.ScalarNode, source: str) -> Scalar:
    """Return the text of a node of `source` with the places of its characters."""
    start, end = node.start_mark, node.end_mark
    mark = Mark(start.line + 1, start.column + 1)
    text = " ".join(node.value.split())
    raw = source[start.index : end.index]
    if raw == text or not text:
        return Scalar(text, mark)
    characters = list(_squeezed(_characters(raw, node.style, mark)))
    places = tuple(place for _, place in characters)
    if "".join(character for character, _ in characters) != text:
        return Scalar(text, mark)
    return Scalar(text, places[0], places)


def _characters(raw: str, style: str | None, mark: Mark) -> Iterator[tuple[str, Mark]]:
    """Yield each character that the raw text stands for, with its place."""
    escape = {"'": _SINGLE, '"': _DOUBLE}.get(style or "")
    position, line, column = 0, mark.line, mark.column
    end = len(raw)
    if escape is not None:
        position, column, end = 1, column + 1, end - 1
    elif style in ("|", ">"):
        position = len(raw.split("\n", 1)[0])
    while position < end:
        broken = _BREAK.match(raw, position)
        if broken:
            yield " ", Mark(line, column)
            position, line, column = broken.end(), line + 1, 1
            continue
        escaped = escape.match(raw, position) if escape is not None else None
        piece = escaped[0] if escaped else raw[position]
        meaning = _meaning(piece) if escaped else piece
        if meaning:
            yield meaning, Mark(line, column)
        position += len(piece)
        if escaped and piece[1] in "\r\n":
            line, column = line + 1, 1 + len(piece.strip("\\\r\n"))
        else:
            column += len(piece)


def _meaning(piece: str) -> str:
    """Return the character that an escape stands for; an escaped line break stands for nothing."""
    if piece == "''":
        return "'"
    letter = piece[1]
    if letter in "xuU" and len(piece) > 2:
        return chr(int(piece[2:], 16))
    if letter in "\r\n":
        return ""
    return _ESCAPES.get(letter, letter)


def _squeezed(characters: Iterator[tuple[str, Mark]]) -> Iterator[tuple[str, Mark]]:
    """Yield the characters with each run of white space as one space, none at the ends."""
    space: Mark | None = None
    begun = False
    for character, place in characters:
        if character.isspace():
            space = space or place
            continue
        if space is not None and begun:
            yield " ", space
        space, begun = None, True
        yield character, place
