"""What is left off first, from which hour days count, which days are told at all, and the months of a year."""

import math

import pytest

from asfitted.description.kinds import LoadItem
from asfitted.studies.energy.formulas import MISSING_AFTER_ABSORPTION, charging_hours
from asfitted.studies.energy.together import apparent_va
from asfitted.studies.importance import VITAL, must_go_on, rank
from tests.studies.energy.test_study import day_of, energy, example


@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
def test_nobody_goes_without_light_to_keep_a_kettle(name):
    """In every plan all that matters less than something left off is off too; what is vital never is."""
    (bank,) = example(name).banks
    places = {a.id: rank(a.load) for a in bank.house.appliances}
    assert bank.breakfast
    for table in bank.breakfast:
        sheddable = [id_ for id_, _ in table.order if id_ in places]
        assert [places[id_] for id_ in sheddable] == sorted(places[id_] for id_ in sheddable)
        for plan in table.plans:
            off = [id_ for id_ in plan.left_off if id_ in places]
            assert VITAL not in {places[id_] for id_ in off}
            worst = max((places[id_] for id_ in off), default=-1)
            assert {id_ for id_ in sheddable if places[id_] < worst} <= {*off}


def test_radio_and_navigation_lights_are_never_left_off():
    (bank,) = example("slow_heron").banks
    assert not {"radio.radio and plotter", "navigation_lights.navigation lights"} & {
        id_ for table in bank.breakfast for id_, _ in table.order
    }


def test_a_server_that_runs_all_the_time_goes_last():
    server = ("router and screen: 36 W continuous", "router and screen: 200 W continuous")
    table = next(t for t in energy(server).banks[0].breakfast if t.day == "open day")
    assert table.order[-1][0] == "issue_desk.router and screen"
    assert must_go_on(LoadItem(power="200 W", duty="continuous"))


def test_an_inverter_that_nothing_needs_is_switched_off_by_name():
    table = next(t for t in energy().banks[0].breakfast if t.day == "open day")
    ids = [id_ for id_, _ in table.order]
    # kettle, laptops, projector hang on it; it idles 8 h at 12 W
    assert ids.index("inverter") == ids.index("reading_desk.projector") + 1
    assert dict(table.order)["inverter"] == pytest.approx(96)
    needs = {"tea_corner.kettle", "reading_desk.laptops", "reading_desk.projector"}
    for plan in table.plans:
        assert ("inverter" in plan.left_off) == (needs <= {*plan.left_off})


def test_days_that_live_from_plug_or_engine_are_not_in_the_breakfast_table():
    (bank,) = example("tin_kiln").banks
    assert [t.day for t in bank.breakfast] == ["fair day"]
    assert [d.name for d in bank.days if d.lives_from_outside] == ["road day", "generator day", "site day"]
    # one that its own sun carries stays in it
    sunny = (
        "sun: 2.8 kWh/m²\n    temperature: 15 °C\n    drive: 5 h",
        "sun: 8 kWh/m²\n    temperature: 15 °C\n    drive: 5 h",
    )
    assert "travelling day" in [t.day for t in energy(sunny).banks[0].breakfast]
    assert "travelling day" not in [t.day for t in energy().banks[0].breakfast]


def test_a_meter_that_counts_does_not_feel_the_cold():
    """200 Ah of LiFePO4 at 25.6 V: 5120 Wh. At 45 % 2816 Wh are taken; the cold leaves less of the rest."""
    bank = energy().banks[0].bank
    assert bank.left_wh(1.0, 25) == pytest.approx(5120)
    assert bank.left_wh(0.45, 25) == pytest.approx(0.45 * 5120)
    cold = bank.full_wh(-10)
    assert cold < 5120
    assert bank.left_wh(0.45, -10) == pytest.approx(max(0.2 * cold, cold - 0.55 * 5120))
    assert bank.empty_reading(-10) == pytest.approx(1 - 0.8 * cold / 5120)


