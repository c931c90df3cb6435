"""The chapters of energy: the question of three cloudy days is answered, and times are said as people say them."""

import pytest
from tests.studies.builds import EXAMPLE, example_text, studied

from asfitted.chapters import energy, energy_workings
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.description.load import load_text
from asfitted.escape import escape
from asfitted.studies.study import study


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


def test_an_energy_loop_is_told_beside_the_tables_that_do_not_count_it():
    from tests.studies.energy.test_study import LOOP

    text = page("energy", *LOOP)
    before = text.split("Kinds of day {#")[0]
    assert "All of it counts with" in before
    assert "switched off" in before
    assert "All of it counts with" not in page("energy")


def test_without_days_there_is_no_empty_table():
    text = example_text()
    days = text[text.index("days:\n") : text.index("states:\n")]
    found = study(load_text(text.replace(days, ""), EXAMPLE))
    book = Book(found, "owner", False, (), {})
    text = render("energy", {"edition": "owner", "draft": False, "plugs": True} | energy.context(book))
    assert "No kind of day is described" in text
    assert "Kinds of day" not in text


def test_what_loads_take_and_what_passes_the_battery_stand_apart():
    day = next(d for d in studied().energy.banks[0].days if d.name == "winter day")
    row = next(line for line in page("energy").splitlines() if line.startswith("| winter day"))
    assert day.dark_takes_wh > day.takes_wh > 1000
    assert f"{day.dark_takes_wh:.0f}" in row
    assert f"{day.takes_wh:.0f}" in row


@pytest.mark.parametrize(
    ("numbers", "said"), [((0, 11), "Jan, Dec"), (tuple(range(12)), "every month"), ((), "")]
)
def test_twelve_months_are_every_month(numbers, said):
    assert energy._months(numbers) == said


def test_a_day_that_must_not_be_charged_says_so_and_one_that_is_stopped_says_that():
    from tests.studies.energy.test_study import COLD

    frost = ("temperature: 4 °C", "temperature: -10 °C")
    assert "nothing described stops it" in page("energy", COLD, frost)
    assert "its cut&#45;off stops it" in page("energy", frost) or "its cut-off stops it" in page(
        "energy", frost
    )
    assert "nothing described stops it" not in page("energy", frost)
