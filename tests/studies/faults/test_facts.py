"""Physical answers that another program found and ngspice confirmed; here on a road vehicle of our own.

0.8 ohm site, 25 m lead, inverter that limits at 22 A, 30 mA devices, loads of 6 A. A few per cent are the
difference of cable lengths and poles.
"""

from math import inf

import pytest

from asfitted.studies.faults.bearing import withstand_a2s
from asfitted.studies.faults.heat import destroyed
from tests.studies.faults.builds import NOMINAL, circuit, state
from tests.studies.faults.playing import Playing, acted, playing, residual_a

NO_BOND = ("neutral bond: {kind: fixed", "neutral bond: {kind: none")
SINGLE_POLE = ("25 A 2P", "25 A 1P")
REVERSED = ("upstream: C16", "polarity: may be reversed, upstream: C16")
TN_C_S = ("16 A TN-S", "16 A TN-C-S")


def plugged(*edits: tuple[str, str], site: int = 0, tyres: float = 1e5) -> Playing:
    found = circuit(*edits, site=site, overrides={**NOMINAL, "tyres": tyres})
    return playing(found, state(found.network, site="live", inverter="running"))


def inverting(*edits: tuple[str, str], tyres: float = 1e5) -> Playing:
    found = circuit(*edits, overrides={**NOMINAL, "tyres": tyres})
    return playing(found, state(found.network, site="unplugged", inverter="running"))


@pytest.mark.parametrize("broken", [(), ("W8.PE",)], ids=["lead solid", "lead switched off"])
def test_fault_inside_the_idle_bonded_inverter_is_harmless(broken):
    judged = plugged().fault("inverter.L", "inverter.PE", broken=broken)
    assert judged.outcome == "source collapsed"
    assert acted(judged) == [("inverter", 0.1)]
    assert judged.run.steps[0].current_a == pytest.approx(22, rel=0.01)
    assert judged.run.steps[0].feeling.volts < 1
    assert max(judged.run.steps[0].residual_a) < 0.002


def test_from_26_ohm_nothing_stops_that_fault_and_nothing_is_felt():
    judged = plugged().fault("inverter.L", "inverter.PE", ohm=26.5)
    assert (judged.outcome, judged.verdict) == ("not cleared", "current stays")
    assert judged.run.steps[-1].current_a == pytest.approx(8.6, rel=0.02)
    assert judged.run.steps[-1].feeling.volts < 1


def test_live_of_the_site_on_the_inverters_case_with_a_solid_lead():
    judged = plugged().fault("changeover.source 1.L", "inverter.PE")
    assert acted(judged)[0] == ("site upstream", 0.04)
    assert judged.run.steps[0].current_a == pytest.approx(172, rel=0.03)
    assert judged.run.steps[0].feeling.outside_v == pytest.approx(107, rel=0.03)
    assert judged.verdict == "in time"


def test_switching_the_earth_lead_leaves_the_case_live_until_touched():
    judged = plugged().fault("changeover.source 1.L", "inverter.PE", broken=("W8.PE",))
    assert judged.outcome == "not cleared until touched"
    assert judged.run.steps[-1].feeling.volts == pytest.approx(226, rel=0.01)
    assert judged.worst is not None
    assert judged.worst[1].current_a == pytest.approx(0.226, rel=0.01)
    assert judged.touched is not None
    first = judged.touched.steps[0]
    assert (first.acted[0], first.end_s) == ("site upstream", 0.15)


def test_the_open_earth_lead_on_inverter_kills():
    judged = inverting().fault("changeover.source 2.L", "earth_bar", broken=("W8.PE",))
    assert (judged.outcome, judged.verdict) == ("not cleared", "stays")
    assert judged.worst is not None
    assert judged.worst[0].from_.name == "inverter"
    assert judged.worst[1].across_v == pytest.approx(227, rel=0.01)
    assert judged.spell_s == inf


