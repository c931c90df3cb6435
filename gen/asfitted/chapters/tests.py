"""Chapter: the test checklist of this build."""

from itertools import groupby
from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.numbers import quantity, tied
from asfitted.studies.checklist import Test, checklist

CLASS_A = ("GFCI breaker", "GFCI receptacle")
UNITS = {"expected_ohm": "ohm", "limit_ohm": "ohm", "residual_a": "A"}


def context(book: Book) -> dict[str, Any]:
    """Return the tests in their order, grouped by phase and, where live, by operating state."""
    study = book.study
    tests = checklist(study.network, study.states, study.islands, study.coverage)
    phases = []
    for phase, of_phase in groupby(tests, key=lambda test: test.phase):
        groups = [
            {
                "state": book.state(state) if state else None,
                "tests": [_row(book, list(alike)) for _, alike in groupby(rows, key=_way)],
            }
            for state, rows in groupby(of_phase, key=lambda test: test.state)
        ]
        phases.append({"key": phase, "groups": groups})
    return {"phases": phases, "count": len(tests)}


def _way(test: Test) -> object:
    """Return what makes two tests one act: devices in line are tried by one current at one outlet."""
    return (test.code, test.at, test.fields["residual_a"]) if "device" in test.fields else test.id


def _row(book: Book, alike: list[Test]) -> dict[str, Any]:
    items, test = book.study.network.items, alike[0]
    fields = {
        name: quantity(value, UNITS[name], 2) if name in UNITS and isinstance(value, float) else value
        for name, value in test.fields.items()
    }
    if "source" in fields:
        fields["source"] = items[str(fields["source"])].name
    devices = [items[str(each.fields["device"])] for each in alike if "device" in each.fields]
    fields["device"] = ", ".join(device.name for device in devices)
    fields["at"] = items[test.at].name if test.at in items else test.at
    expect = "expect class A" if any(device.kind in CLASS_A for device in devices) else "expect"
    return {
        "id": test.id if len(alike) == 1 else f"{test.id}–{alike[-1].id}",
        "at": book.thing(test.at) if test.at else None,
        "do": tied(words.text("tests", f"{test.code}.do", **fields)),
        "expect": tied(words.text("tests", f"{test.code}.{expect}", **fields)),
    }
