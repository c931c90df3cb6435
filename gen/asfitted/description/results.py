"""What was measured: `results*.yaml` beside the description, read strictly and never written.

Every file beside it whose name begins with `results` counts, so that a sheet saved on a phone is laid beside the
others and never over them. A test that was done again stands in a later session; both readings stay.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError

from asfitted.description import units
from asfitted.description.kinds import field as named
from asfitted.description.marks import START, Mark
from asfitted.description.problems import Problem, meant, sorted_problems
from asfitted.description.reader import Unreadable, compose, read_file
from asfitted.description.schema import Date, Text, WholeNumber
from asfitted.description.tree import Mapping, Node, Scalar, locate, plain
from asfitted.description.values import Strict, Temperature

FORMAT = 1
Outcome = Literal["pass", "fail", "not applicable", "limitation"]
OUTCOMES: tuple[Outcome, ...] = ("pass", "fail", "not applicable", "limitation")
#: outcomes that say nothing without a reason
WITH_REASON = ("not applicable", "limitation")
_READING = re.compile(r"(?P<what>[^()]*?)\s*(?:\((?P<note>.*)\))?")
_MORE_OR_LESS = {">": ">", "over ": ">", "<": "<", "under ": "<"}


class Instrument(Strict):
    """The instrument that stands behind the readings of one kind."""

    serial: Text
    calibrated: Date
    note: Text | None = None


class SessionText(Strict):
    """One sitting of tests, as written; `readings` are read apart."""

    date: Date
    by: Text
    weather: Text
    temperature_c: Temperature = named("temperature")
    instruments: dict[str, Instrument] = Field(default_factory=dict)
    readings: Annotated[dict[str, Any], Field(min_length=1)]


class ResultsText(Strict):
    """A whole file of results."""

    results: WholeNumber
    build: Text
    revision: WholeNumber
    sessions: Annotated[list[SessionText], Field(min_length=1)]


@dataclass(frozen=True)
class Reading:
    """One entry: an outcome judged by eye, or a figure with its unit, with what was noted beside it.

    `bound` is `>` or `<` where the instrument showed no more than that.
    """

    text: str
    mark: Mark
    outcome: Outcome | None = None
    figure: str = ""
    bound: Literal["", ">", "<"] = ""
    note: str = ""

    def value(self, dimension: str) -> float:
        """Return the figure in the base unit of a dimension; raises QuantityError if it is none of it."""
        return units.parse(self.figure, dimension, 0 if dimension == "count" else None)


@dataclass(frozen=True)
class Entry:
    """A reading of one test in one operating state, named as the builder names it; empty where dead."""

    test: str
    state: str
    reading: Reading
    mark: Mark


@dataclass(frozen=True)
class Session:
    """One sitting: who, when, in what weather, with which instruments, and everything that was read."""

    file: str
    mark: Mark
    date: str
    by: str
    weather: str
    temperature_c: float
    instruments: dict[str, Instrument]
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class ResultsFile:
    """One file as read: its sessions as far as they could be understood, and its problems."""

    path: Path
    text: str
    build: str = ""
    build_mark: Mark = START
    revision: int = 0
    sessions: tuple[Session, ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class Results:
    """All results beside a description, the sessions in the order of their dates."""

    files: tuple[ResultsFile, ...] = field(default=())

    @property
    def sessions(self) -> tuple[Session, ...]:
        """Every session, the earliest first; of one day in the order of files and lines."""
        return tuple(sorted((s for f in self.files for s in f.sessions), key=lambda s: s.date))

    @property
    def unusable(self) -> tuple[ResultsFile, ...]:
        """The files that have problems."""
        return tuple(file for file in self.files if file.problems)


NONE = Results()


def load_results(folder: Path) -> Results:
    """Read every results file in a folder; never raises for what a user may have written, and never writes."""
    return Results(tuple(_load(path) for path in sorted(folder.glob("results*.yaml"))))


def _load(path: Path) -> ResultsFile:
    try:
        return read_results(read_file(path), path)
    except Unreadable as unreadable:
        return ResultsFile(path, unreadable.text, problems=unreadable.problems)


def read_results(text: str, path: Path = Path("results.yaml")) -> ResultsFile:
    """Read results from a text; raises Unreadable if it is no tree at all."""
    tree, of_form = compose(text)
    version = tree.get("results")
    if isinstance(version, Scalar) and version.text != str(FORMAT):
        fields: dict[str, object] = {"found": version.text, "known": FORMAT}
        return ResultsFile(path, text, problems=(Problem("results version", version.mark, fields),))
    try:
        written = ResultsText.model_validate(plain(tree))
    except ValidationError as error:
        found = [_problem(each, tree) for each in error.errors(include_url=False)]
        return ResultsFile(path, text, problems=tuple(sorted_problems([*of_form, *found])))
    problems = list(of_form)
    sessions = tuple(_session(path, tree, n, s, problems) for n, s in enumerate(written.sessions))
    of_build = locate(tree, ("build",))
    return ResultsFile(
        path, text, written.build, of_build, written.revision, sessions, tuple(sorted_problems(problems))
    )


def _session(
    path: Path, tree: Mapping, number: int, written: SessionText, problems: list[Problem]
) -> Session:
    loc = ("sessions", number)
    node = tree.get("sessions")
    item = node.items[number] if node is not None and not isinstance(node, Scalar | Mapping) else tree
    readings = item.get("readings") if isinstance(item, Mapping) else None
    entries = tuple(_entries(readings, problems)) if isinstance(readings, Mapping) else ()
    return Session(
        path.name,
        locate(tree, loc),
        written.date,
        written.by,
        written.weather,
        written.temperature_c,
        dict(written.instruments),
        entries,
    )


def _entries(readings: Mapping, problems: list[Problem]) -> Iterator[Entry]:
    for key, node in readings.entries:
        columns: tuple[tuple[Scalar, Node], ...] = (
            node.entries if isinstance(node, Mapping) else ((Scalar("", key.mark), node),)
        )
        for state, value in columns:
            if not isinstance(value, Scalar):
                problems.append(Problem("reading expected", value.mark, {"id": key.text}))
                continue
            reading = read_reading(value.text, value.mark)
            if isinstance(reading, Problem):
                problems.append(reading)
            else:
                yield Entry(key.text, state.text, reading, state.mark if state.text else key.mark)


def read_reading(text: str, mark: Mark = START) -> Reading | Problem:
    """Return the reading that a text means: `pass`, `fail (loose)`, `limitation (no spikes)`, `0.06 ohm`,
    `over 200 Mohm (lamps out)`.
    """
    match = _READING.fullmatch(text.strip())
    what, note = (match["what"], match["note"] or "") if match else (text, "")
    outcome = next((o for o in OUTCOMES if o == what), None)
    if outcome:
        if outcome in WITH_REASON and not note:
            return Problem("reason missing", mark, {"found": what})
        return Reading(text, mark, outcome, note=note)
    for word, bound in _MORE_OR_LESS.items():
        if what.startswith(word):
            return _figure(text, what.removeprefix(word).strip(), bound, note, mark)
    return _figure(text, what, "", note, mark)


def _figure(text: str, figure: str, bound: Any, note: str, mark: Mark) -> Reading | Problem:
    if re.match(r"[+-]?\d+,\d", figure):
        return Problem("decimal comma", mark, {"text": figure, "right": units.point_for_comma(figure)})
    if re.match(rf"{units.NUMBER}(\s|[^\d.]|$)", figure.replace(units.MINUS, "-")):
        return Reading(text, mark, None, figure, bound, note)
    return Problem("not a reading", mark, {"found": text, "meant": meant(figure, OUTCOMES)})


_FIELDS = {
    (): ("results", "build", "revision", "sessions"),
    ("sessions",): ("date", "by", "weather", "temperature", "instruments", "readings"),
    ("instruments",): ("serial", "calibrated", "note"),
}


def _problem(error: Any, tree: Mapping) -> Problem:
    """Return one of pydantic's errors as a problem at its place."""
    loc = tuple(error["loc"])
    name = str(loc[-1]) if loc else ""
    outer = next((part for part in reversed(loc[:-1]) if part in ("instruments", "sessions")), None)
    possible = _FIELDS[(outer,) if outer else ()]
    where = str(outer or "results")
    mark = locate(tree, loc, of_key=True)
    match error["type"]:
        case "extra_forbidden":
            return Problem("results field", mark, {"field": name, "meant": meant(name, possible)})
        case "missing":
            return Problem("results missing", locate(tree, loc[:-1]), {"field": name, "where": where})
        case "asfitted":
            context = error["ctx"]
            given = {k: v for k, v in context["fields"].items() if k != "offset"}
            return Problem(context["code"], locate(tree, loc), {"where": f"“{name}”", **given})
        case "string_pattern_mismatch":
            return Problem("not a date", locate(tree, loc), {"found": str(error["input"])})
    return Problem("results form", locate(tree, loc), {"field": name, "where": where})
