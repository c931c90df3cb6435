"""Devices written `auto`: the smallest standard one that passes every check, alone and together with its cable."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfitted.description.load import load_text
from asfitted.studies.study import NotUsable, study
from asfitted.tables.devices import published_breaking_capacity
from asfitted.tables.rules import rule_set
from asfitted.words import catalogue

from .small import LAUNCH, TRAILER, VEHICLE, chosen, codes, sizing

F1 = ("F1: {RCBO: 10 A, W10", "F1: {RCBO: auto, W10")
F10 = ("F10: fuse T 125 A", "F10: fuse T auto")
QF2 = ("QF2: breaker B10 2P 6 kA", "QF2: breaker auto 2P")
WHOLE = (F1, ("  RCBO: B 2P 30 mA type A 6 kA\n", ""), ("QF1: RCBO C16", "QF1: RCBO C16 2P 30 mA type A 6 kA"),
         ("F3: {RCBO: 10 A", "F3: {RCBO: B10 2P 30 mA type A 6 kA"))  # fmt: skip
#: findings that say a device is too small
TOO_SMALL = {"device-below-load", "device-continuous-load", "device-warm", "surge-opens-fuse",
             "breaking-capacity-exceeded", "equipment-overloaded", "equipment-not-protected"}  # fmt: skip


def choice(device, field, *edits, of=VEHICLE):
    found, _ = chosen(*edits, of=of)
    return next(c for c in found.choices if (c.device, c.field) == (device, field))


def test_nothing_is_chosen_where_nothing_is_left_open():
    assert chosen()[0].choices == ()


def test_smallest_rating_for_the_load_and_the_heat_of_the_panel():
    """9.26 A need 10 A by current; at 40 °C and beside one neighbour a breaker of 10 A carries 0.94 × 0.95 of it."""
    heavy = (F1, ("kettle: 1 kW pf 1", "kettle: 1.91 kW pf 1"))
    found = choice("F1", "rating", *heavy)
    assert found.needs["design current"] == pytest.approx(9.26, abs=0.01)
    assert found.needs["panel temperature"] == pytest.approx(
        found.needs["design current"] / (0.94 * 0.95), rel=1e-3
    )
    assert (found.value, found.by_current, found.governed_by) == (13, 10, "panel temperature")
    assert "device-warm" not in codes(chosen(*heavy)[1])
    assert "device-warm" in codes(sizing(("kettle: 1 kW pf 1", "kettle: 1.91 kW pf 1")))


@settings(max_examples=20, deadline=None)
@given(watts=st.lists(st.integers(100, 3300), min_size=2, max_size=2).map(sorted))
def test_more_load_never_gives_a_smaller_device_or_cable(watts):
    less, more = ((F1, ("kettle: 1 kW", f"kettle: {w} W"), ("W10: 7 m", "W10: auto 7 m")) for w in watts)
    small, large = choice("F1", "rating", *less), choice("F1", "rating", *more)
    assert small.value <= large.value
    assert chosen(*less)[1].sizes["W10"].mm2 <= chosen(*more)[1].sizes["W10"].mm2


@settings(max_examples=15, deadline=None)
@given(
    kettle=st.integers(100, 3000), inverter=st.integers(300, 3000), ambient=st.sampled_from([20, 30, 40, 50])
)
def test_chosen_device_passes_and_the_next_smaller_one_fails_the_named_check(kettle, inverter, ambient):
    edits = (F1, F10, QF2, ("kettle: 1 kW", f"kettle: {kettle} W"), ("24 V 1.6 kW,", f"24 V {inverter} W,"),
             ("ambient: 40 °C", f"ambient: {ambient} °C"), ("W10: 7 m", "W10: auto 7 m"))  # fmt: skip
    found, result = chosen(*edits)
    rules = rule_set("IEC 60364")
    for device, name in (("F1", "breaker"), ("QF2", "breaker"), ("F10", "fuse T")):
        rating = next(c for c in found.choices if (c.device, c.field) == (device, "rating"))
        standard = rules.standard_ratings_a(name)
        assert rating.value in standard
        if rating.governed_by == "no rating":
            continue
        assert all(need <= rating.value for need in rating.needs.values())
        assert not [f for f in result.findings if device in f.where and f.code in TOO_SMALL]
        if rating.value != standard[0]:
            smaller = max(r for r in standard if r < rating.value)
            assert rating.needs[rating.governed_by] > smaller
            assert rating.governed_by == "design current" or rating.by_current < rating.value
    # the cable was sized to the device, in the same breath
    assert (
        result.cables["W10"].device_rating_a is None
        or result.cables["W10"].capacity_a >= choice("F1", "rating", *edits).value
    )


def test_cable_and_device_of_one_circuit_are_solved_together():
    heavy = ("kettle: 1 kW", "kettle: 2.9 kW")
    both = (F1, heavy, ("W10: 7 m", "W10: auto 7 m"))
    _, result = chosen(*both)
    rating = choice("F1", "rating", *both).value
    assert result.cables["W10"].capacity_a >= rating
    thinner = {"2.5 mm²": "1.5 mm²", "4 mm²": "2.5 mm²", "6 mm²": "4 mm²"}[result.sizes["W10"].designation]
    _, refused = chosen(F1, heavy, ("W10: 7 m", f"W10: {thinner} 7 m"))
    assert "device-above-cable" in codes(refused)


def test_breaking_capacity_is_the_smallest_standard_value_that_is_enough():
    standard = [looked.value for looked in published_breaking_capacity("breaker")]
    strong = ("at most 3 kA", "at most 9 kA")
    for edits in (WHOLE, (*WHOLE, strong, ("W1: 25 m", "W1: 1 m"))):
        found = choice("F1", "breaking capacity", *edits)
        smaller = [c for c in standard if c < found.value]
        assert found.value >= found.needs["fault current"]
        assert not smaller or smaller[-1] < found.needs["fault current"]
        assert not TOO_SMALL & codes(chosen(*edits)[1])
    assert choice("F1", "breaking capacity", *WHOLE).value < found.value


def test_breaking_capacity_stays_open_where_nobody_knows_the_fault_current():
    unknown = (*WHOLE, ("prospective fault current: at most 3 kA, ", ""))
    assert choice("F1", "breaking capacity", *unknown).value is None
    assert "fault-current-unknown" in codes(chosen(*unknown)[1])


def test_a_fuse_gets_what_is_published_for_its_type():
    bare = (F10, ("  fuse T: 125 V dc 20 kA\n", ""))
    assert choice("F10", "breaking capacity", *bare).value == 20_000
    assert choice("F10", "dc voltage", *bare).value == 125
    assert codes(chosen(*bare)[1]) == codes(sizing())


def test_curve_lets_motors_start():
    """A motor of 4.3 A starts with 35 A (8 times, from memory) beside 1 A: more than 3 × 6 A, less than 5 × 8 A."""
    assert choice("F1", "curve", *WHOLE).value == "B"
    motor = (
        *WHOLE,
        ("{kettle: 1 kW pf 1, projector: 220 W pf 0.95}", "{saw: 1 kW pf 1 motor, projector: 220 W pf 0.95}"),
    )
    found = choice("F1", "curve", *motor)
    assert found.needs["starting"] == pytest.approx(8 * 4.35 + 1, abs=0.2)
    rating = choice("F1", "rating", *motor).value
    assert 3 * rating < found.needs["starting"]
    assert found.value == ("C" if 5 * rating >= found.needs["starting"] else "D")


def test_curve_takes_the_starting_current_that_is_said():
    said = (
        *WHOLE,
        ("{kettle: 1 kW pf 1, projector", "{saw: 1 kW pf 1 motor starts 12 A for 0.3 s, projector"),
    )
    found = choice("F1", "curve", *said)
    assert found.needs["starting"] == pytest.approx(12 + 1, abs=0.2)
    assert found.value == "B"


def test_whole_rcbo():
    found, result = chosen(*WHOLE)
    spec = found.network.items["F1"].spec
    assert (spec.curve, spec.residual_a, spec.residual_type, spec.poles) == ("B", 0.03, "A", "1P")
    assert codes(result) == codes(sizing())


@pytest.mark.parametrize(
    ("edits", "check"),
    [
        ((("work or public", "lived in"),), "double pole"),  # IEC 60364-7-721
        ((("16 A TN-S,", "16 A TN-S, polarity: may be reversed,"),), "reversible"),
    ],
)
def test_poles_open_the_neutral_where_it_must_be(edits, check):
    found, result = chosen(*WHOLE, *edits)
    poles = next(c for c in found.choices if c.field == "poles")
    assert (poles.value, poles.governed_by) == ("2P", check)
    assert {c.conductor for c in found.network.contacts if c.equipment == "F1"} == {"L", "N"}
    assert not [f for f in result.findings if f.code.startswith("single-pole") and "F1" in f.where]
    one = (("{RCBO: auto, W10", "{RCBO: 10 A B 1P 30 mA type A 6 kA, W10"),)
    _, single = chosen(*WHOLE, *edits, *one)
    assert [f for f in single.findings if f.code.startswith("single-pole") and "F1" in f.where]


def test_isolator_stands_what_the_devices_around_it_let_through():
    """Behind it 7.5 A and 30 A of fuses: 37.5 A, though no more than 20 A of load or charge ever flow."""
    edits = (("W23: 16 mm² 0.5 m", "W23: 16 mm² 0.3 m, Q1: isolator auto 48 V dc, W29: 16 mm² 0.2 m"),)
    found = choice("Q1", "rating", *edits)
    assert found.needs == {"design current": pytest.approx(20), "device before": pytest.approx(37.5)}
    assert (found.value, found.by_current, found.governed_by) == (40, 20, "device before")
    assert not TOO_SMALL & codes(chosen(*edits)[1])
    assert "equipment-not-protected" in codes(sizing((edits[0][0], edits[0][1].replace("auto", "32 A"))))


@pytest.mark.parametrize(("surge", "rating"), [("0.6 kW", 25), ("0.8 kW", 35)])
def test_surge_governs_a_blade_fuse(surge, rating):
    """By the windows of ISO 8820-3 the smaller ones may open within the 2 s that the surge lasts."""
    inverter = ("24 V 1.6 kW, efficiency", f"24 V 0.3 kW, surge: {surge} for 2 s, efficiency")
    found = choice("F10", "rating", inverter, ("F10: fuse T 125 A", "F10: fuse blade auto 32 V dc 20 kA"))
    assert (found.value, found.by_current, found.governed_by) == (rating, 20, "surge")
    for size, fails in ((rating, False), (20, True)):
        result = sizing(inverter, ("F10: fuse T 125 A", f"F10: fuse blade {size} A 32 V dc 20 kA"))
        assert ("surge-opens-fuse" in codes(result)) is fails


BENCH = ("F1: {breaker: 20 A", "F1: {breaker: auto")


def test_nfpa70_210_21_b_3_receptacles_of_20_a_ask_for_20_a():
    found = choice("F1", "rating", BENCH, of=TRAILER)
    assert (found.value, found.governed_by, found.by_current) == (20, "receptacles", 10)


def test_nfpa70_215_3_continuous_load_counts_125_percent():
    """A charger of 20 A at 14.4 V over its cable: 20 A × 125 % = 25 A, a fuse of 30 A is the smallest (UL 248-15)."""
    edits = (
        ("F3: {breaker: 15 A", "F3: {breaker: auto"),
        ("battery charger: 12 V 20 A", "battery charger: 12 V 70 A"),
    )
    found = choice("F3", "rating", *edits, of=TRAILER)
    load = 70 * 14.4 / (0.9 * 0.95 * 120)
    assert found.needs["design current"] == pytest.approx(load)
    assert found.needs["continuous load"] == pytest.approx(1.25 * load)  # 12.3 A: 15 A
    assert found.value == 15
    larger = (edits[0], ("battery charger: 12 V 20 A", "battery charger: 12 V 80 A"))
    found = choice("F3", "rating", *larger, of=TRAILER)  # 11.2 A: 15 A by current; 14.0 A: 15 A
    assert (found.value, found.by_current) == (15, 15)
    largest = (edits[0], ("battery charger: 12 V 20 A", "battery charger: 12 V 100 A"))
    found = choice("F3", "rating", *largest, of=TRAILER)  # 14.0 A: 15 A by current; 17.5 A: 20 A
    assert (found.value, found.by_current, found.governed_by) == (20, 15, "continuous load")


def text(*edits, of=VEHICLE):
    for old, new in ((", neutral bar: n_bar", ""), *edits):
        assert old in of, old
        of = of.replace(old, new)
    return of


def test_between_load_and_cable_nothing_fits():
    build = study(load_text(text(F1, ("kettle: 1 kW", "kettle: 3.4 kW"), ("W10: 7 m", "W10: 1.5 mm² 7 m"))))
    finding = next(f for f in build.found if f.code == "no-device-fits")
    assert finding.where == ("F1", "W10")
    assert float(finding.fields["needed_a"]) > 15 > float(finding.fields["limit_a"])
    sound = study(load_text(text(F1)))
    assert not [f for f in sound.found if f.code.startswith("no-")]


def test_beyond_the_standard_series():
    huge = study(
        load_text(
            text(("F21: {fuse blade: 7.5 A", "F21: {fuse blade: auto"), ("strip: 48 W", "strip: 1.2 kW"))
        )
    )
    finding = next(f for f in huge.found if f.code == "no-standard-device")
    assert finding.fields["value_a"] == 40


def test_left_open_on_an_installed_device_is_answered_with_the_figure():
    written = text(("F1: {RCBO: 10 A, W10", "F1: {RCBO: auto installed, W10"))
    with pytest.raises(NotUsable) as caught:
        study(load_text(written))
    (problem,) = caught.value.problems
    row = next(n for n, line in enumerate(written.splitlines(), 1) if "RCBO: auto" in line)
    assert (problem.code, problem.mark.line) == ("auto device installed", row)
    assert problem.mark.column == written.splitlines()[row - 1].index("auto") + 1
    assert "B6 30 mA type A 2P 6 kA" in problem.sentence("right").replace("\u00a0", " ")


def test_no_row_of_ratings_is_said():
    with pytest.raises(NotUsable) as caught:
        study(load_text(text(("F10: fuse T 125 A", "F10: fuse cartridge auto"))))
    assert [p.code for p in caught.value.problems] == ["auto unlisted"]


def test_boat_chooses_for_its_pump():
    auto = ("F21: {fuse blade: 10 A", "F21: {fuse blade: auto")
    found, result = chosen(auto, of=LAUNCH)
    assert {c.field for c in found.choices} == {"rating"}
    assert not [f for f in result.findings if f.grade.bars_publication]


def test_every_check_has_words():
    words = catalogue("workings")["choices"]
    builds = [chosen(*WHOLE, F10, QF2), chosen(BENCH, of=TRAILER)]
    for found, _ in builds:
        for each in found.choices:
            assert each.governed_by in words
            assert set(each.needs) <= set(words)
