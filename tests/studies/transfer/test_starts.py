"""Motor starts on the inverter and on the lead, and the order of cut-outs: mutations, and what is sound."""

import pytest

from asfitted.description.load import load_text
from asfitted.studies.results import Grade
from asfitted.studies.study import study
from tests.studies.builds import EXAMPLE, studied

BOAT = EXAMPLE.parents[1] / "slow_heron" / "build.yaml"
PROJECTOR = "projector: 220 W pf 0.95 rides 20 ms"
BATTERY = "internal resistance: 4 mohm new and warm, 12 mohm aged and cold"
BELOW = "protection opens below: 20 V"
ABOVE = "protection opens above: 300 A"


def codes(*changes: tuple[str, str]) -> dict[str, Grade]:
    return {finding.code: finding.grade for finding in studied(*changes).transfers.findings}


def motor(start: str) -> tuple[str, str]:
    return PROJECTOR, f"projector: 220 W pf 0.95 starts {start}"


def test_a_start_within_the_surge_raises_nothing():
    assert codes(motor("6 A for 0.4 s")) == {}


def test_a_start_above_the_limit_trips_the_inverter():
    assert codes(motor("18 A for 0.4 s"))["start-trips-inverter"] is Grade.IMPROVEMENT


def test_a_start_that_lasts_longer_than_the_surge_trips_too():
    """13.9 A for 2 s is the surge."""
    assert "start-trips-inverter" not in codes(motor("7 A for 2 s"))
    assert "start-trips-inverter" in codes(motor("7 A for 3 s"))


def test_a_motor_of_which_nothing_is_said_takes_six_times_its_current():
    start = studied((PROJECTOR, "projector: 184 W motor")).transfers.starts[0].start
    assert abs(start.running_a) == pytest.approx(1.0)  # 184 W ÷ (230 V × 0.8)
    assert abs(start.starting_a) == pytest.approx(6.0)
    assert start.verified == "from memory"


def test_the_battery_side_of_a_start_by_hand():
    """6 A at power factor 0.7 beside kettle and laptops: 230 V × (4.35 + 1.13 + 4.2 A) ÷ 0.9 = 2.47 kW."""
    start = studied(motor("6 A for 0.4 s")).transfers.starts[0]
    assert start.power_w == pytest.approx(2474, rel=0.01)
    cold = start.bounds[1]
    assert (cold.age, cold.emf_v, cold.battery_ohm) == ("aged and cold", 24, 0.012)
    # Kirchhoff round the loop, and the power at its end
    assert cold.voltage_v * cold.current_a == pytest.approx(start.power_w)
    assert cold.voltage_v + cold.current_a * (cold.battery_ohm + cold.cables_ohm) == pytest.approx(
        24 - cold.rest_v
    )
    # 549 W on the d.c. board, 3 W of alarms, 24 W of planned lamps at 24 V are 24 A: 0.288 V in 12 mohm, and 1.7 m of
    # 50 mm² that they share (18.1 ohm mm²/km at 20 °C, somewhat more when warm) 0.015 to 0.02 V
    assert 0.288 + 0.015 < cold.rest_v < 0.288 + 0.021


def test_a_cold_tired_battery_lets_the_inverter_cut_out():
    tired = (BATTERY, "internal resistance: 4 mohm new and warm, 40 mohm aged and cold")
    assert codes(motor("6 A for 0.4 s"), tired)["start-below-cut-out"] is Grade.IMPROVEMENT
    assert "start-below-cut-out" not in codes(tired)  # no motor, no start


def test_the_light_flickers_on_a_long_lead():
    """6 A at 0.7 minus 1 A at 0.95: 3.2 A in phase over 0.8 ohm of site, 0.5 of lead, 0.1 of own wiring."""
    dip = studied(motor("6 A for 0.4 s")).transfers.dips[0]
    assert dip.dip_v == pytest.approx(4.6, abs=0.1)
    assert dip.holds
    long = ("W1: 25 m rubber 60 °C free air class 5", "W1: 100 m rubber 60 °C free air class 5")
    assert codes(motor("12 A for 0.4 s"), long)["start-dip"] is Grade.IMPROVEMENT


def test_reversed_cut_outs_are_found_and_darken_the_alarms():
    assert codes((BELOW, "protection opens below: 21.5 V")) == {"cut-outs-reversed": Grade.POTENTIAL}
    found = studied().transfers.cut_outs[0]
    assert found.order == "right"
    assert "alarms" in found.dark


