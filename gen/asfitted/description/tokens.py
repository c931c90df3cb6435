"""Tokens of a short form: `RCBO C16 2P 30 mA type A 6 kA` read in any order, each at its column.

A grammar is a tuple of tokens; each names the regular expression of the words and the long-form fields they stand for.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from asfitted.description.units import NUMBER, unit_pattern


@dataclass(frozen=True)
class Token:
    """One kind of word: `pattern` with named groups, `fields` a template per long-form field, `example` for messages."""

    pattern: str
    fields: tuple[tuple[str, str], ...]
    example: str


@dataclass(frozen=True)
class Read:
    """A token found: the fields it stands for and where it starts in the text."""

    fields: tuple[tuple[str, str], ...]
    offset: int
    text: str


@dataclass(frozen=True)
class Unread:
    """A stretch of text that is no token: an error at its column."""

    text: str
    offset: int


def quantity_token(field: str, dimension: str, example: str, units: str | None = None, after: str = "") -> Token:
    """Return the token of one quantity; `units` narrows the units (mA, A and kA mean different fields of an RCBO)."""
    unit = units or unit_pattern(dimension)
    return Token(rf"(?P<q>{NUMBER}\s?(?:{unit})){after}", ((field, "{q}"),), example)


def word_token(field: str, words: Sequence[str], template: str = "{w}", before: str = "") -> Token:
    """Return the token of one word out of a closed list."""
    alternatives = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
    return Token(rf"{before}(?P<w>{alternatives})", ((field, template),), before + words[0])


def read(text: str, grammar: Sequence[Token]) -> list[Read | Unread]:
    """Read `text` as tokens of `grammar`, the longest that fits first; what fits none is returned as Unread, word by word."""
    compiled = [(token, re.compile(token.pattern + r"(?=\s|$|,)")) for token in grammar]
    found: list[Read | Unread] = []
    offset = 0
    while offset < len(text):
        if text[offset] in " \t,":
            offset += 1
            continue
        matches = [(m.end() - offset, token, m) for token, regex in compiled if (m := regex.match(text, offset))]
        if matches:
            length, token, match = max(matches, key=lambda item: item[0])
            values = {name: value.strip() for name, value in match.groupdict().items() if value is not None}
            fields = tuple((field, template.format(**values)) for field, template in token.fields)
            found.append(Read(fields, offset, match[0]))
        else:
            stretch = re.compile(r"[+-]?\d[\d.,]*\s?[^\s\d,]+|[^\s,]+").match(text, offset)
            length = len(stretch[0]) if stretch else 1
            found.append(Unread(text[offset : offset + length], offset))
        offset += length
    return found
