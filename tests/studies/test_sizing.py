import math
import re

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from asfitted.studies.cable_findings import apart
from asfitted.words import catalogue, text

from .small import LAUNCH, TRAILER, VEHICLE, codes, sizing

BASE = sizing()
BOAT = sizing(of=LAUNCH)


def test_design_currents_by_hand():
    kettle, projector = 1000 / 230, 220 / 230 / 0.95
    desk = abs(complex(kettle + projector * 0.95, -projector * math.sin(math.acos(0.95))))
    assert BASE.cables["W10"].design_current_a == pytest.approx(desk)
    charger = 20 * 29.2 / (0.92 * 0.98 * 230)
    assert BASE.cables["W11"].design_current_a == pytest.approx(charger)
    assert desk < BASE.cables["W1"].design_current_a < desk + charger
    inverter, lamps = 1600 / 0.9 / 21, 48 / 21
    assert BASE.cables["W21"].design_current_a == pytest.approx(inverter)
    assert BASE.cables["W20"].design_current_a == pytest.approx(inverter + lamps)
    assert BASE.cables["W23"].design_current_a == pytest.approx(20)  # charging is more than the lamps
    assert BASE.cables["W10"].capacity_a == pytest.approx(27 * 0.87 * 0.85)


def test_drop_adds_up_over_a_way():
    way = next(d for d in BASE.drops if (d.source, d.item) == ("site", "desk"))
    assert [cable for cable, _ in way.cables] == ["W1", "W2", "W3", "W7", "W10"]
    assert way.drop_v == pytest.approx(sum(volts for _, volts in way.cables))
    assert way.drop_percent == pytest.approx(100 * way.drop_v / 230)
    lead = BASE.cables["W1"].design_current_a * 7.98e-3 * 25 * 2 * (1 + 0.00393 * 40)
    assert dict(way.cables)["W1"] == pytest.approx(lead, rel=0.02)


def test_direct_current_drop_counts_both_ways():
    modes = {(d.item, d.mode) for d in BASE.drops if d.source == "battery"}
    assert {("inverter", "discharge"), ("charger", "charge"), ("lamps", "discharge")} <= modes
    assert all(d.drop_v > 0 for d in BASE.drops)


def test_drop_above_its_limit():
    result = sizing(("W31: 2.5 mm² 7 m", "W31: 2.5 mm² 60 m"))
    finding = next(f for f in result.findings if f.code == "drop-exceeded")
    assert finding.where == ("lamps", "W31")
    again = sizing(("W31: 2.5 mm² 7 m", f"W31: {finding.fields['fitting_size']} 60 m"))
    assert "drop-exceeded" not in codes(again)


def test_cables_before_a_source_limit_carry_no_more_than_it():
    heavy = sizing(("kettle: 1 kW", "kettle: 4 kW"))
    assert heavy.cables["W1"].design_current_a == pytest.approx(16)  # the breaker of the site
    assert heavy.cables["W5"].design_current_a == pytest.approx(1600 / 230)  # what the inverter delivers
    assert heavy.cables["W10"].design_current_a == pytest.approx(16)
    assert heavy.devices["F1"].load_current_a == pytest.approx(16)


@pytest.mark.parametrize(
    ("source", "item", "limit"),
    [("site", "desk", 5), ("inverter", "desk", 8), ("battery", "inverter", 3), ("battery", "lamps", 10)],
)
def test_limits_of_the_drop(source, item, limit):
    assert next(d for d in BASE.drops if (d.source, d.item) == (source, item)).limit.value == limit


def test_lighting_has_the_lower_limit():
    lit = sizing(("{kettle: 1 kW pf 1, projector: 220 W pf 0.95}", "{lamp: 100 W pf 1 lighting}"))
    assert {d.limit.value for d in lit.drops if d.item == "desk"} == {3, 6}


def test_builders_own_limit_goes_first():
    strict = sizing(("lowest temperature: -15 °C}", "lowest temperature: -15 °C, ac drop limit: 1 %}"))
    assert "drop-exceeded" in codes(strict)


