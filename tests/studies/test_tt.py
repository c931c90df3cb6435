"""A cabin on a TT supply: the loop runs through two electrodes, and its own must suit the residual device."""

import pytest

from asfitted.network.labels import rating
from asfitted.network.states import states
from asfitted.studies.bonding import islands
from asfitted.studies.bonding_findings import bonding_findings
from asfitted.studies.commissioning.plan import Subject
from asfitted.studies.commissioning.whole import whole_plan
from asfitted.studies.coverage import coverage
from asfitted.studies.faults.study import fault_study
from asfitted.studies.results import Grade
from asfitted.studies.sizing import size

from .small import network, sizing

CABIN = """\
asfitted: 1
build: {title: Cabin, reference: CA-1, setting: cabin, use: lived in, rules: IEC 60364,
        ambient: 30 °C, lowest temperature: -15 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  earth cable: PVC 70 °C clipped
  status: planned
boards:
  AC board: {earth bar: earth_bar}
sources:
  grid: {ac supply: 230 V 50 Hz 16 A TT, neutral electrode: 5 ohm,
         prospective fault current: at most 3 kA, upstream: C16}
equipment:
  rod: {earth electrode: 40 ohm}
  frame: structure
runs:
  - ac:    [grid, W1: L N 10 m, QF1: RCBO C16, W3: L N 0.5 m, F1]
  - earth: [rod, W8: 16 mm² 3 m, earth_bar, W9: 16 mm² 1 m, frame]
circuits:
  AC board:
    F1: {RCBO: 10 A, W10: 7 m, sockets: 4 × 16 A desk, loads: {kettle: 1 kW}}
"""
PLAIN = (("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA"), ("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"))
COARSE = (("QF1: RCBO C16", "QF1: RCBO C16 300 mA"), ("F1: {RCBO: 10 A", "F1: {RCBO: 10 A 300 mA"))


def upper(*changes):
    found = sizing(*changes, of=CABIN).findings
    return {f.code for f in found if f.grade in (Grade.DANGER, Grade.POTENTIAL)}


def desk(*changes):
    return next(x for x in sizing(*changes, of=CABIN).loops if x.outlet == "desk")


def test_the_loop_runs_through_both_electrodes():
    loop = desk()
    # 40 + 5 ohm, and a quarter of an ohm of copper; never the 221 A of a loop of line and neutral
    assert loop.system == "TT"
    assert loop.loop_ohm == pytest.approx(45.24, abs=0.05)
    assert loop.least_a == pytest.approx(0.95 * 230 / 45.24, rel=0.002)
    assert (loop.outcome, loop.residual.residual_a) == ("residual", 0.03)
    assert loop.overcurrent is None
    assert upper() == set()


def test_a_protective_core_of_a_fixed_supply_is_not_relied_on():
    assert desk(("W1: L N 10 m", "W1: 10 m")).loop_ohm == pytest.approx(45.24, abs=0.05)


def test_the_electrode_of_the_neutral_is_assumed_openly():
    result = sizing(("neutral electrode: 5 ohm,", ""), of=CABIN)
    taken = next(a for a in result.assumptions if a.code == "neutral-electrode")
    assert taken.where == ("grid",)
    assert next(iter(result.loops)).loop_ohm == pytest.approx(40.24 + taken.fields["value"], abs=0.05)


# limits as W11 of the collected examples has them (IEC 60364-4-41 411.5.3), rounded down
@pytest.mark.parametrize(("residual_ma", "limit_ohm"), [(30, 1666), (100, 500), (300, 166), (500, 100)])
def test_electrode_against_rated_residual_current(residual_ma, limit_ohm):
    devices = tuple((a, f"{b.removesuffix(' 300 mA')} {residual_ma} mA") for a, b in COARSE)
    assert int(desk(*devices).allowed_rcd_ohm) == limit_ohm
    just, above = f"earth electrode: {limit_ohm - 1} ohm", f"earth electrode: {limit_ohm + 1} ohm"
    assert upper(("earth electrode: 40 ohm", just), *devices) == set()
    assert upper(("earth electrode: 40 ohm", above), *devices) == {"tt-electrode-too-high"}
    built = network(("earth electrode: 40 ohm", just), *devices, of=CABIN)
    assert electrode_test(built).columns[0].expected.high == limit_ohm