def test_both_tables_count_from_the_same_hour():
    """Without any sun “everything lasts” of the breakfast table is the “without sun” of the kinds of day."""
    dark = (
        "sun: 2.8 kWh/m²\n    temperature: 15 °C\n    drive: 1.5 h",
        "sun: 0 kWh/m²\n    temperature: 15 °C\n    drive: 1.5 h",
    )
    table = next(t for t in energy(dark).banks[0].breakfast if t.day == "open day")
    assert dict(table.lasts)[1.0] == pytest.approx(day_of("open day", dark).hours_dark)


def test_charging_counts_from_plugging_in():
    """Plugged in at 18:00, when nothing but alarms and the battery itself take 3.2 W of the charger's 640 W: by the
    closed form, less the rest of absorption between the 98 % that a person calls full and its end.
    """
    day = day_of(
        "winter day",
        ("plugged in: 8 h from 10:00", "plugged in: 12 h from 18:00"),
        ("drive: 1 h from 8:30", "drive: 0 h"),
        ("sun: 0.6 kWh/m²", "sun: 0 kWh/m²"),
    )
    bank, power = energy().banks[0].bank, 640 - 3.2
    closed = charging_hours(bank.usable_wh(4), power, bank.charge_efficiency, bank.tau_h)
    end = MISSING_AFTER_ABSORPTION * power * bank.charge_efficiency * bank.tau_h
    rest = bank.tau_h * math.log(0.02 * bank.full_wh(4) / end)
    assert day.hours_to_full == pytest.approx(closed - rest, abs=0.05)


@pytest.mark.parametrize(("supply", "rows"), [("16 A", (10.0, 6.0)), ("6 A", ())])
def test_ordinary_sites_are_shown_though_nobody_names_them(supply, rows):
    """The hall of 10 A is described; without it 10 A stands among the ordinary ones."""
    found = energy(
        ("ac supply: 230 V 50 Hz 16 A TN-S", f"ac supply: 230 V 50 Hz {supply} TN-S"),
        ("      village hall: {rating: 10 A, upstream: B10 + RCD 30 mA type A}\n", ""),
    )
    assert tuple(r.usual_a for r in found.banks[0].together if r.usual_a) == rows
    six = [r for r in found.banks[0].together if r.usual_a == 6]
    for row in six:  # 1380 VA: the heater and the kettle go first, then the charger waits
        assert row.shed[:2] == ("tea_corner.kettle", "heater.heater")
        left = [t for t in row.things if t.id not in row.shed]
        assert apparent_va(left) <= row.limit_va
        assert apparent_va([*left, next(t for t in row.things if t.id == row.shed[-1])]) > row.limit_va


def test_american_sites_are_shown_to_american_trailers():
    (bank,) = example("tin_kiln").banks
    assert [r.usual_a for r in bank.together if r.usual_a] == [15.0]


def test_a_year_without_temperatures_says_which_months_are_in_doubt():
    travelling = next(y for y in energy().banks[0].years if y.day == "travelling day")
    assert travelling.doubtful == (0, 1, 2, 9, 10, 11)
    locker = 'battery locker: "vented, lowest {} °C"'
    mild = energy((locker.format(-10), locker.format(15)))
    warm = next(y for y in mild.banks[0].years if y.day == "travelling day")
    assert warm.doubtful == ()


def test_a_frosty_january_is_not_charged_where_months_have_temperatures():
    months = "[-5 °C, -2 °C, 3 °C, 8 °C, 13 °C, 16 °C, 18 °C, 18 °C, 14 °C, 9 °C, 4 °C, -3 °C]"
    given = ("  latitude: 52 °\n", f"  latitude: 52 °\n  temperature: {months}\n")
    travelling = next(y for y in energy(given).banks[0].years if y.day == "travelling day")
    assert [m.number for m in travelling.months if not m.charged] == [0, 1, 11]
    assert travelling.doubtful == ()
    assert travelling.months[0].without_h > 0  # 661 Wh a day from 4 kWh do not last a month
    assert travelling.months[6].without_h == 0
