"""The pages say what was chosen, by which check, and what the current alone would have asked for."""

from tests.studies.small import VEHICLE

from asfitted.chapters.book import Book
from asfitted.chapters.choices import cable_choices, device_choices
from asfitted.chapters.pages import pages
from asfitted.description.load import load_text
from asfitted.studies.study import study

EDITS = (
    (", neutral bar: n_bar", ""),
    ("F1: {RCBO: 10 A, W10: 7 m", "F1: {RCBO: auto, W10: auto 7 m"),
    ("kettle: 1 kW pf 1", "kettle: 1.91 kW pf 1"),
)


def book(edition="owner") -> Book:
    text = VEHICLE
    for old, new in EDITS:
        assert old in text, old
        text = text.replace(old, new)
    return Book(study(load_text(text)), edition, True, (), {})


def test_choices_are_rows_with_their_reason():
    """9.26 A in a warm panel: 10 A would do by current, 13 A is the least that carries it there."""
    (row,) = device_choices(book())
    assert (row["value"], row["by_current"]) == ("13\u00a0A", "10\u00a0A")
    assert row["governs"] == "hot air and neighbours in its panel"
    (cable,) = cable_choices(book())
    assert cable["size"] == "3G1.5"  # bunched with one circuit at 40 °C: 19.5 × 0.87 × 0.85 = 14.4 A


def test_both_pages_tell_of_them():
    text = {page.id: page.markdown for page in pages(book())}
    assert "{#devices-chosen}" in text["devices"]
    assert "{#cables-chosen}" in text["circuits"]


def test_nothing_is_said_where_nothing_was_chosen():
    plain = Book(study(load_text(VEHICLE.replace(", neutral bar: n_bar", ""))), "owner", True, (), {})
    assert device_choices(plain) == []
    assert all("-chosen}" not in page.markdown for page in pages(plain))
