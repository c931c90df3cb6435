"""The energy study on the examples and on changes of them: by hand, by what must follow, and by what must be found."""

import math
from functools import lru_cache
from itertools import combinations

import numpy as np
import pytest

from asfitted.description.load import load_text
from asfitted.description.values import Run
from asfitted.studies.energy.converters import ChargerLine, InverterLine
from asfitted.studies.energy.flows import AS_DESCRIBED, flows
from asfitted.studies.energy.formulas import peukert_factor
from asfitted.studies.energy.schedule import profile
from asfitted.studies.energy.shed import _hours, meter_readings, shedding_order
from asfitted.studies.energy.study import EnergyStudy
from asfitted.studies.energy.together import Thing, smallest_sets
from asfitted.studies.importance import rank
from asfitted.studies.results import Grade
from asfitted.studies.study import study
from tests.studies.builds import EXAMPLE, studied, varied

LOOP = (
    ("    F3: {RCBO: 10 A, W11: 1.5 mm² 2 m, feeds: charger}\n", ""),
    (
        "  AC board:\n    # kettle",
        "  AC board:\n    F3: {RCBO: 10 A, W11: 1.5 mm² 2 m, feeds: charger}\n    # kettle",
    ),
)


@lru_cache(maxsize=8)
def energy(*changes: tuple[str, str]) -> EnergyStudy:
    return studied(*changes).energy


def codes(*changes: tuple[str, str]) -> dict[str, Grade]:
    return {finding.code: finding.grade for finding in energy(*changes).findings}


def example(name: str) -> EnergyStudy:
    path = EXAMPLE.parents[1] / name / "build.yaml"
    return study(load_text(path.read_text(encoding="utf-8"), path)).energy


def day_of(name: str, *changes: tuple[str, str]):
    return next(day for day in energy(*changes).banks[0].days if day.name == name)


def wh(parts) -> dict[str, float]:
    return {part.id: part.wh for part in parts}


def test_an_open_day_by_hand():
    """Projector 220 W · 2 h = 440, laptops 260 · 3 = 780, kettle 1000 · 0.5 = 500: 1720 Wh through the inverter.
    It is on for 8 h: 12 W · 8 h = 96 Wh; its slope is 1600 / (1600/0.9 − 12) = 0.9061: 1720 · (1/0.9061 − 1) = 178 Wh.
    Fridge 65 · 8 = 520, lamps 48 · 6 = 288 and 36 · 4 = 144, desk 36 · 8 = 288, usb 96, pump 18, alarms 3 · 24 = 72.
    The battery itself: 3 % of 5120 Wh in 730 h = 0.21 W, 5 Wh.
    """
    day = day_of("open day")
    takes = wh(day.takes)
    assert takes["inverter"] == pytest.approx(96 + 178.2, abs=0.5)
    assert sum(takes.values()) == pytest.approx(
        1720 + 274.2 + 520 + 288 + 144 + 288 + 96 + 18 + 72 + 5.05, abs=1
    )
    # engine: 15 A · 25.6 V · 1.5 h; sun: 400 W · 2.8 h · (1 − 0.1408) · 0.95
    assert wh(day.brings) == pytest.approx(
        {"engine_charger": 576, "solar": 400 * 2.8 * 0.8592 * 0.95}, abs=0.5
    )


def test_on_a_site_its_sockets_take_nothing_from_the_battery():
    takes = wh(day_of("winter day").takes)
    assert takes.get("tea_corner.kettle", 0) == takes.get("reading_desk.laptops", 0) == 0
    assert wh(day_of("winter day").through)["site"] == pytest.approx(700 + 220 + 780)


@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
def test_examples_have_sound_days_and_answers(name):
    found = example(name)
    assert found.findings == ()
    (bank,) = found.banks
    assert any(day.hours_to_full is not None for day in bank.days)
    assert all(day.hours_to_empty is None or day.hours_to_empty > 24 for day in bank.days)
    for table in bank.breakfast:
        assert all(plan.enough for plan in table.plans), table.day