def test_one_pole_transfer_makes_a_second_bond_that_the_site_sees():
    judged = plugged(SINGLE_POLE).fault(kind="none")
    assert residual_a(judged, plugged(SINGLE_POLE).bench, "site upstream") == pytest.approx(3.0, rel=0.05)
    assert acted(judged)[0] == ("site upstream", 0.04)


def test_one_pole_transfer_with_protective_conductor_lost_shows_nothing():
    playing_ = plugged(SINGLE_POLE)
    judged = playing_.fault(kind="none", broken=("W1.PE",))
    assert acted(judged) == []
    assert residual_a(judged, playing_.bench, "site upstream") < 0.002


def test_and_with_reversed_polarity_the_structure_is_live_in_service():
    judged = plugged(SINGLE_POLE, REVERSED, site=1).fault(kind="none", broken=("W1.PE",))
    assert acted(judged) == []
    assert judged.run.steps[0].feeling.outside_v == pytest.approx(226, rel=0.01)


BOND_BEHIND = (("desk.N", "desk.PE", 0.005),)


def test_bond_behind_the_device_blinds_it():
    playing_ = inverting(NO_BOND)
    judged = playing_.fault("desk.L", "desk.PE", also=BOND_BEHIND)
    assert judged.run.steps[0].current_a == pytest.approx(22, rel=0.01)
    assert residual_a(judged, playing_.bench, "F1") == pytest.approx(0, abs=1e-6)
    assert judged.outcome == "source collapsed"


def test_a_person_from_line_to_structure_behind_it_is_never_noticed():
    judged = inverting(NO_BOND).fault("desk.L", "body", ohm=1000, also=BOND_BEHIND)
    assert acted(judged) == []
    assert judged.run.steps[-1].current_a == pytest.approx(0.228, rel=0.01)


def test_the_device_of_another_circuit_sees_its_fault_through_that_bond():
    playing_ = inverting(NO_BOND)
    judged = playing_.fault("kitchen.L", "kitchen.PE", also=BOND_BEHIND)
    assert acted(judged) == [("F1", 0.04), ("F2", 0.04)]
    assert residual_a(judged, playing_.bench, "F1") == pytest.approx(22, rel=0.01)


def test_the_same_bond_on_the_supply_trips_site_and_board_at_once():
    judged = plugged(NO_BOND).fault(kind="none", also=BOND_BEHIND)
    assert acted(judged)[:2] == [("F1", 0.04), ("site upstream", 0.04)]


def test_without_a_bond_the_first_fault_is_silent_and_harmless():
    playing_ = inverting(NO_BOND)
    judged = playing_.fault("desk.L", "desk.PE")
    assert judged.outcome == "no trip expected"
    assert judged.run.steps[0].current_a == pytest.approx(0.0008, abs=0.0003)
    assert judged.run.steps[0].feeling.volts < 1


def test_a_second_fault_on_another_circuit_trips_both():
    judged = inverting(NO_BOND).fault("desk.L", "desk.PE", also=(("kitchen.N", "kitchen.PE", 0.01),))
    assert acted(judged) == [("F1", 0.04), ("F2", 0.04)]


def test_a_second_fault_on_the_same_circuit_is_balanced():
    playing_ = inverting(NO_BOND)
    judged = playing_.fault("desk.L", "desk.PE", also=(("desk.N", "desk.PE", 0.01),))
    assert residual_a(judged, playing_.bench, "F1") < 0.001
    assert judged.outcome == "source collapsed"


def test_the_inverter_cannot_trip_the_breaker_behind_it():
    judged = inverting().fault("desk.L", "desk.N", kind="live to neutral")
    assert judged.run.steps[0].current_a == pytest.approx(22, rel=0.01)
    assert acted(judged) == [("inverter", 0.1)]


@pytest.mark.parametrize(
    ("ohm", "time"), [(0.01, 0.04), (100, 0.04), (900, 0.04), (1000, 0.15), (5000, 0.3), (7700, None)]
)
def test_residual_device_on_inverter_by_resistance_of_the_fault(ohm, time):
    judged = inverting().fault("desk.L", "desk.PE", ohm=ohm)
    assert acted(judged) == ([("F1", time)] if time else [])


