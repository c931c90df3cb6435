"""The chapters of energy: the question of three cloudy days is answered, and times are said as people say them."""

import pytest
from tests.studies.builds import studied

from asfitted.chapters import energy, energy_workings
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.escape import escape


def page(name: str, *changes: tuple[str, str]) -> str:
    book = Book(studied(*changes), "owner", False, (), {})
    module = {"energy": energy, "energy-workings": energy_workings}[name]
    return render(name, {"edition": "owner", "draft": False, "plugs": True} | module.context(book))


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (None, "without end"),
        (4.23, "4.2 h"),
        (28.4, "28 h"),
        (72, "3 d"),
        (80, "3 d 8 h"),
        (400, "more than 2 weeks"),
    ],
)
def test_times_as_people_say_them(hours, said):
    assert energy.span(hours) == said


def test_three_cloudy_days_and_no_plug():
    text = page("energy")
    rows = [line for line in text.splitlines() if line.startswith("| 100")]
    # what the table says for an open day is what the study found
    table = next(t for t in studied().energy.banks[0].breakfast if t.day == "open day")
    plan = next(p for p in table.plans if p.reading == 1.0 and p.days == 3)
    names = ", ".join(id_.partition(".")[2] for id_ in plan.left_off)
    assert plan.enough
    assert names
    assert escape(names) in rows[0]


def test_what_never_runs_from_the_battery_is_said():
    assert "Never from the battery: heater" in page("energy")


def test_a_loop_is_told_to_the_owner():
    from tests.studies.energy.test_study import LOOP

    assert "The battery charges itself" in page("energy", *LOOP)
    assert "The battery charges itself" not in page("energy")


def test_workings_name_what_was_assumed():
    text = page("energy-workings")
    assert "Peukert exponent" in text
    assert "assumed" in text
    assert "Air for lead" in text


def test_a_build_without_a_house_battery_says_so():
    line = "    battery: LiFePO4 25.6 V 200 Ah\n"
    assert "No house battery" in page("energy", (line, line + "    use: starter\n"))