@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
def test_energy_is_conserved_on_every_described_day(name):
    for bank in example(name).banks:
        for day in bank.days:
            ledger = day.typical
            came = ledger.offered_wh.sum() + ledger.start_wh
            went = sum(
                series.sum() for series in (ledger.charging_loss_wh, ledger.rate_loss_wh, ledger.curtailed_wh)
            )
            went += (ledger.load_wh - ledger.unserved_wh).sum() + ledger.end_wh
            assert came == pytest.approx(went, rel=1e-9)
            used = sum(part.wh for part in day.used)
            assert used == pytest.approx(float((ledger.direct_wh + ledger.accepted_wh).sum()), rel=1e-9)


def test_a_charger_on_the_inverter_is_an_energy_loop():
    found = energy(*LOOP)
    (loop,) = found.banks[0].loops
    # 25 A · 28.4 V / 0.92 = 771.7 W; 771.7 · (1/0.9061 − 0.92) + 12 = 153.7 W
    assert loop.through_w == pytest.approx(771.7, abs=0.1)
    assert loop.loss_w == pytest.approx(153.7, abs=0.3)
    finding = next(f for f in found.findings if f.code == "energy-loop")
    assert finding.grade is Grade.IMPROVEMENT
    assert finding.where == ("charger", "inverter")


def test_behind_the_supply_there_is_no_loop():
    assert energy().banks[0].loops == ()


def test_a_passing_inverter_charger_is_no_loop():
    assert example("slow_heron").banks[0].loops == ()


COLD = ("    charge cut-off below: 0 °C\n", "")


def test_charging_in_the_cold_not_ruled_out():
    assert codes(COLD) == {"charge-cold-not-shown": Grade.INVESTIGATION}


def test_charging_in_the_cold():
    assert codes(("charge cut-off below: 0 °C", "charge cut-off below: -5 °C")) == {
        "charge-below-limit": Grade.POTENTIAL
    }


def test_a_warm_locker_asks_for_no_cut_off():
    assert (
        codes(COLD, ('battery locker: "vented, lowest -10 °C"', 'battery locker: "vented, lowest 5 °C"'))
        == {}
    )


def test_lead_acid_may_be_charged_in_the_cold():
    lead = ("battery: LiFePO4 25.6 V 200 Ah", "battery: lead-acid AGM 24 V 200 Ah")
    assert not {"charge-cold-not-shown", "charge-below-limit"} & set(codes(lead, COLD))


WARM_LOCKER = ('battery locker: "vented, lowest -10 °C"', 'battery locker: "vented, lowest 5 °C"')


def test_a_frosty_day_counts_however_warm_its_place_is_said_to_be():
    """The place has 5 °C at the lowest, the day -10 °C, and it is plugged in: charged in frost."""
    frost = ("temperature: 4 °C", "temperature: -10 °C")
    assert codes(COLD, WARM_LOCKER, frost) == {"charge-in-frost": Grade.POTENTIAL}
    assert day_of("winter day", COLD, WARM_LOCKER, frost).charged_too_cold
    assert codes(WARM_LOCKER, frost) == {}  # the cut-off at 0 °C stops it
    assert not day_of("winter day", WARM_LOCKER, frost).charged_too_cold


def test_without_a_cut_off_charging_goes_on_in_the_model_as_it_does_in_the_battery():
    day = day_of("winter day", COLD, ("temperature: 4 °C", "temperature: -10 °C"))
    assert day.charging_allowed
    assert day.charged_too_cold
    assert day.typical.accepted_wh.sum() > 0


@pytest.mark.parametrize(("celsius", "found"), [(-30, {"battery-too-cold": Grade.IMPROVEMENT}), (-20, {})])
def test_below_minus_20_lithium_may_not_even_be_used(celsius, found):
    changes = (("temperature: 4 °C", f"temperature: {celsius} °C"),)
    assert codes(*changes) == found
    assert day_of("winter day", *changes).used_too_cold == bool(found)


def test_one_battery_is_found_once():
    """One finding for one locker without air, and one for one battery without a cut-off, over all studies."""
    closed = [
        f.code
        for f in studied(("  cab: vented\n", "  cab: not vented\n")).found
        if "starter_battery" in f.where
    ]
    assert closed == ["battery-not-ventilated"]
    cold = [f.code for f in studied(COLD).found if "battery" in f.where]
    assert cold == ["charge-cold-not-shown"]


