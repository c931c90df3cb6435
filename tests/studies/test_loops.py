"""Earth faults at outlets by hand: loops, times, sources that limit their current, what is not known."""

import math

import pytest

from asfitted.studies.results import Grade
from asfitted.words import text

from .small import codes, second_battery, sizing

BASE = sizing()


def loop(result, outlet, source, site=""):
    return next(x for x in result.loops if (x.outlet, x.source, x.site) == (outlet, source, site))


def test_loop_by_hand():
    hot70, hot60 = 1 + 0.00393 * 50, 1 + 0.00393 * 40
    per_m = 7.98e-3  # 2.5 mm² of class 5, the higher of the two classes
    lead = 25 * per_m * hot60
    aboard_line, aboard_earth = (1 + 0.5 + 0.3 + 7) * per_m * hot70, (1 + 7) * per_m * hot70
    reactance = 0.08e-3 * (2 * 25 + 1 + 0.5 + 0.3 + 7 + 1 + 7)
    by_hand = math.hypot(0.8 + 2 * lead + aboard_line + aboard_earth, reactance)
    found = loop(BASE, "desk", "site")
    assert found.loop_ohm == pytest.approx(by_hand, rel=0.005)
    assert found.least_a == pytest.approx(0.95 * 230 / by_hand, rel=0.005)
    assert found.outcome == "overcurrent"
    assert (found.overcurrent.device, found.overcurrent.needed_a) == ("F1", 50)  # B10: 5 × 10 A
    assert found.demanded.value == 0.4


def test_greatest_current_by_hand():
    # the lead is of class 5; what lies aboard may be of class 2, which lets more through
    cold = 2 * (25 * 7.98e-3 + (1 + 0.5 + 0.3 + 7) * 7.41e-3)
    assert loop(BASE, "desk", "site").greatest_a == pytest.approx(230 / (230 / 3000 + cold), rel=1e-3)


def test_a_source_that_limits_its_current_never_passes_by_its_loop():
    found = loop(BASE, "desk", "inverter")
    assert found.system == "limited"
    assert found.loop_ohm is None
    assert found.overcurrent is None
    assert found.least_a == found.greatest_a == 18
    assert found.outcome == "residual"  # F1 sees it
    bare = sizing(("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"))
    assert loop(bare, "desk", "inverter").outcome == "collapses"
    assert loop(bare, "desk", "inverter").time_s == 0.06
    held = sizing(("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"), ("then latched off", "then folds back"))
    assert loop(held, "desk", "inverter").outcome == "not shown"
    assert "disconnection-not-shown" in codes(held)


def test_a_named_site_with_its_own_electrode():
    result = sizing(
        ("upstream: C16 + RCD 30 mA type A}",
         "upstream: C16 + RCD 30 mA type A, at: {farm: {earthing: TT, loop impedance: at most 100 ohm}}}")
    )  # fmt: skip
    found = loop(result, "desk", "site", "farm")
    assert found.system == "TT"
    assert found.demanded.value == 0.2
    assert found.outcome == "residual"
    assert found.time_s == 0.04


def test_missing_loop_impedance_is_asked_for_and_its_effect_stated():
    result = sizing(("loop impedance: at most 0.8 ohm,", ""))
    asked = next(f for f in result.findings if f.code == "loop-not-known")
    assert asked.grade == Grade.INVESTIGATION
    note = next(a for a in result.assumptions if a.code == "loop-impedance")
    # the breaker of the desk needs 50 A: 0.95 × 230 / 50 = 4.37 ohm, less the lead and the cables
    known = loop(BASE, "desk", "site")
    cables = abs(known.line_ohm + known.earth_ohm)
    assert float(note.fields["ohm"]) == pytest.approx(4.37 - cables, abs=0.06)
    assert note.fields["rcd_ohm"] == "1666"
    assert "0.4 s is no longer met" in text("assumptions", note.code, **note.fields)
    beyond = sizing(("at most 0.8 ohm", f"at most {float(note.fields['ohm']) + 0.2:.1f} ohm"))
    assert loop(beyond, "desk", "site").outcome == "residual"  # no longer by the breaker


def test_heat_in_the_protective_conductor():
    working = next(w for w in BASE.workings if w.id == "W10.protective_adiabatic")
    fault = loop(BASE, "desk", "site")
    slow, strong = fault.least_a * math.sqrt(0.04), fault.greatest_a * math.sqrt(0.01)
    assert working.result == pytest.approx(max(slow, strong) / 115, rel=0.01)
    assert working.verdict == "holds"


def test_two_residual_devices_in_series_without_delay_may_both_open():
    pairs = {(p.upstream, p.downstream): p for p in BASE.rcd_pairs}
    assert not pairs["site", "QF1"].selective
    assert not pairs["QF1", "F1"].selective
    assert "desk" in pairs["QF1", "F1"].outlets
    delayed = sizing(("QF1: RCBO C16", "QF1: RCBO C16 100 mA S"))
    pairs = {(p.upstream, p.downstream): p for p in delayed.rcd_pairs}
    assert pairs["QF1", "F1"].selective


def test_parallel_batteries_add_up():
    spare, leads = second_battery("LiFePO4 25.6 V 200 Ah")
    alone, both = (
        BASE.devices["F21"].prospective_current_a,
        sizing(spare, leads).devices["F21"].prospective_current_a,
    )
    assert 1.5 * alone < both < 2 * alone


def test_return_bar_of_several_fused_circuits_is_judged_by_their_sum():
    """The minus of a bar carries what F22 lets through (30 A), not the 125 A of the fuse that is
    common to all.
    """
    thin = sizing(("W24: 16 mm² 0.6 m", "W24: 10 mm² 0.6 m"))
    found = thin.cables["W24"]
    assert found.device_rating_a == 30
    assert "W24" not in {w for f in thin.findings for w in f.where}