def electrode_test(built):
    every = states(built)
    tied = {s.id: islands(s) for s in every}
    covered = {s.id: coverage(s, tied[s.id]) for s in every}
    plan = whole_plan(Subject(built, every, tied, covered, size(built, every)))
    return next(t for t in plan if t.code == "electrode")


def test_both_figures_are_said():
    result = sizing(("earth electrode: 40 ohm", "earth electrode: 200 ohm"), *COARSE, of=CABIN)
    found = next(f for f in result.findings if f.code == "tt-electrode-too-high")
    assert (found.fields["earthing_ohm"], found.fields["residual_ma"]) == (200, 300)
    assert found.fields["voltage_v"] == pytest.approx(60, abs=0.1)
    assert found.clause == "IEC 60364-4-41 411.5.3"


def test_an_electrode_is_wanted_joined_and_with_a_residual_device():
    alone = ("rod, W8: 16 mm² 3 m, earth_bar, W9: 16 mm² 1 m, frame]", "earth_bar, W9: 16 mm² 1 m, frame]")
    assert upper(("  rod: {earth electrode: 40 ohm}\n", ""), alone) == {"tt-no-electrode"}
    assert upper(alone) == {"tt-electrode-not-joined"}
    assert upper(*PLAIN) == {"tt-without-rcd"}


def test_the_tie_of_the_neutral_is_seen_through_the_soil():

    built = network(of=CABIN)
    assert bonding_findings(built, {s.id: islands(s) for s in states(built)}) == ()


def test_the_rating_of_an_electrode_is_its_resistance():
    assert rating(network(of=CABIN).items["rod"].spec).split() == ["40", "Ω"]


def test_a_building_without_surge_protection_is_told():
    found = [f for f in sizing(of=CABIN).findings if f.code == "no-surge-protection"]
    assert [(f.grade, f.where) for f in found] == [(Grade.IMPROVEMENT, ("grid",))]
    fitted = (
        "frame: structure",
        "frame: structure\n  spd: {kind: load, loads: {indicator: 1 W}, certified to: IEC 61643-11}",
    )
    assert not [f for f in sizing(fitted, of=CABIN).findings if f.code == "no-surge-protection"]
    van = sizing(("setting: cabin", "setting: trailer"), of=CABIN)
    assert not [f for f in van.findings if f.code == "no-surge-protection"]


def test_the_protective_conductor_carries_what_the_electrodes_let_through():
    heat = next(w for w in sizing(of=CABIN).workings if w.id == "W8.protective_adiabatic")
    given = {i.symbol: i.value for i in heat.inputs}
    assert given["I"] == pytest.approx(230 / 45)
    assert heat.verdict == "holds"


# IEC 60364-4-41 412 and 411.5 (from memory): ahead of the residual current device of a TT system double or
# reinforced insulation is the protection
@pytest.mark.parametrize("core", [(), (("W1: L N 10 m", "W1: 10 m"),)], ids=["no core", "a core of its own"])
@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("QF1: RCBO C16 class II", set()),
        ("QF1: RCBO C16", {"insulation-ahead-of-rcd"}),
        ("QF1: RCBO C16 class I", {"fault-not-cleared"}),
    ],
)
def test_ahead_of_the_first_residual_device_only_insulation_protects(core, words, expected):
    assert faults(("QF1: RCBO C16", words), *core) == expected


def test_without_any_residual_device_insulation_of_the_devices_cures_nothing():
    plain = [(old, f"{new} class II") for old, new in PLAIN]
    assert "fault-not-cleared" in faults(*plain)


def faults(*changes):
    built = network(*changes, of=CABIN)
    return {finding.code for finding in fault_study(built, states(built)).findings}
