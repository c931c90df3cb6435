"""Chapter: the test checklist of this build."""

from itertools import groupby
from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.numbers import quantity
from asfitted.studies.checklist import Test, checklist

UNITS = {"expected_ohm": "ohm", "limit_ohm": "ohm", "residual_a": "A"}


def context(book: Book) -> dict[str, Any]:
    """Return the tests in their order, grouped by phase and, where live, by operating state."""
    study = book.study
    tests = checklist(study.network, study.states, study.islands, study.coverage)
    phases = []
    for phase, of_phase in groupby(tests, key=lambda test: test.phase):
        groups = [
            {"state": book.state(state) if state else None, "tests": [_row(book, test) for test in rows]}
            for state, rows in groupby(of_phase, key=lambda test: test.state)
        ]
        phases.append({"key": phase, "groups": groups})
    return {"phases": phases, "count": len(tests)}


def _row(book: Book, test: Test) -> dict[str, Any]:
    items = book.study.network.items
    fields = {
        name: quantity(value, UNITS[name], 2) if name in UNITS and isinstance(value, float) else value
        for name, value in test.fields.items()
    }
    for name in ("source", "device"):
        if name in fields:
            fields[name] = items[str(fields[name])].name
    fields["at"] = items[test.at].name if test.at in items else test.at
    return {
        "id": test.id,
        "at": book.thing(test.at) if test.at else None,
        "do": words.text("tests", f"{test.code}.do", **fields),
        "expect": words.text("tests", f"{test.code}.expect", **fields),
    }
