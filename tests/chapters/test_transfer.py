"""The chapter on what happens when the supply goes: its figures are those of the study, its steps have readings."""

import html
from functools import lru_cache

import pytest
from tests.studies.builds import EXAMPLE, studied

from asfitted.chapters import transfer
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.description.load import load_text
from asfitted.studies.study import study


@lru_cache(maxsize=8)
def page(edition: str, *changes: tuple[str, str]) -> str:
    book = Book(study=studied(*changes), edition=edition, draft=False, single_line=(), states={})
    context = {"edition": edition, "draft": False, "plugs": True} | transfer.context(book)
    return html.unescape(render("transfer", context)).replace("\u00a0", " ")


def test_claimed_and_measured_are_both_printed_and_the_measured_one_counts():
    assert "within 0.42 s (measured)" in page("owner")
    assert "longer than claimed" in page("owner")
    assert "0.3 s claimed; 0.42 s measured | 0.42 s | yes" in page("inspector")
    assert "60 ms claimed | 60 ms | **no**" in page("inspector")


@pytest.mark.parametrize(
    ("load", "said"),
    [("projector", "goes out; starts afresh"), ("laptops", "goes on"), ("kettle", "heats on by itself")],
)
def test_each_load_has_its_fate(load, said):
    row = next(line for line in page("owner").splitlines() if line.startswith(f"| {load},"))
    assert said in row


def test_every_step_in_the_dark_has_a_reading():
    section = page("owner").split("### When the light goes out")[1].split("###")[0]
    steps = [line for line in section.splitlines() if line.startswith("1. ")]
    assert len(steps) == 5
    assert all(" → " in step for step in steps)


def test_what_is_too_much_is_left_off_until_the_supply_is_back():
    text = page("owner", ("kettle: 1 kW heater}}", "kettle: 2 kW heater, hob: 900 W heater}}"))
    assert "all goes dark" in text
    assert "kettle – **leave off until “site” is back**" in text


def test_tables_are_tables():
    """A row of a table that follows a paragraph without an empty line would be printed as text."""
    for edition in ("owner", "inspector"):
        lines = page(edition).splitlines()
        heads = [n for n, line in enumerate(lines) if line.startswith("|---")]
        assert heads
        assert all(lines[n - 2] == "" for n in heads)


def test_workings_are_for_the_inspector():
    assert "## Workings" in page("inspector")
    assert "## Workings" not in page("owner")


def test_a_combined_unit_does_not_change_to_itself():
    path = EXAMPLE.parents[1] / "slow_heron" / "build.yaml"
    book = Book(study(load_text(path.read_text(encoding="utf-8"), path)), "owner", False, (), {})
    context = {"edition": "owner", "draft": False, "plugs": True} | transfer.context(book)
    text = html.unescape(render("transfer", context)).replace("\u00a0", " ")
    assert "takes over by itself within 20 ms" in text
    assert "changes to “combi”" not in text
    assert "1. Wait a moment." in text  # nobody waits 20 ms


def test_a_gap_of_seconds_is_waited_for():
    slow = ("to source 2: 0.3 s claimed, 0.42 s measured", "to source 2: 5 s measured")
    assert "1. Wait 5 s." in page("owner", slow)
    assert "the lamp of “inverter” shows" in page("owner", slow)
