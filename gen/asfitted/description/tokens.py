"""Tokens of a short form: `RCBO C16 2P 30 mA type A 6 kA` read in any order, each at its column.

A grammar is a row of tokens; each names the regular expression of the words and the long-form fields they
stand for.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from asfitted.description.units import MINUS, NUMBER, unit_pattern


@dataclass(frozen=True)
class Token:
    """One kind of word: `pattern` with named groups, `fields` a template per long-form field, `example` for
    messages.

    `words` are all that can be written where that is a short row, else examples of it.
    """

    pattern: str
    fields: tuple[tuple[str, str], ...]
    example: str
    words: tuple[str, ...] = ()

    @cached_property
    def regex(self) -> re.Pattern[str]:
        """The pattern, ended by white space, a comma or the end of the text; never by a decimal comma."""
        return re.compile(self.pattern + r"(?=\s|$|,)(?!(?<=\d),\d+(?!\w))")

    @property
    def shown(self) -> tuple[str, ...]:
        """What a message shows for it."""
        return self.words or (self.example,)


@dataclass(frozen=True)
class Given:
    """A long-form field that a token gives: its name, its text, and where this starts in the text read."""

    field: str
    value: str
    offset: int


@dataclass(frozen=True)
class Read:
    """A token found: what it gives, and its own text."""

    given: tuple[Given, ...]
    offset: int
    text: str


@dataclass(frozen=True)
class Unread:
    """A stretch of text that is no token: an error at its column."""

    text: str
    offset: int


DECIMAL_COMMA = re.compile(r"(?:[+-]|\d[GX]|[BCD])?\d+,\d")
_BARE_NUMBER = re.compile(r"([+-]?\d[\d.]*)\s+")
_STRETCH = re.compile(
    r"(?:\d[GX]|[BCD])\d+,\d+(?:\s?mm[²2])?|[+-]?\d[\d.,]*\s?[^\s\d,+-][^\s,]*|[+-]?\d+,\d+|[^\s,]+"
)


def quantity_token(
    field: str, dimension: str, example: str, units: str | None = None, after: str = ""
) -> Token:
    """Return the token of one quantity; `units` narrows the units (mA, A and kA mean different fields of an
    RCBO).
    """
    unit = units or unit_pattern(dimension)
    return Token(rf"(?P<q>{NUMBER}\s?(?:{unit})){after}", ((field, "{q}"),), example)


def word_token(field: str, words: Sequence[str], template: str = "{w}", before: str = "") -> Token:
    """Return the token of one word out of a closed row."""
    alternatives = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
    shown = tuple(before + word for word in words)
    return Token(rf"{before}(?P<w>{alternatives})", ((field, template),), shown[0], shown)


def read(text: str, grammar: Sequence[Token]) -> list[Read | Unread]:
    """Read `text` as tokens of `grammar`, the longest that fits first; what fits none is Unread, word by
    word.
    """
    found: list[Read | Unread] = []
    offset = 0
    text = text.replace(MINUS, "-")
    while offset < len(text):
        if text[offset] in " \t,":
            offset += 1
            continue
        matches = [(match, token) for token in grammar if (match := token.regex.match(text, offset))]
        if matches:
            match, token = max(matches, key=lambda pair: pair[0].end())
            found.append(Read(tuple(_given(match, *each) for each in token.fields), offset, match[0]))
            offset = match.end()
        else:
            end = _end_of_stretch(text, offset, grammar)
            found.append(Unread(text[offset:end], offset))
            offset = end
    return _merged(found, text)


def _end_of_stretch(text: str, offset: int, grammar: Sequence[Token]) -> int:
    """Return where a stretch that is no token ends: a number takes the word after it along as its unit, unless
    this is a token itself.
    """
    number = _BARE_NUMBER.match(text, offset)
    if number and any(token.regex.match(text, number.end()) for token in grammar):
        return number.end(1)
    stretch = _STRETCH.match(text, offset)
    return stretch.end() if stretch else offset + 1


def _merged(found: list[Read | Unread], text: str) -> list[Read | Unread]:
    """Return what was read with unread words that follow one another as one stretch: they are one slip."""
    merged: list[Read | Unread] = []
    start: int | None = None
    end = 0
    for each in (*found, None):
        goes_on = isinstance(each, Unread) and start is not None and not _starts_anew(each.text)
        if start is not None and not (
            goes_on and isinstance(each, Unread) and text[end : each.offset].isspace()
        ):
            merged.append(Unread(text[start:end], start))
            start = None
        if isinstance(each, Unread):
            start = each.offset if start is None else start
            end = each.offset + len(each.text)
        elif each is not None:
            merged.append(each)
    return merged


def _starts_anew(word: str) -> bool:
    """A number with a comma is a slip of its own."""
    return DECIMAL_COMMA.match(word) is not None


def _given(match: re.Match[str], field: str, template: str) -> Given:
    groups = {name: value.strip() for name, value in match.groupdict().items() if value is not None}
    group = next((name for name in groups if f"{{{name}}}" in template), None)
    return Given(field, template.format(**groups), match.start(group) if group else match.start())
