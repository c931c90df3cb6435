"""Where a person has slipped when a text is no YAML: the parser notices it later, on another line.

Each cause is looked for around the place that the parser names; the first that fits is the one to mend.
"""

import re
from typing import Any

import yaml

from asfitted.description.excerpt import source_lines
from asfitted.description.kind_names import kinds_meant
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_NAME = r"[A-Za-z0-9][\w .,°²/()+-]*?"
_NO_SPACE = re.compile(rf"^\s*(?:- +)?({_NAME})(:)(?=[^\s:/])")
_ENTRY = re.compile(rf"^\s*(?:- +)?{_NAME}:(?:\s|$)")
_VALUE = re.compile(rf"^\s*(?:- +)?{_NAME}: +[^\s#\[{{|>]")
_BRACKET = re.compile(r"^\s*(?:- +)?([A-Za-z][\w ]*?)( +)[\[{]")
_DASH = re.compile(r"^\s*(-)(?=[^\s-])")


def cause(text: str, noticed: Mark, began: Mark, code: str) -> Problem | None:
    """Return the problem of the slip that made the parser stop at `noticed`, or None if none is recognised.

    `began` is where that began which the parser was reading; `code` is what it says itself.
    """
    lines = _Lines(source_lines(text))
    lost = _lost_mark(text, noticed)
    if lost is not None:
        return Problem("quote not closed", lost)
    if code == "row without dash" and (dash := _DASH.match(lines[noticed.line])):
        return Problem("dash without space", Mark(noticed.line, dash.start(1) + 1))
    suspects = dict.fromkeys((began.line, lines.before(noticed.line), noticed.line))
    for number in suspects if code != "indentation" else ():
        found = _colon(lines, number, noticed)
        if found is not None and (code != "bracket not closed" or number == noticed.line):
            return found
    above = lines.before(noticed.line)
    stands_out = lines.indent(above) != lines.indent(noticed.line)
    if stands_out and (
        code in ("indentation", "row without dash")
        or (code == "second colon" and _hangs(lines, noticed.line))
    ):
        return _indentation(lines, noticed.line)
    if code == "bracket not closed" and began.line < noticed.line:
        return Problem(code, Mark(above, len(lines[above].rstrip()) + 1), {"first": str(began)})
    return None


class _Lines:
    """The lines of a text by their numbers, which count from 1."""

    def __init__(self, lines: list[str]) -> None:
        self._lines = lines

    def __getitem__(self, number: int) -> str:
        return self._lines[number - 1] if 0 < number <= len(self._lines) else ""

    def said(self, number: int) -> bool:
        """Tell whether a line says anything."""
        return bool(self[number].strip()) and not self[number].lstrip().startswith("#")

    def indent(self, number: int) -> int:
        """Return how many spaces a line begins with."""
        return len(self[number]) - len(self[number].lstrip(" "))

    def before(self, number: int) -> int:
        """Return the number of the last line above that says something, 0 if none does."""
        return next((n for n in range(number - 1, 0, -1) if self.said(n)), 0)

    def neighbours(self, number: int, step: int) -> list[int]:
        """Return the lines above (-1) or below (1) that begin in the column of a line, up to one further left."""
        found: list[int] = []
        n = number
        while 0 < n <= len(self._lines):
            if self.said(n):
                if self.indent(n) < self.indent(number):
                    break
                if self.indent(n) == self.indent(number):
                    found.append(n)
            n += step
        return found


def _lost_mark(text: str, noticed: Mark) -> Mark | None:
    """Return where a text in quotation marks begins that has swallowed entries and ends just where the parser
    stopped.
    """
    last: Any = None
    try:
        for token in yaml.scan(text, Loader=_LOADER):
            is_quoted = isinstance(token, yaml.ScalarToken) and token.style in ("'", '"')
            if is_quoted and token.start_mark.line < token.end_mark.line:
                last = token
            if token.start_mark.line + 1 > noticed.line:
                break
    except yaml.MarkedYAMLError:
        pass
    if last is None or last.end_mark.line + 1 != noticed.line:
        return None
    swallowed = source_lines(text)[last.start_mark.line + 1 : last.end_mark.line + 1]
    if not any(_ENTRY.match(line) for line in swallowed):
        return None
    return Mark(last.start_mark.line + 1, last.start_mark.column + 1)


def _colon(lines: _Lines, number: int, noticed: Mark) -> Problem | None:
    """A name without its colon, or a colon without its space."""
    line = lines[number]
    if not lines.said(number) or _ENTRY.match(line):
        return None
    start = Mark(number, lines.indent(number) + 1)
    no_space = _NO_SPACE.match(line)
    if no_space:
        name = no_space[1]
        right = f"{name}: {line[no_space.end() :].strip()}"
        fields: dict[str, object] = {"text": f"{name}:{line[no_space.end() :].strip()}", "right": right}
        return Problem("colon without space", Mark(number, no_space.start(2) + 1), fields)
    bracket = _BRACKET.match(line)
    if bracket:
        return Problem("colon missing", Mark(number, bracket.start(2) + 1), {"right": f"{bracket[1]}: …"})
    if number < noticed.line and lines.indent(number) < lines.indent(noticed.line):
        return Problem("colon missing", start, {"right": f"{line.strip()}:"}) if _is_name(line) else None
    words = line.strip().split()
    divided = next((n for n in range(1, len(words)) if kinds_meant(" ".join(words[n:]))), 1)
    right = f"{' '.join(words[:divided])}: {' '.join(words[divided:]) or '…'}"
    return None if words[0] == "-" else Problem("colon missing", start, {"right": right})


def _is_name(line: str) -> bool:
    return re.fullmatch(r"\s*[A-Za-z][\w ]*", line) is not None


def _hangs(lines: _Lines, number: int) -> bool:
    """Tell whether a line is indented under an entry that has its value already."""
    above = lines.before(number)
    return bool(_VALUE.match(lines[above])) and lines.indent(number) > lines.indent(above)


def _indentation(lines: _Lines, number: int) -> Problem:
    """A line that begins in a column of its own: this one, or those before it if they are the fewer."""
    above = lines.before(number)
    culprit, right = number, lines.indent(above)
    if lines.indent(number) > lines.indent(above):
        if lines.indent(lines.before(above)) == lines.indent(number):
            culprit, right = above, lines.indent(number)
    elif lines.indent(number) < lines.indent(above):
        before, after = lines.neighbours(above, -1), lines.neighbours(number, 1)
        if len(before) < len(after):
            culprit, right = before[-1], lines.indent(number)
    column = lines.indent(culprit) + 1
    return Problem("indentation", Mark(culprit, column), {"column": column, "right": right + 1})
