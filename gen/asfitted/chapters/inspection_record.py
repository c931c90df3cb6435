"""Chapter: the record for the inspector. Schedules of inspections, circuits and test results, what is open and
accepted, what was not opened, and room for signatures.
"""

from collections.abc import Iterable
from typing import Any

from asfitted import words
from asfitted.chapters import circuits, findings, maintenance
from asfitted.chapters import testing_words as say
from asfitted.chapters import tests as tests_chapter
from asfitted.chapters.book import Book
from asfitted.description.fingerprint import fingerprint
from asfitted.studies.commissioning.judge import Judged
from asfitted.studies.commissioning.plan import Column, Test
from asfitted.studies.results import Grade

#: with one of these open a first verification is not signed (inspector's note 38; the codes of periodic reports
#: are others)
BLOCKS = (Grade.DANGER, Grade.POTENTIAL, Grade.INVESTIGATION)
#: what stands first in a cell: the worst outcome among several readings
_WORST = ("fail", "contradicts", "unsure", "limitation", "pass", "not applicable")


def context(book: Book) -> dict[str, Any]:
    """Return everything that an inspector signs for."""
    study = book.study
    description = study.network.description
    said, listed = findings.context(book), circuits.context(book)
    opened = study.commissioning.judgement.last("opened", "")
    return {
        "build": description.build,
        "revision": description.revision,
        "fingerprint": fingerprint(study.loaded),
        "inspections": [_inspection(book, row) for row in _words()["schedule"]],
        "circuits": [*listed["ac"], *listed["dc"]],
        "groups": [group["title"] for group in _words()["groups"].values()],
        "results": [_results(book, outlet) for outlet in study.subject.outlets],
        "open": said["open"],
        "accepted": said["accepted"],
        "claims": said["claims"],
        "assumed": len(said["assumptions"]),
        "decisions": len(description.decisions),
        "sittings": tests_chapter.context(book)["sittings"],
        "not_opened": {"text": say.outcome(Column(""), opened), "date": opened.session.date}
        if opened
        else None,
        "blocking": [row for row in said["open"] if row["grade"] in {grade.value for grade in BLOCKS}],
        "not_done": sum(
            study.commissioning.judgement.last(test.id, column.state) is None
            for test in study.commissioning.plan
            for column in test.columns
            if not column.not_applicable
        ),
        "due": maintenance.due(book),
    }


def _words() -> Any:
    return words.catalogue("inspection_record")


def _inspection(book: Book, row: dict[str, str]) -> dict[str, Any]:
    """Return one item of the schedule with its outcome, which is never blank."""
    tests = [test for test in book.study.commissioning.plan if test.code == row["test"]]
    judged = [book.study.commissioning.judgement.last(test.id, "") for test in tests]
    done = [found for found in judged if found is not None]
    if not tests:
        outcome, reason = say.said("verdicts", "not applicable"), str(_words()["not there"])
    elif len(done) < len(judged):
        outcome, reason = str(_words()["not done"]), ""
    else:
        worst = _worst(done)
        outcome, reason = say.said("verdicts", worst.verdict), worst.reading.note or ""
    return {
        "item": row["item"],
        "outcome": outcome,
        "reason": reason,
        "date": max((found.session.date for found in done), default=""),
        "done": not tests or len(done) == len(judged),
    }


def _worst(done: Iterable[Judged]) -> Judged:
    return min(done, key=lambda found: _WORST.index(found.verdict))


def _results(book: Book, outlet: str) -> dict[str, Any]:
    """Return the last readings at an outlet, one cell for each group of tests."""
    plan = [test for test in book.study.commissioning.plan if test.at == outlet]
    return {
        "at": book.item(outlet),
        "cells": [
            _cell(book, [test for test in plan if test.code in group["codes"]])
            for group in _words()["groups"].values()
        ],
    }


def _cell(book: Book, tests: list[Test]) -> dict[str, Any]:
    """Return how many readings a group of tests has, and the worst of them in words."""
    wanted = [(test, column) for test in tests for column in test.columns if not column.not_applicable]
    judgement = book.study.commissioning.judgement
    found = [(column, judgement.last(test.id, column.state)) for test, column in wanted]
    done = [(column, judged) for column, judged in found if judged is not None]
    if not wanted:
        return {"text": say.said("verdicts", "not applicable"), "missing": 0, "bad": False}
    if not done:
        return {"text": str(_words()["not done"]), "missing": 0, "bad": True}
    worst = _worst(judged for _, judged in done)
    column = next(column for column, judged in done if judged is worst)
    return {
        "text": say.outcome(column, worst),
        "missing": len(wanted) - len(done),
        "bad": worst.verdict in ("fail", "contradicts", "unsure"),
    }
