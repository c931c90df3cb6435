"""Chapter: the tests of this build with their limits, and what was read."""

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters import testing_words as say
from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.numbers import figures, quantity
from asfitted.studies.commissioning.judge import Judged
from asfitted.studies.commissioning.plan import Column, Test
from asfitted.studies.commissioning.residual import resistors
from asfitted.studies.commissioning.signatures import signatures
from asfitted.studies.commissioning.whole import listed

#: operating states side by side on an upright sheet
MOST_COLUMNS = 4


def context(book: Book) -> dict[str, Any]:
    """Return the tests by phase, each kind with its rows; sittings, resistors, readings of what is wrong, and
    what is not part of the plan.
    """
    done = book.study.commissioning
    phases = [
        {
            "key": phase,
            "kinds": [_kind(book, list(alike)) for _, alike in groupby(of_phase, lambda t: t.code)],
        }
        for phase, of_phase in groupby(done.plan, lambda test: test.phase)
    ]
    return {
        "phases": phases,
        "count": len(done.plan),
        "readings": sum(not column.not_applicable for test in done.plan for column in test.columns),
        "sittings": [_sitting(book, session) for session in done.results.sessions],
        "resistors": [_resistor(book, resistor) for resistor in resistors(book.study.subject)],
        "signatures": [_signature(book, found) for found in signatures(book.study.subject)],
        "absent": [
            {"row": row.row, "title": row.title, "why": say.said("absent", row.absent)}
            for row in listed(done.plan)
            if row.absent
        ],
    }


def _kind(book: Book, tests: list[Test]) -> dict[str, Any]:
    """Return all tests of one code: what is done once, and a table of places and states."""
    code = tests[0].code
    reasons = tuple(dict.fromkeys(c.not_applicable for t in tests for c in t.columns if c.not_applicable))
    return {
        "anchor": Markup(f"test-{code}"),  # noqa: S704  (a code of ours)
        "title": say.sentence(tests, "title"),
        "instrument": say.instrument(code),
        "range": say.measuring_range(code),
        **{part: say.sentence(tests, part) for part in ("do", "expect", "wrong", "care")},
        "tables": list(_tables(book, tests, reasons)),
        "detailed": any(say.detail(test) for test in tests),
        "placed": any(test.at for test in tests),
        "reasons": [
            {"mark": _mark(n), "text": say.said("reasons", reason)} for n, reason in enumerate(reasons)
        ],
    }


def _mark(number: int) -> str:
    return "abcdefghijklm"[number]


def _tables(book: Book, tests: list[Test], reasons: tuple[str, ...]) -> Iterator[dict[str, Any]]:
    """Yield one table where all is dead, else one for each few operating states side by side."""
    count = len(tests[0].columns)
    for first in range(0, count, MOST_COLUMNS):
        chosen = slice(first, first + MOST_COLUMNS)
        yield {
            "states": [book.state_names[c.state] if c.state else None for c in tests[0].columns[chosen]],
            "rows": [
                {
                    "at": say.place(book, test),
                    "detail": say.detail(test),
                    "cells": [_cell(book, test, column, reasons) for column in test.columns[chosen]],
                }
                for test in tests
            ],
        }


def _cell(book: Book, test: Test, column: Column, reasons: tuple[str, ...]) -> dict[str, Any]:
    found = book.study.commissioning.judgement.readings.get((test.id, column.state), ())
    expected = column.expected
    return {
        "not_applicable": _mark(reasons.index(column.not_applicable)) if column.not_applicable else "",
        "about": say.about(expected) if expected else "",
        "limit": say.limit(expected) if expected else "",
        "read": [_read(column, judged) for judged in found],
        "open": bool(book.study.results.files) and not found and not column.not_applicable,
    }


def _read(column: Column, judged: Judged) -> dict[str, Any]:
    return {
        "text": say.outcome(column, judged),
        "date": judged.session.date,
        "bad": judged.verdict in ("fail", "contradicts", "unsure"),
    }


def _sitting(book: Book, session: Any) -> dict[str, Any]:
    """Return one sitting; who it was and the serial numbers stay out of the edition to share."""
    known = holds(book.edition, "tests/who")
    return {
        "date": session.date,
        "by": session.by if known else None,
        "weather": session.weather,
        "temperature": quantity(session.temperature_c, "°C"),
        "count": len(session.entries),
        "instruments": [
            {
                "name": _instrument_name(name),
                "serial": instrument.serial if known else None,
                "calibrated": instrument.calibrated,
            }
            for name, instrument in session.instruments.items()
        ],
    }


def _instrument_name(key: str) -> str:
    known = words.catalogue("commissioning")["instruments"]
    return str(known.get(key, key))


def _resistor(book: Book, resistor: Any) -> dict[str, Any]:
    return {
        "source": book.thing(resistor.source),
        "rated": quantity(resistor.rated_a, "A"),
        "trips": resistor.trips_s is not None,
        "ohm": f"{figures(resistor.ohm / 1e3)} kΩ",
        "least": quantity(resistor.least_a, "A"),
        "greatest": quantity(resistor.greatest_a, "A"),
        "power": quantity(resistor.power_w, "W", 2),
        "hold": quantity(resistor.hold_s, "s", 2),
        "within": quantity(resistor.trips_s, "s", 2) if resistor.trips_s is not None else None,
    }


def _signature(book: Book, found: Any) -> dict[str, Any]:
    return {
        "at": book.thing(found.at),
        "state": book.state(found.state),
        "condition": say.said("conditions", found.condition),
        "readings": list(_pairs(found.voltmeter_v, found.loaded_v)),
    }


def _pairs(voltmeter: Iterable[float], loaded: Iterable[float]) -> Iterator[str]:
    for high, low in zip(voltmeter, loaded, strict=True):
        yield f"{_volts(high)} / {_volts(low)}"


def _volts(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else figures(round(value, 1), 2)
