"""Readings against what they should be: converted, brought to 20 °C where needed, judged; what cannot be is
pointed out.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, meant
from asfitted.description.results import Reading, Results, ResultsFile, Session
from asfitted.description.units import QuantityError
from asfitted.studies.commissioning.conductors import at_20c
from asfitted.studies.commissioning.plan import UNITS, Column, Expected, Test

Verdict = Literal["pass", "fail", "not applicable", "limitation", "contradicts", "unsure"]
#: a reading is taken as the limit itself while it differs by less than this share
ROUNDING = 1e-9


@dataclass(frozen=True)
class Judged:
    """One reading of one test in one state: `value` in the base unit, `corrected` where it was brought to
    20 °C.
    """

    test: str
    state: str
    reading: Reading
    session: Session
    verdict: Verdict
    value: float | None = None
    corrected: float | None = None


@dataclass(frozen=True)
class Judgement:
    """Every reading by test and state, the earliest first; what could not be placed as problems of its
    file.
    """

    readings: Mapping[tuple[str, str], tuple[Judged, ...]]
    problems: tuple[tuple[ResultsFile, Problem], ...]

    def last(self, test: str, state: str) -> Judged | None:
        """Return the reading that counts: the last one."""
        found = self.readings.get((test, state))
        return found[-1] if found else None


def judge(plan: tuple[Test, ...], states: Mapping[str, str], results: Results, reference: str) -> Judgement:
    """Judge every reading of the results of a build; `states` gives the name of each operating state."""
    tests = {test.id: test for test in plan}
    ids = {name: id_ for id_, name in states.items()}
    files = {file.path.name: file for file in results.files}
    found: dict[tuple[str, str], tuple[Judged, ...]] = {}
    problems = [
        (file, Problem("results of another build", file.build_mark, {"found": file.build, "id": reference}))
        for file in results.files
        if file.build and file.build != reference
    ]
    for session in results.sessions:
        file = files[session.file]
        for entry in session.entries:
            test = tests.get(entry.test)
            if test is None:
                problems.append((file, _unknown("unknown test", entry.test, entry.mark, tests)))
                continue
            state = ids.get(entry.state, entry.state)
            column = next((c for c in test.columns if c.state == state), None)
            if column is None:
                names = [states[c.state] for c in test.columns if c.state]
                problems.append((file, _unknown("unknown state", entry.state, entry.mark, names)))
                continue
            try:
                judged = _judged(test, column, entry.reading, session)
            except QuantityError as error:
                fields = {k: v for k, v in error.fields.items() if k != "offset"}
                problems.append(
                    (file, Problem(error.code, entry.reading.mark, {"where": f"“{test.id}”", **fields}))
                )
                continue
            key = (test.id, state)
            found[key] = (*found.get(key, ()), judged)
    return Judgement(found, tuple(problems))


def _unknown(code: str, name: str, mark: Mark, known: Iterable[str]) -> Problem:
    return Problem(code, mark, {"id": name, "meant": meant(name, known)})


def _judged(test: Test, column: Column, reading: Reading, session: Session) -> Judged:
    if reading.outcome is not None:
        return Judged(test.id, column.state, reading, session, reading.outcome)
    expected = column.expected
    if expected is None:
        # somebody measured where the plan asks for a look: the figure stays, the outcome is theirs to say
        return Judged(test.id, column.state, reading, session, "unsure")
    value = reading.value(UNITS[expected.unit][0])
    corrected = at_20c(value, session.temperature_c) if expected.at_20c else None
    verdict = compare(expected, value if corrected is None else corrected, reading.bound)
    return Judged(test.id, column.state, reading, session, verdict, value, corrected)


def compare(expected: Expected, value: float, bound: str = "") -> Verdict:
    """Return the verdict on a value; with `bound` it is only known to lie above (>) or below (<) it."""
    least = value if bound != "<" else float("-inf")
    most = value if bound != ">" else float("inf")
    slack = ROUNDING * max(abs(value), 1.0)
    if expected.floor and most < expected.floor - slack:
        return "contradicts"
    if expected.high is not None:
        if least > expected.high + slack:
            return "fail"
        if most > expected.high + slack:
            return "unsure"
    if expected.low is not None:
        if most < expected.low - slack:
            return "fail"
        if least < expected.low - slack:
            return "unsure"
    return "pass"
