"""Chapter: the sheet to fill in, on paper or in a browser, in the order in which the tests are done."""

import json
from collections.abc import Iterator
from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters import testing_words as say
from asfitted.chapters.book import Book
from asfitted.description.results import FORMAT
from asfitted.studies.commissioning.commission import instrument
from asfitted.studies.commissioning.plan import PHASES, Column, Test
from asfitted.tables.conductors import copper


def context(book: Book) -> dict[str, Any]:
    """Return the rows of the sheet: phase by phase, live tests state by state; and what the browser needs to
    judge them.
    """
    plan = book.study.commissioning.plan
    number, _ = book.study.network.description.revision
    data = {
        "format": FORMAT,
        "build": book.study.network.description.build.reference,
        "revision": number,
        "file": "results-{date}.yaml" if book.study.results.files else "results.yaml",
        "per_kelvin": copper("temperature_coefficient_20c").value,
        "words": words.catalogue("commissioning")["sheet"],
    }
    used = dict.fromkeys(instrument(t.code) for t in plan if any(c.expected for c in t.columns))
    names = words.catalogue("commissioning")["instruments"]
    return {
        "sheet": json.dumps(data, ensure_ascii=False),
        "instruments": [{"key": key, "name": names[key]} for key in used if key not in ("none", "eyes")],
        "parts": list(_parts(book, plan)),
    }


def _parts(book: Book, plan: tuple[Test, ...]) -> Iterator[dict[str, Any]]:
    for phase in PHASES:
        of_phase = [test for test in plan if test.phase == phase]
        states = dict.fromkeys(c.state for t in of_phase for c in t.columns if not c.not_applicable)
        for number, state in enumerate(sorted(states, key=list(states).index)):
            rows = [
                _row(book, test, column)
                for test in of_phase
                for column in test.columns
                if column.state == state and not column.not_applicable
            ]
            yield {
                "phase": phase,
                "first": number == 0,
                "state": book.state_names[state] if state else None,
                "anchor": Markup(f"sheet-{phase}-{state.lower()}"),  # noqa: S704  (names of ours)
                "rows": rows,
            }


def _row(book: Book, test: Test, column: Column) -> dict[str, Any]:
    expected = column.expected
    name = say.said(f"tests.{test.code}", "title", **dict.fromkeys(test.fields, ""))
    label = ", ".join(part for part in (name, test.at.replace("_", " "), _detail(test)) if part)
    data: dict[str, Any] = {"test": test.id, "state": book.state_names[column.state] if column.state else ""}
    if expected is not None:
        factor = expected.factor
        bounds = {"low": expected.low, "high": expected.high, "floor": expected.floor or None}
        data |= {"unit": expected.unit, "at20": expected.at_20c}
        data |= {key: float(f"{v / factor:.9g}") for key, v in bounds.items() if v is not None}
    return {
        "title": name,
        "at": say.place(book, test),
        "detail": _detail(test),
        "about": say.about(expected) if expected else "",
        "limit": say.limit(expected) if expected else "",
        "unit": {"ohm": "Ω", "Mohm": "MΩ"}.get(expected.unit, expected.unit) if expected else "",
        "label": label,
        "data": json.dumps(data, ensure_ascii=False),
    }


def _detail(test: Test) -> str:
    """Return what tells rows apart; cables and devices stand in the chapter of tests."""
    return say.detail(test) if test.detail else ""
