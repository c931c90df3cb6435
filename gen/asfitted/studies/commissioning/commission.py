"""Commissioning of a build: its plan, its results judged, and the findings that follow from both."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from asfitted import words
from asfitted.description.marks import START
from asfitted.description.results import Results
from asfitted.network.model import Network
from asfitted.studies.commissioning.judge import Judged, Judgement, judge
from asfitted.studies.commissioning.plan import Subject, Test
from asfitted.studies.commissioning.whole import whole_plan
from asfitted.studies.results import Finding, Grade

#: what protects a person, and what may kill at once; all else is judged as a matter of function
DANGER = ("pins-dead", "site-not-fed", "grid-not-fed", "prove-dead", "interlock")
PROTECTS = (
    "covers", "protective-path", "continuity", "continuity-alone", "earth-both-positions", "polarity-dead",
    "line-and-earth", "insulation", "insulation-line-neutral", "bond-shore-position", "bond-closed",
    "bond-relay", "rcd-poles", "electrode", "galvanic-isolator", "isolating-transformer",
    "shore-earth-ends", "fuse-audit", "devices", "bonds", "voltage", "polarity-live", "loop",
    "earth-current", "rcd-trip", "rcd-five", "rcd-ramp", "earth-path", "rcd-button",
    "neutral-switching-dead", "neutral-switching-live", "stuck-contact", "case-direct-current",
    "uncertified", "crossed-polarity", "cold-charge", "site-earth",
)  # fmt: skip
#: a finding names so many kinds of test that were not done; the chapter of tests shows all
MOST_NAMED = 8
VERIFICATION = "IEC 60364-6 6.4.3 (from memory)"
#: an instrument is taken to its laboratory once a year (practice of inspectors, from memory)
CALIBRATED_FOR = datetime.timedelta(days=366)


@dataclass(frozen=True)
class Commissioning:
    """The plan, every reading judged, what was not done, and the findings."""

    plan: tuple[Test, ...]
    judgement: Judgement
    results: Results
    missing: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]


def instrument(code: str) -> str:
    """Return the kind of instrument with which a test is done, a key of the `instruments` words."""
    return str(words.catalogue("commissioning")["tests"][code]["with"])


def title(test: Test) -> str:
    """Return what a test is called."""
    return str(words.catalogue("commissioning")["tests"][test.code]["title"])


def commission(subject: Subject, results: Results) -> Commissioning:
    """Return the plan of a build and what its results say about it."""
    plan = whole_plan(subject)
    names = {state.id: state.name for state in subject.states}
    reference = subject.network.description.build.reference
    judgement = judge(plan, names, results, reference)
    missing = tuple(
        (test.id, column.state)
        for test in plan
        for column in test.columns
        if not column.not_applicable and judgement.last(test.id, column.state) is None
    )
    found = tuple(_findings(subject.network, plan, judgement, results, missing))
    return Commissioning(plan, judgement, results, missing, found)


def _findings(
    network: Network,
    plan: tuple[Test, ...],
    judgement: Judgement,
    results: Results,
    missing: tuple[tuple[str, str], ...],
) -> Iterator[Finding]:
    claimed = [item for item in network.items.values() if item.spec.status == "tested"]
    if not results.files:
        if claimed:
            where = tuple(item.id for item in claimed)
            yield Finding("tested-without-results", Grade.INVESTIGATION, where, claimed[0].mark)
        return
    for test in plan:
        for column in test.columns:
            last = judgement.last(test.id, column.state)
            if last is not None:
                yield from _of_reading(network, test, last)
    if missing:
        first = results.files[0].path.name
        ids = tuple(dict.fromkeys(id_ for id_, _ in missing))
        titles = dict.fromkeys(title(next(test for test in plan if test.id == id_)) for id_ in ids)
        fields: dict[str, object] = {
            "count": len(missing),
            "tests": "; ".join(list(titles)[:MOST_NAMED]) + ("; …" if len(titles) > MOST_NAMED else ""),
        }
        yield Finding("tests-missing", Grade.INVESTIGATION, (first,), START, fields=fields, file=first)
    yield from _of_instruments(plan, results)
    for file, problem in judgement.problems:
        told: dict[str, object] = {"what": problem.sentence("message"), "right": problem.sentence("right")}
        name = file.path.name
        yield Finding("reading-not-used", Grade.INVESTIGATION, (name,), problem.mark, fields=told, file=name)
    newest = network.description.revision[0]
    for file in results.files:
        if file.revision != newest:
            said: dict[str, object] = {"tested": file.revision, "now": newest}
            yield Finding(
                "results-of-another-revision", Grade.IMPROVEMENT, (file.path.name,), START, fields=said,
                file=file.path.name,
            )  # fmt: skip


def _of_reading(network: Network, test: Test, last: Judged) -> Iterator[Finding]:
    if last.verdict not in ("fail", "contradicts", "unsure"):
        return
    grade = Grade.INVESTIGATION
    if last.verdict == "fail":
        grade = (
            Grade.DANGER
            if test.code in DANGER
            else Grade.POTENTIAL
            if test.code in PROTECTS
            else Grade.IMPROVEMENT
        )
    code = {"fail": "test-failed", "contradicts": "reading-contradicts", "unsure": "reading-unsure"}[
        last.verdict
    ]
    where = (test.at,) if test.at in network.items or test.at in network.cables else ()
    yield Finding(
        code,
        grade,
        (*where, test.id),
        last.reading.mark,
        (last.state,) if last.state else (),
        {"test": f"{title(test)}, {test.at}" if test.at else title(test), "reading": last.reading.text},
        clause=VERIFICATION,
        file=last.session.file,
    )


def _of_instruments(plan: tuple[Test, ...], results: Results) -> Iterator[Finding]:
    """Yield for each sitting the instruments that are not named, and those out of calibration on its day."""
    code_of = {test.id: test.code for test in plan}
    for session in results.sessions:
        figures = {e.test for e in session.entries if e.reading.outcome is None and e.test in code_of}
        used = {instrument(code_of[id_]) for id_ in figures} - {"none", "eyes"}
        unnamed = tuple(sorted(used - set(session.instruments)))
        if unnamed:
            fields: dict[str, object] = {"instruments": ", ".join(unnamed), "date": session.date}
            yield Finding(
                "instrument-not-named", Grade.INVESTIGATION, (session.date,), session.mark, fields=fields,
                file=session.file,
            )  # fmt: skip
        day = _day(session.date)
        for name, used_one in session.instruments.items():
            calibrated = _day(used_one.calibrated)
            if day and calibrated and not datetime.timedelta(0) <= day - calibrated <= CALIBRATED_FOR:
                said: dict[str, object] = {
                    "instrument": name,
                    "calibrated": used_one.calibrated,
                    "date": session.date,
                }
                yield Finding(
                    "out-of-calibration", Grade.INVESTIGATION, (session.date,), session.mark, fields=said,
                    file=session.file,
                )  # fmt: skip


def _day(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return None