def test_reversed_cut_outs_without_anything_that_must_not_stop_are_an_improvement():
    changes = (
        (BELOW, "protection opens below: 21.5 V"),
        ("smoke and gas alarms: 3 W continuous essential", "porch lamp: 3 W lighting"),
        ("router and screen: 36 W continuous", "router and screen: 36 W"),
    )
    assert codes(*changes) == {"cut-outs-reversed": Grade.IMPROVEMENT}


def test_a_protection_that_opens_at_the_surge_is_found():
    """3.2 kW ÷ 0.9 at 21 V, just before the inverter cuts out, are 169 A."""
    assert codes((ABOVE, "protection opens above: 165 A")) == {"battery-opens-at-surge": Grade.POTENTIAL}
    assert codes((ABOVE, "protection opens above: 175 A")) == {}


def test_what_nobody_says_of_a_lithium_battery_is_asked_for():
    assert codes((f"    {BELOW}\n", "")) == {"cut-outs-unknown": Grade.INVESTIGATION}


LIMIT = "discharge limit: 150 A, 200 A for 5 s"
SURGE = "surge: 3.2 kW for 2 s"


def test_a_surge_beyond_a_lasting_limit_alone_is_not_known():
    """169 A for 2 s on a battery of which 100 A for good are all that is said: nobody knows when it opens."""
    changes = (LIMIT, "discharge limit: 100 A"), (f"    {ABOVE}\n", "")
    assert studied(*changes).transfers.cut_outs[0].order == "surge not known"
    assert codes(*changes) == {"battery-surge-unknown": Grade.INVESTIGATION}
    enough = (LIMIT, "discharge limit: 170 A"), (f"    {ABOVE}\n", "")
    assert studied(*enough).transfers.cut_outs[0].order == "right"
    assert codes(*enough) == {}


def test_a_surge_between_limit_and_protection_is_found():
    """4.8 kW ÷ (0.9 × 21 V) = 254 A for 2 s: the protection bears it, the maker allows 100 A and does not say more."""
    open_ = (ABOVE, "protection opens above: 500 A"), (SURGE, "surge: 4.8 kW for 2 s")
    assert codes((LIMIT, "discharge limit: 100 A"), *open_)["battery-surge-unknown"] is Grade.INVESTIGATION
    told = codes((LIMIT, "discharge limit: 100 A, 200 A for 5 s"), *open_)
    assert told["surge-beyond-battery"] is Grade.IMPROVEMENT
    borne = codes((LIMIT, "discharge limit: 100 A, 260 A for 2 s"), *open_)
    assert not {"surge-beyond-battery", "battery-surge-unknown"} & set(borne)


@pytest.mark.parametrize(
    ("limit", "found"),
    [
        ("250 A, 500 A for 5 s", {}),
        ("150 A, 160 A for 5 s", {"battery-opens-at-surge"}),  # 169 A
        ("150 A, 500 A for 1 s", {"battery-opens-at-surge"}),  # the surge lasts 2 s
        ("150 A", {"battery-opens-at-surge"}),
    ],
)
def test_what_a_protection_bears_for_seconds_is_read(limit, found):
    assert set(codes((ABOVE, f"protection opens above: {limit}"))) == set(found)


def test_opening_by_voltage_and_by_current_are_one_grade():
    """Either way the alarms go dark with the kettle."""
    by_voltage = codes((BELOW, "protection opens below: 21.5 V"))
    by_current = codes((ABOVE, "protection opens above: 165 A"))
    assert set(by_voltage.values()) == set(by_current.values()) == {Grade.POTENTIAL}


@pytest.mark.parametrize(
    ("cut_out", "found"),
    [
        ("12 V", {"battery-deep-discharge", "battery-surge-unknown"}),
        ("17.9 V", {"battery-deep-discharge"}),
        ("18 V", set()),
    ],
)
def test_a_lead_acid_battery_is_not_emptied_altogether(cut_out, found):
    """The boat: empty at 21.6 V; 4 kW ÷ 0.9 and 22 A of d.c. board leave 17.95 V behind 12 mohm and cables. At 12 V the
    surge asks 370 A of a battery that is good for 300 A.
    """
    text = BOAT.read_text(encoding="utf-8")
    assert text.count("cut-out below: 18 V") == 1
    changed = study(load_text(text.replace("cut-out below: 18 V", f"cut-out below: {cut_out}"), BOAT))
    assert {f.code for f in changed.transfers.findings} == found


def test_a_battery_with_a_protection_of_its_own_is_guarded_by_it():
    assert codes(("cut-out below: 21 V", "cut-out below: 20.1 V")) == {}


def test_what_is_only_planned_does_not_go_dark():
    assert "awning_lamps" not in studied().transfers.cut_outs[0].dark
