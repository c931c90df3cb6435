"""How a test, what it should read and what was read are said on a page."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.numbers import NBSP, figures, quantity, tied
from asfitted.studies.commissioning.judge import Judged
from asfitted.studies.commissioning.plan import Column, Expected, Test

_UNITS_SHOWN = {"ohm": "Ω", "Mohm": "MΩ"}
_UNIT_OF_FIELD = {"residual_a": "A"}


def said(test_or_key: str, part: str, **fields: object) -> str:
    """Return one sentence of the catalogue of tests."""
    return tied(words.text("commissioning", f"{test_or_key}.{part}", **fields))


def sentence(tests: list[Test], part: str) -> str:
    """Return a sentence for tests of one code; what differs among them is named in general."""
    fields = {name: _field(tests, name) for name in tests[0].fields}
    return said(f"tests.{tests[0].code}", part, **fields)


def _field(tests: list[Test], name: str) -> str:
    found = {_shown_field(test, name) for test in tests}
    return found.pop() if len(found) == 1 else words.text("commissioning", f"varying.{name}")


def _shown_field(test: Test, name: str) -> str:
    value = test.fields[name]
    if isinstance(value, float):
        return quantity(value, _UNIT_OF_FIELD.get(name, ""), 2)
    return str(value)


def instrument(code: str) -> str:
    """Return what a test is done with, empty where no instrument is."""
    key = words.catalogue("commissioning")["tests"][code]["with"]
    return "" if key == "none" else said("instruments", key)


def measuring_range(code: str) -> str | None:
    """Return the range of the instrument of a test, None where there is none to set."""
    key = words.catalogue("commissioning")["tests"][code]["with"]
    return said("ranges", key) if key in words.catalogue("commissioning")["ranges"] else None


def detail(test: Test) -> str:
    """Return what tells a test from others at the same place."""
    known = words.catalogue("commissioning")["details"]
    if "pair" in test.fields:
        loaded = test.detail.endswith("-loaded")
        return said("details", "loaded" if loaded else "pair", pair=test.fields["pair"])
    if test.detail in known:
        return str(known[test.detail])
    if test.detail.startswith("charging-"):
        return said("details", "charging", name=test.detail.removeprefix("charging-").replace("_", " "))
    if test.detail:
        return said("details", "from", name=test.detail.replace("_", " "))
    return str(test.fields.get("cables") or test.fields.get("devices") or "")


def figure(value: float, expected: Expected) -> str:
    """Return a value in the unit of a test."""
    unit = _UNITS_SHOWN.get(expected.unit, expected.unit)
    if expected.unit == "ohm":
        value = round(value, 3)  # no instrument shows more
    return f"{figures(value / expected.factor)}{NBSP if unit else ''}{unit}"


def about(expected: Expected) -> str:
    """Return the value that is expected, empty where only the limit counts."""
    if expected.value is None or expected.value in (expected.low, expected.high):
        return ""
    small = expected.high is not None and abs(expected.value) < 0.002 * expected.high
    return figure(0.0 if small else expected.value, expected)


def limit(expected: Expected) -> str:
    """Return the limits of a reading."""
    low, high = expected.low, expected.high
    if low is not None and high is not None:
        if low == high:
            return figure(low, expected)
        return said("limits", "between", low=figure(low, expected), high=figure(high, expected))
    if high is not None:
        return said("limits", "most", high=figure(high, expected))
    return said("limits", "least", low=figure(low, expected)) if low is not None else ""


def outcome(column: Column, judged: Judged) -> str:
    """Return what was read and its verdict: `24 ms: pass`; brought to 20 °C where it was."""
    reading = judged.reading
    verdict = said("verdicts", judged.verdict)
    if reading.outcome:
        return f"{verdict} ({reading.note})" if reading.note else verdict
    text = reading.text
    if judged.corrected is not None and column.expected:
        text = f"{text} ({said('sheet', 'at 20', value=figure(judged.corrected, column.expected))})"
    return f"{tied(text)}: {verdict}"


def place(book: Book, test: Test) -> Any:
    """Return a link to where a test is done; empty for the whole of the build."""
    return book.thing(test.at) if test.at else ""