def test_a_starter_battery_of_lithium_is_asked_as_well():
    lithium = ("battery: lead-acid AGM 12 V 90 Ah", "battery: LiFePO4 12.8 V 90 Ah")
    asked = {f.code for f in energy(lithium).findings if "starter_battery" in f.where}
    assert asked == {"charge-cold-not-shown"}


def test_no_charge_below_the_cut_off():
    day = day_of("winter day", ("temperature: 4 °C", "temperature: -3 °C"))
    assert not day.charging_allowed
    assert day.hours_to_full is None
    assert day.typical.accepted_wh.sum() == 0


def test_lead_acid_in_a_closed_space():
    assert codes(("  cab: vented\n", "  cab: not vented\n")) == {"battery-not-ventilated": Grade.POTENTIAL}


def test_lead_acid_in_a_space_of_which_nothing_is_said():
    assert codes(("    space: cab\n", "")) == {"ventilation-not-shown": Grade.INVESTIGATION}


def test_no_day_that_fills_the_battery():
    without = (
        ("    drive: 5 h from 8:00\n", ""),
        ("    plugged in: 8 h from 10:00\n", ""),
        ("    use: {inverter: 0 h, fridge: 8 h spread,", "    use: {inverter: 10 h from 8:00, fridge: 24 h,"),
    )
    assert "energy-not-recovered" in codes(*without)


def test_a_day_that_a_full_battery_does_not_carry():
    longer = (
        "projector: 2 h from 15:00, laptops: 3 h from 13:00, shelf lamps: 6 h",
        "projector: 8 h from 10:00, laptops: 9 h from 10:00, shelf lamps: 6 h",
    )
    found = codes(longer)
    assert found == {"day-exceeds-battery": Grade.IMPROVEMENT}


def test_smallest_sets_are_minimal_and_complete():
    """Against brute force over all subsets of up to three things."""
    things = [
        Thing(str(n), str(n), power, 0.3 * power) for n, power in enumerate((1000, 900, 700, 400, 250, 100))
    ]
    base = [Thing("b", "b", 200, 0)]
    limit = 1900.0
    found = {frozenset(group.ids) for group in smallest_sets(things, base, limit)}

    def asked(group) -> float:
        active = 200 + sum(t.power_w for t in group)
        return math.hypot(active, sum(t.reactive_va for t in group))

    every = {
        frozenset(t.id for t in group)
        for size in (1, 2, 3)
        for group in combinations(things, size)
        if asked(group) > 1.005 * limit
    }
    minimal = {group for group in every if not any(other < group for other in every)}
    assert found == minimal
    assert found


def test_kettle_and_charger_are_too_much_for_a_small_site():
    """Procedures, section 4: the power factor of a charger decides a 6 A site."""
    good = ("village hall: {rating: 10 A, upstream: B10", "village hall: {rating: 6 A, upstream: B6")
    poor = ("efficiency: 0.92, power factor: 0.98", "efficiency: 0.92, power factor: 0.65")

    def at_hall(*changes):
        rows = energy(*changes).banks[0].together
        return next(row for row in rows if row.site == "village hall")

    # heater 750 W with the charger (772 W): 1522 W of 1380 W; at 10 A it takes the kettle as well
    pairs = {frozenset(found.ids) for found in at_hall(good).too_much}
    assert frozenset({"heater.heater", "charger"}) in pairs
    assert at_hall(good, poor).all_va > at_hall(good).all_va
    assert all(row.holds for row in energy().banks[0].together if row.source == "inverter")


@pytest.mark.parametrize(("factor", "amperes"), [(1.0, 3.6), (0.65, 5.5)])
def test_the_charger_of_the_procedures(factor, amperes):
    """Procedures, section 4: 14.4 V · 50 A / 0.88 = 818 W, 3.6 A at power factor 1 and 5.5 A at 0.65, on 230 V."""
    line = ChargerLine(50, 12.8, 14.4, 0.88, factor)
    assert line.input_w == pytest.approx(818, abs=0.5)
    assert line.input_va / 230 == pytest.approx(amperes, abs=0.05)