@pytest.mark.parametrize(("tyres", "trips"), [(7400, True), (7700, False), (1e5, False)])
def test_lost_protective_conductor_is_noticed_through_the_tyres_only_below_7500_ohm(tyres, trips):
    judged = plugged(tyres=tyres).fault("desk.L", "desk.PE", broken=("W1.PE",))
    assert judged.run.steps[0].feeling.outside_v == pytest.approx(225, rel=0.01)
    assert (judged.outcome == "cleared") == trips
    if not trips:
        assert judged.outcome == "not cleared until touched"
        assert judged.touched is not None
        assert {"F1", "site upstream"} <= {n for s in judged.touched.steps for n in s.acted}


@pytest.mark.parametrize(("tyres", "milliamperes"), [(1e5, 2), (1e4, 20), (1e3, 106)])
def test_on_inverter_a_person_from_line_to_earth_gets_what_the_tyres_let_through(tyres, milliamperes):
    judged = inverting(tyres=tyres).fault("desk.L", "true earth", ohm=1050)
    assert 1000 * judged.run.steps[0].current_a == pytest.approx(milliamperes, rel=0.05, abs=0.6)


@pytest.mark.parametrize(("watts", "volts"), [("690 W", 228), ("12 W", 225)])
def test_broken_pen_lifts_the_structure_through_the_load(watts, volts):
    playing_ = plugged(
        TN_C_S, ("690 W}}\n    F2", f"{watts}}}}}\n    F2"), ("kettle: 690 W", f"kettle: {watts}")
    )
    judged = playing_.fault(kind="PEN broken", broken=("site#PEN",))
    assert judged.run.steps[0].feeling.outside_v == pytest.approx(volts, rel=0.02)
    assert max(judged.run.steps[0].residual_a) < 0.002
    assert judged.run.hunts, "the transfer goes to and fro for ever"
    assert (judged.outcome, judged.verdict) == ("not cleared", "stays")


@pytest.mark.parametrize("watts", [500.0, 3000.0])
def test_broken_pen_lifts_the_structure_through_the_neighbours_load_with_nothing_on_aboard(watts):
    """Closed form: the line through U²/P of the neighbours to the structure, on through tyres or a body to earth."""
    edits = (TN_C_S, ("690 W}}\n    F2", "0.1 W}}\n    F2"), ("kettle: 690 W", "kettle: 0.1 W"))
    found = circuit(*edits, overrides={**NOMINAL, "neighbours": watts})
    playing_ = playing(found, state(found.network, site="live", inverter="running"))
    judged = playing_.fault(kind="PEN broken", broken=("site#PEN",))
    neighbours_ohm = 230**2 / watts
    assert judged.run.steps[0].feeling.outside_v == pytest.approx(
        230 * 1e5 / (1e5 + neighbours_ohm), rel=0.005
    )
    assert judged.verdict == "stays"
    assert judged.worst is not None
    _, felt = judged.worst
    assert felt.current_a == pytest.approx(230 / (neighbours_ohm + felt.impedance_ohm), rel=0.005)


def test_reversed_polarity_makes_neutral_to_case_the_great_fault():
    judged = plugged(REVERSED, site=1).fault("desk.N", "desk.PE", kind="neutral to case")
    assert judged.run.steps[0].current_a == pytest.approx(150, rel=0.06)
    assert {"F1", "site upstream"} <= {name for name, _ in acted(judged)}


@pytest.mark.parametrize(("poles", "left"), [("2P", ()), ("1P", ("desk",))])
def test_with_reversed_polarity_a_single_pole_device_leaves_the_load_live_after_opening(poles, left):
    # fact 10: what opens stands in the site's neutral
    board = ("RCBO: B 2P 30 mA", f"RCBO: B {poles} 30 mA")
    strong = ("upstream: C16 + RCD 30 mA type A", "upstream: C63")
    judged = plugged(REVERSED, board, strong, site=1).fault("desk.L", "desk.N", kind="live to neutral")
    assert acted(judged)[0][0] == "F1"
    assert "site upstream" not in {name for name, _ in acted(judged)}
    assert judged.run.live == left