def test_launch_is_sound_and_its_converters_draw_what_they_must():
    assert not [f for f in BOAT.findings if f.grade.bars_publication]
    carried = {id_: c.design_current_a for id_, c in BOAT.cables.items()}
    assert carried["W21"] == pytest.approx(1600 / 0.9 / 10.5)  # inverting, battery empty
    assert carried["W31"] == pytest.approx(30 * 12 * 1.2 / 0.95 / 12)
    assert carried["W32"] == pytest.approx(30)
    assert carried["W40"] == pytest.approx(1.25 * 9)
    assert carried["W36"] == pytest.approx(90)
    charger = 70 * 14.4 / (0.9 * 0.98 * 230)
    assert carried["W5"] == pytest.approx(charger + 10, rel=0.02)  # charger and sockets held to 10 A by F1
    assert carried["W1"] == pytest.approx(carried["W4"])  # what the transformer gives it takes
    assert carried["W23"] == pytest.approx(50)  # DC-DC and solar together, charging
    assert BOAT.cables["W6"].protection == "before"
    assert BOAT.cables["W40"].protection == "source"
    assert BOAT.cables["W50"].size.designation == "2.5 mm²"


def test_alternator_that_can_overload_its_cable():
    thin = sizing(
        ("W36: 50 mm²", "W36: 16 mm²"), ("F15: fuse bolt-down 100 A", "F15: isolator 1P 200 A"), of=LAUNCH
    )
    assert {"source-above-cable", "cable-overloaded", "no-protection"} <= codes(thin)


AUTO = (("W10: 7 m", "W10: auto 7 m"), ("W21: battery cable 0.9 m", "W21: auto EPR 90 °C free air 0.9 m"),
        ("W31: 2.5 mm² 7 m", "W31: auto 7 m"), ("W2: 1 m", "W2: auto 1 m"))  # fmt: skip


def test_auto_takes_the_smallest_size_that_passes():
    result = sizing(*AUTO)
    assert codes(result) == codes(BASE)
    found = {id_: (c.size.designation, c.governed_by) for id_, c in result.cables.items() if c.automatic}
    assert found == {
        "W10": ("1.5 mm²", "least size"),
        "W21": ("25 mm²", "overload"),  # 16 mm²: 121 × 0.91 = 110 A < 125 A; 25 mm²: 147 A
        "W31": ("1.5 mm²", "least size"),
        "W2": ("1.5 mm²", "least size"),  # 19.5 × 0.87 = 17 A > 16 A
    }


def test_auto_thickens_for_the_drop():
    result = sizing(("W31: 2.5 mm² 7 m", "W31: auto 50 m"))
    assert result.cables["W31"].governed_by == "voltage drop"
    assert "drop-exceeded" not in codes(result)
    thinner = {"4 mm²": "2.5 mm²", "6 mm²": "4 mm²", "10 mm²": "6 mm²"}[result.cables["W31"].size.designation]
    assert "drop-exceeded" in codes(sizing(("W31: 2.5 mm² 7 m", f"W31: {thinner} 50 m")))


def test_auto_respects_at_least_and_the_lead_of_a_vehicle():
    assert sizing(("W31: 2.5 mm² 7 m", "W31: at least 4 mm² 7 m")).cables["W31"].size.mm2 == 4
    lead = sizing(("W1: 25 m", "W1: auto 25 m")).cables["W1"]
    assert lead.size.mm2 == 2.5


def test_auto_protective_conductor():
    alone = sizing(("W8: 16 mm² 1 m", "W8: auto 1 m"))
    assert alone.sizes["W8"].mm2 == 4  # on its own and not protected mechanically
    thick = sizing(("W8: 16 mm² 1 m", "W8: auto 1 m"), ("W5: 0.8 m", "W5: 10 mm² 0.8 m"))
    assert thick.sizes["W8"].mm2 == 10
    assert "protective-conductor-small" not in codes(thick)


def test_nothing_fits():
    result = sizing(("W31: 2.5 mm² 7 m", "W31: auto 1900 m"), ("strip: 48 W", "strip: 150 W"))
    assert "no-size-fits" in codes(result)


def test_every_working_can_be_computed_again():
    """Evaluate each printed formula with its printed inputs: the result must come out."""
    assert len({w.id for w in BASE.workings}) == len(BASE.workings) > 80
    for working in (*BASE.workings, *BOAT.workings):
        formula, values = working.formula, {i.symbol: i.value for i in working.inputs}
        if "Σ I" in formula:
            continue  # phasors: only their sizes are printed
        if "Σ ΔU" in formula:
            volts = values.pop("U")
            assert 100 * sum(values.values()) / volts == pytest.approx(working.result)
            continue
        formula = formula.replace("·", "*").replace("−", "-").replace("√", "math.sqrt").replace("²", "**2 ")
        for symbol in sorted(values, key=len, reverse=True):
            formula = re.sub(rf"(?<![\w]){re.escape(symbol)}(?![\w])", f"({values[symbol]!r})", formula)
        computed = eval(formula)  # noqa: S307  (our own formulas)
        assert computed == pytest.approx(working.result), working.id


