"""The line of the file that a problem means, with a caret under its column, as it looks on a terminal."""

import re
import unicodedata

from asfitted.description.marks import Mark

LINE_WIDTH = 88
TAB = "    "
_REACH = 4 * LINE_WIDTH
_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")


def source_lines(text: str) -> list[str]:
    """Return the lines of a text as YAML counts them."""
    return _BREAK.split(text)


def excerpt(text: str, mark: Mark) -> list[str]:
    """Return the numbered source line and the line with the caret; nothing if the file has no such line."""
    lines = source_lines(text)
    if mark.line > len(lines) or not lines[mark.line - 1].strip():
        return []
    before, after = _window(lines[mark.line - 1], mark.column - 1)
    number = str(mark.line)
    margin = " " * len(number)
    return [f"  {number} | {before}{after}".rstrip(), f"  {margin} | {' ' * shown_width(before)}^"]


def _window(line: str, column: int) -> tuple[str, str]:
    """Return what to show before the column and from it on; a long line is cut on both sides of it."""
    # Far more than fits is never looked at: a line may be as long as the file.
    before, after = _shown(line[max(0, column - _REACH) : column]), _shown(line[column : column + _REACH])
    room = LINE_WIDTH - min(shown_width(after), LINE_WIDTH // 2)
    if shown_width(before) > room:
        before = "…" + _last(before, room - 1)
    room = LINE_WIDTH - shown_width(before)
    if shown_width(after) > room:
        after = _first(after, room - 1) + "…"
    return before, after


def _shown(text: str) -> str:
    return cleaned(text.replace("\t", TAB), keep_spaces=True)


def _first(text: str, width: int) -> str:
    """Return as much of the beginning of a text as fits into a width."""
    taken = 0
    for number, character in enumerate(text):
        taken += _cells(character)
        if taken > width:
            return text[:number]
    return text


def _last(text: str, width: int) -> str:
    """Return as much of the end of a text as fits into a width."""
    return _first(text[::-1], width)[::-1]


def shown_width(text: str) -> int:
    """Return how many cells of a terminal a text takes: wide letters two, combining marks none."""
    return sum(_cells(character) for character in text)


def _cells(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1


def cleaned(text: str, keep_lines: bool = False, keep_spaces: bool = False) -> str:
    """Return a text that is safe on a terminal: control and direction characters become a visible box."""
    kept = "\n" if keep_lines else ""
    shown = "".join(
        character
        if character in kept or unicodedata.category(character) not in ("Cc", "Cf", "Cs", "Zl", "Zp")
        else " "
        if character.isspace()
        else "\ufffd"
        for character in text
    )
    return shown if keep_spaces or keep_lines else " ".join(shown.split())