def test_the_earth_lead_of_fact_11_is_destroyed_by_its_figure_and_by_ours():
    """170 k²S² is I²t over all of the fuse's 66 s, k = 115 of a live conductor, no heat lost meanwhile.

    Ours counts 5 s, as long as the formula holds (IEC 60364-4-43 434.5.2), with k = 143 of a separate protective
    conductor (IEC 60364-5-54 Table A.54.2, PVC): less by 66/5 and (143/115)², and still eight times what the lead bears.
    """
    assert pytest.approx(170, rel=0.01) == 736**2 * 66 / (115 * 4) ** 2
    edits = ("W23: 16 mm² 0.5 m, body", "W23: 70 mm² 0.5 m, body")
    found = circuit(edits, bound="greatest", overrides={**NOMINAL})
    playing_ = playing(found, state(found.network, site="unplugged", inverter="running"), direct=True)
    run = playing_.fault("inverter.plus", "inverter.PE", kind="plus to case", ohm=0.01).run
    assert "W8.PE" in destroyed(playing_.bench, run)
    assert withstand_a2s(found.network, found.network.cores["W8.PE"]) == pytest.approx((143 * 4) ** 2)
    ids = [found.circuit.branches[n].id for n in playing_.bench.cores]
    heat = float(run.heat[ids.index("W8.PE")])  # type: ignore[index]
    assert heat == pytest.approx(run.steps[0].protective_dc_a ** 2 * 5, rel=0.01)
    assert heat / (143 * 4) ** 2 == pytest.approx(170 * 5 / 66 * (115 / 143) ** 2, rel=0.4)


def test_battery_plus_on_the_case_outlasts_the_earth_lead():
    found = circuit(
        ("W23: 16 mm² 0.5 m, body", "W23: 70 mm² 0.5 m, body"), bound="greatest", overrides={**NOMINAL}
    )
    playing_ = playing(found, state(found.network, site="unplugged", inverter="running"), direct=True)
    judged = playing_.fault("inverter.plus", "inverter.PE", kind="plus to case", ohm=0.01)
    assert judged.run.steps[0].protective_dc_a == pytest.approx(736, rel=0.2)
    assert acted(judged)[0][0] == "F10"
    assert acted(judged)[0][1] > 20, "the 250 A fuse needs most of a minute"


NOT_ISOLATED = ("isolation: isolated", "isolation: not isolated")
TYPE_B = ("RCBO: B 2P 30 mA type A 6 kA", "RCBO: B 2P 30 mA type B 6 kA")


@pytest.mark.parametrize("terminal", ["desk.L", "desk.N"])
def test_an_inverter_that_is_not_isolated_sends_direct_current_through_a_person_and_blinds_type_a(terminal):
    """Half the output and half the d.c. link, 115 V a.c. and 190 V d.c., from both conductors to the structure.

    Through 1050 ohm: 190 V / 1050 ohm = 181 mA d.c., far above the 6 mA to which a type A is guaranteed.
    """
    playing_ = inverting(NO_BOND, NOT_ISOLATED)
    judged = playing_.fault(terminal, "body", ohm=1050)
    devices = [d.id for d in playing_.bench.units.devices]
    step = judged.run.steps[0]
    assert step.direct_a[devices.index("F1")] == pytest.approx(190 / 1050, rel=0.02)
    assert step.residual_a[devices.index("F1")] == pytest.approx(115 / 1050, rel=0.02)
    assert acted(judged) == []


def test_type_b_sees_both_currents():
    playing_ = inverting(NO_BOND, NOT_ISOLATED, TYPE_B)
    assert acted(playing_.fault("desk.L", "body", ohm=1050))[0] == ("F1", 0.15)


def test_an_isolated_inverter_sends_none():
    assert inverting(NO_BOND).bench.beside is None