def test_every_working_and_assumption_has_words():
    words = catalogue("workings")
    results = (
        BASE,
        BOAT,
        sizing(*AUTO),
        sizing(("W1: 25 m rubber 60 °C free air", "W1: 25 m rubber 60 °C clipped")),
    )
    for result in results:
        for working in result.workings:
            assert words[working.quantity].keys() == {"name", "explanation"}
            assert {i.origin for i in working.inputs} <= words["origins"].keys()
        for assumption in result.assumptions:
            assert text("assumptions", assumption.code, **assumption.fields)
        for cable in result.cables.values():
            assert cable.governed_by in words["checks"]
            assert cable.protection in words["protection"]


def thickness(watts, metres, ambient, pumps):
    result = sizing(
        ("W31: 2.5 mm² 7 m", f"W31: auto {metres} m"),
        ("strip: 48 W", f"strip: {watts} W"),
        ("F21: {fuse blade: 7.5 A", "F21: {fuse blade: 25 A"),
        ("ambient: 40 °C", f"ambient: {ambient} °C"),
        ("W23: 16 mm² 0.5 m", "W23: auto 0.5 m"),
        ("kettle: 1 kW", f"kettle: {pumps} W"),
        ("W10: 7 m", f"W10: auto {metres} m"),
        ("W4: 0.3 m", "W4: auto 0.3 m"),
    )
    return {id_: c.size.mm2 for id_, c in result.cables.items() if c.automatic}


PAIR = {"min_size": 2, "max_size": 2}


@settings(max_examples=12, deadline=None)
@given(
    st.lists(st.integers(1, 400), **PAIR).map(sorted),
    st.lists(st.integers(1, 60), **PAIR).map(sorted),
    st.lists(st.integers(10, 60), **PAIR).map(sorted),
    st.lists(st.integers(1, 3000), **PAIR).map(sorted),
)
def test_more_load_longer_or_hotter_never_a_thinner_cable(watts, metres, ambient, pumps):
    less = thickness(watts[0], metres[0], ambient[0], pumps[0])
    for more in (
        thickness(watts[1], metres[0], ambient[0], pumps[0]),
        thickness(watts[0], metres[1], ambient[0], pumps[0]),
        thickness(watts[0], metres[0], ambient[1], pumps[0]),
        thickness(watts[0], metres[0], ambient[0], pumps[1]),
    ):
        assert all(more[id_] >= less[id_] for id_ in less)


@pytest.mark.parametrize(("supply_a", "breaks"), [(6000, True), (6030, True), (6200, False)])
def test_equal_figures_are_no_breach_of_the_breaking_capacity(supply_a, breaks):
    result = sizing(
        ("prospective fault current: at most 3 kA", f"prospective fault current: at most {supply_a} A"),
        ("W1: 25 m rubber", "W1: 0.01 m rubber"),
        ("inlet, W2: 1 m, QF1", "inlet, W2: 0.01 m, QF1"),
    )
    device = result.devices["QF1"]
    assert device.prospective_current_a == pytest.approx(supply_a, rel=0.005)
    assert ("breaking-capacity-exceeded" not in codes(result)) == breaks


@pytest.mark.parametrize(
    ("code", "build", "edits"),
    [
        # QF1 and the site's own device both stand before W1; W11 hangs on two sources
        ("device-above-cable", VEHICLE, (("W11: 1.5 mm²", "W11: 0.5 mm²"),)),
        ("small-conductor", TRAILER, (("F2: {breaker: 15 A", "F2: {breaker: 20 A"),)),
    ],
)
def test_a_cable_behind_too_large_a_device_is_found_once_whatever_feeds_it(code, build, edits):
    found = [f for f in sizing(*edits, of=build).findings if f.code == code]
    assert len(found) == 1
    assert len(set(found[0].where)) == len(found[0].where)


def test_no_place_is_named_twice_where_the_source_is_its_own_device():
    found = sizing(("W1: 25 m rubber", "W1: 1.5 mm² 5 m rubber"))
    assert all(len(set(f.where)) == len(f.where) for f in found.findings)


@given(st.floats(0.1, 500), st.floats(0.1, 500))
def test_two_figures_of_one_sentence_are_told_apart(one, other):
    assume(round(one, 5) != round(other, 5))
    assert len(set(apart(one, other))) == 2
