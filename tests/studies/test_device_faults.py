"""Fault currents at each device: greatest and least, from each source, against values worked by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from .small import LAUNCH, sizing

BASE = sizing()


def fault(result, device, source):
    return next(f for f in result.device_faults if (f.device, f.source) == (device, source))


def test_greatest_at_the_main_fuse_is_that_of_a_new_warm_battery_over_its_lead():
    """29.2 V ÷ (4 mΩ + 0.15 m of 50 mm², 0.386 mΩ/m at 20 °C) = 7.2 kA."""
    lead = 0.15 * 0.386e-3
    assert fault(BASE, "F10", "battery").greatest_a == pytest.approx(29.2 / (4e-3 + lead), rel=2e-3)
    assert fault(BASE, "F10", "battery").greatest_a == pytest.approx(
        BASE.devices["F10"].prospective_current_a
    )


def test_least_behind_a_fuse_is_that_of_an_old_cold_battery_over_hot_conductors():
    """21 V ÷ (12 mΩ + the conductors to the lamps and back, hot: IEC 60228 class 5, for nobody says class 2)."""
    found = fault(BASE, "F21", "battery").direct
    warm = 1 + 0.00393 * 50  # 70 °C
    ways = {"W20": 0.15, "W23": 0.5, "W31": 14, "W24": 0.6}
    per_m = {"W20": 0.386e-3, "W23": 1.21e-3, "W31": 7.98e-3, "W24": 1.21e-3}
    hot = {"W20": 1 + 0.00393 * 70}  # EPR 90 °C
    total = 12e-3 + sum(length * per_m[c] * hot.get(c, warm) for c, length in ways.items())
    assert (found.at, found.least_a) == ("lamps", pytest.approx(21 / total, rel=0.02))


def test_a_fuse_before_others_answers_for_the_way_to_the_next_one():
    assert fault(BASE, "F10", "battery").direct.at in ("F21", "F22", "inverter")
    assert fault(BASE, "F22", "battery").direct.at == "charger"


def test_earth_faults_are_those_of_the_outlets_behind():
    found = fault(BASE, "F1", "site")
    assert found.loop in BASE.loops
    assert found.loop.outlet == "desk"
    assert fault(BASE, "QF2", "inverter").loop.source == "inverter"
    assert not [f for f in BASE.device_faults if (f.device, f.source) == ("QF1", "inverter") and f.loop]


def test_an_inverter_charger_is_held_to_the_limit_of_its_own_side():
    """It charges with 70 A and gives 1.6 kW at 230 V: a fault on its output takes twice 7 A, not 70 A."""
    boat = sizing(of=LAUNCH)
    found = fault(boat, "F1", "combi")
    assert found.loop.least_a == pytest.approx(2 * 1600 / 230)
    assert found.greatest_a <= found.loop.least_a * 1.001


@settings(max_examples=10, deadline=None)
@given(metres=st.lists(st.integers(1, 60), min_size=2, max_size=2, unique=True).map(sorted))
def test_a_longer_way_never_has_a_larger_fault_current(metres):
    near, far = (sizing(("W31: 2.5 mm² 7 m", f"W31: 2.5 mm² {m} m")) for m in metres)
    assert fault(near, "F21", "battery").direct.least_a > fault(far, "F21", "battery").direct.least_a
    assert fault(near, "F21", "battery").direct.time_s <= fault(far, "F21", "battery").direct.time_s


def test_least_never_exceeds_greatest():
    for result in (BASE, sizing(of=LAUNCH)):
        for each in result.device_faults:
            least = each.loop.least_a if each.loop else each.direct.least_a if each.direct else None
            if least is not None and each.greatest_a is not None:
                assert least <= each.greatest_a * 1.005, each