def test_meter_readings():
    assert meter_readings(0.8) == (1.0, 0.75, 0.45)
    assert meter_readings(0.5) == (1.0, 0.85, 0.65)


def test_what_is_essential_is_never_left_off_and_first_to_go_goes_first():
    change = ("loads: {shelf lamps: 48 W lighting}", "loads: {shelf lamps: 48 W lighting first to go}")
    found = studied(change)
    (bank,) = found.energy.banks
    description = found.network.description
    order = shedding_order(bank.house, description.days["open day"], description.climate)
    assert order[0][0].name == "shelf lamps"
    assert [a.name for a, _ in order[1:]] == [
        "kettle",
        "laptops",
        "fridge",
        "projector",
        "usb points",
        "pump",
        "reading lamps",
        "router and screen",
    ]  # heat, then what is convenient by size, then light, last what is there to run all the time
    assert "smoke and gas alarms" not in {a.name for a, _ in order}


def test_leaving_off_what_a_plan_says_lasts_and_one_thing_fewer_does_not():
    found = studied()
    (bank,) = found.energy.banks
    table = next(t for t in bank.breakfast if t.day == "open day")
    description = found.network.description
    day, climate = description.days["open day"], description.climate
    for plan in table.plans:
        hours = _hours(bank.house, day, climate, plan.reading, frozenset(plan.left_off))
        assert hours is None or hours >= 24 * plan.days - 1e-6
        things = {a.id: rank(a.load) for a in bank.house.appliances if a.id in plan.left_off}
        last = [id_ for id_, place in things.items() if place == max(things.values())]
        for id_ in last:
            # what is put back takes its inverter with it
            fewer = frozenset(plan.left_off) - {id_} - {*bank.house.inverters}
            less = _hours(bank.house, day, climate, plan.reading, fewer)
            assert less is not None
            assert less < 24 * plan.days


@pytest.mark.parametrize("share", [0.02, 0.1, 0.5, 1.0])
def test_an_inverter_meets_its_idle_draw_and_its_rating(share):
    line = InverterLine(12, 1600, 0.9)
    assert line.input_w(np.array([0.0]), np.array([1.0]))[0] == 12
    assert line.efficiency_at(1600) == pytest.approx(0.9)
    # below the rating a straight line with idle draw is never better than without it
    assert line.efficiency_at(share * 1600) <= line.slope


def test_times_of_day():
    assert profile(Run(duration_s=3600, from_h=23.5))[:30].sum() == 30  # past midnight
    assert profile(Run(duration_s=5400)).nonzero()[0][-1] == 22 * 60 - 1
    assert profile(Run(duration_s=8 * 3600, spread=True)) == pytest.approx(np.full(1440, 1 / 3))
    assert profile(Run(duration_s=90, from_h=10)).sum() == pytest.approx(1.5)


def test_a_site_gives_a_charger_what_the_loads_leave():
    small = ("ac supply: 230 V 50 Hz 16 A TN-S", "ac supply: 230 V 50 Hz 6 A TN-S")
    found = studied(small)
    house = found.energy.banks[0].house
    flow = flows(house, found.network.description.days["winter day"], None, AS_DESCRIBED)
    _, _, line = house.chargers["site"][0]
    # 10:30 to 11:12 the kettle alone asks 1000 of 1380 VA: the charger gets 380 of its 787 VA
    assert flow.brings["charger"][10 * 60 + 45] == pytest.approx(line.output_w * 380 / line.input_va)
    assert flow.brings["charger"][10 * 60 + 5] == pytest.approx(line.output_w)


def test_peukert_counts_from_the_rated_current():
    assert peukert_factor(4.9, 5, 1.25) == 1
    assert peukert_factor(10, 5, 1.25) == pytest.approx(2**0.25)


def test_a_build_without_a_house_battery_has_air_alone():
    line = "    battery: LiFePO4 25.6 V 200 Ah\n"
    found = study(load_text(varied((line, line + "    use: starter\n"))))
    assert found.energy.banks == ()
    assert [air.battery for air in found.energy.ventilation] == ["starter_battery"]
