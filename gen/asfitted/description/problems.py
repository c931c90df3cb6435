"""What is wrong with a file, at its line and column; the sentences are in the catalogue `problems`."""

import difflib
import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from asfitted import words
from asfitted.description.excerpt import cleaned, excerpt
from asfitted.description.marks import Mark

WIDTH = 100
LONGEST = 60
_FROM_THE_FILE = (
    "word",
    "text",
    "earlier",
    "found",
    "id",
    "key",
    "field",
    "path",
    "load",
    "kind",
    "port",
    "unit",
)
_NO_BREAK = "\u00a0"
_COLUMN = re.compile(r"\s+\S.*?\s{2,}")
_SPACE_INSIDE = re.compile(r"(?<=[^,\s]) (?=\S)")
_SPACE_QUOTED = re.compile(r" (?=[^“”]{0,30}”)")


@dataclass(frozen=True)
class Problem:
    """A fault of the description: `code` is a key of `problems.codes`, `fields` fill its sentences."""

    code: str
    mark: Mark
    fields: dict[str, object] = field(default_factory=dict)

    def sentence(self, part: str) -> str:
        """Return one part of the message: what is wrong (`message`), why it matters (`why`), what is right
        (`right`).
        """
        catalogue = words.catalogue("problems")
        entry = catalogue["codes"][self.code]
        fields = {name: _said(name, value, catalogue["quantities"]) for name, value in self.fields.items()}
        return str(entry[part]).format(**fields).strip() if part in entry else ""


def _said(name: str, value: object, quantities: dict[str, str]) -> object:
    """Return a field as it is printed: quantities by their name, a text of the file cut to fit."""
    if name in ("dimension", "other"):
        return quantities.get(str(value), value)
    if name in _FROM_THE_FILE and len(str(value)) > LONGEST:
        return str(value)[: LONGEST - 1] + "…"
    return value


def nearest(word: str, known: Iterable[str]) -> str:
    """Return a known word that was probably meant, or an empty text."""
    return _nearest(word.lower(), tuple(known))


@lru_cache(maxsize=4096)
def _nearest(word: str, known: tuple[str, ...]) -> str:
    lowered = {candidate.lower(): candidate for candidate in known}
    match = difflib.get_close_matches(word, lowered, n=1, cutoff=0.6)
    return lowered[match[0]] if match else ""


def meant(word: str, known: Iterable[str], listing: int = 12) -> str:
    """Return the advice for an unknown word: the nearest known one, else the list of what is allowed."""
    known = list(known)
    near = nearest(word, known)
    if near:
        return words.text("problems", "meant.near", near=near)
    if not known:
        return words.text("problems", "meant.none")
    more = (
        " " + words.text("problems", "meant.more", count=len(known) - listing) if len(known) > listing else ""
    )
    return words.text("problems", "meant.list", names=", ".join(known[:listing])) + more


def either(parts: Sequence[str]) -> str:
    """Return the alternatives in one row: `a, b or c`."""
    last = f" {words.text('problems', 'or')} ".join(parts[-2:])
    return ", ".join([*parts[:-2], last])


def sorted_problems(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems in the order of the file."""
    return sorted(problems, key=lambda problem: (problem.mark, problem.code))


def to_dict(problem: Problem, path: Path | str = "") -> dict[str, object]:
    """Return a problem as data for editors and other programs; line and column count from 1."""
    return {
        "file": str(path),
        "code": problem.code,
        "line": problem.mark.line,
        "column": problem.mark.column,
        "message": cleaned(problem.sentence("message")),
        "why": cleaned(problem.sentence("why")),
        "right": cleaned(problem.sentence("right"), keep_lines=True),
    }


def render(problem: Problem, path: Path | str, text: str) -> str:
    """Return a problem for the terminal: place and message, the line with a caret, why it matters, what would
    be right.
    """
    said = to_dict(problem)
    error = words.text("problems", "labels.error")
    lines = [f"{path}:{problem.mark}: {error}: {said['message']}", *excerpt(text, problem.mark)]
    for part in ("why", "right"):
        label = words.text("problems", f"labels.{part}")
        lines += _paragraphs(label, str(said[part]))
    return "\n".join(lines)


def render_all(problems: Iterable[Problem], path: Path | str, text: str) -> str:
    """Return all problems in the order of the file, then how many there are."""
    ordered = sorted_problems(problems)
    counted = words.text("problems", "count.one" if len(ordered) == 1 else "count.many", count=len(ordered))
    return "\n\n".join([*(render(problem, path, text) for problem in ordered), counted])


def _paragraphs(label: str, text: str) -> list[str]:
    """Return `label: text` folded to the width; further lines stand under the first word of the text.

    A row of a table (two spaces and more between its columns) goes on under its second column. What stands in
    quotation marks and the entries of a table are not broken.
    """
    lead = f"{label:>7}: "
    lines: list[str] = []
    for paragraph in text.splitlines():
        column = _COLUMN.match(paragraph)
        unbroken = _SPACE_INSIDE if column else _SPACE_QUOTED
        folded = textwrap.wrap(
            unbroken.sub(_NO_BREAK, paragraph),
            WIDTH,
            initial_indent=lead if not lines else " " * len(lead),
            subsequent_indent=" " * (len(lead) + (column.end() if column else 0)),
            break_on_hyphens=False,
            replace_whitespace=False,
        )
        lines += [line.replace(_NO_BREAK, " ") for line in folded]
    return lines
