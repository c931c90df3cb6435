"""Resistors that try a residual current device, against the figures of an inspector."""

import pytest

from asfitted.studies.commissioning.residual import pair_of_resistors


def test_30_ma_at_230_v_as_an_inspector_computed_it():
    """6.8 kΩ: 30.4 mA at 207 V, 9.4 W at 253 V; 18 kΩ: 14 mA at 253 V, 3.6 W; 2 s at the most."""
    must, never = pair_of_resistors("site", 230.0, 0.03, class_a=False)
    assert (must.ohm, never.ohm) == (6800, 18000)
    assert must.least_a == pytest.approx(0.0304, abs=5e-5)
    assert must.power_w == pytest.approx(9.4, abs=0.05)
    assert never.greatest_a == pytest.approx(0.0141, abs=5e-5)
    assert never.power_w == pytest.approx(3.6, abs=0.05)
    assert must.hold_s == 2
    assert must.trips_s == 0.3
    assert never.trips_s is None


def test_class_a_at_120_v_as_an_inspector_computed_it():
    """15 kΩ: 7.2 to 8.8 mA, 1.2 W, up to 4.3 s by UL 943, 5 s at the most."""
    must, never = pair_of_resistors("site", 120.0, 0.006, class_a=True)
    assert must.ohm == 15000
    assert (must.least_a, must.greatest_a) == (pytest.approx(7.2e-3), pytest.approx(8.8e-3))
    assert must.power_w == pytest.approx(1.16, abs=0.05)
    assert must.trips_s == pytest.approx(4.3, abs=0.05)
    assert must.hold_s == 5
    assert never.greatest_a < 4e-3


@pytest.mark.parametrize("volts", [110, 120, 127, 220, 230, 240])
@pytest.mark.parametrize("rated_a", [0.01, 0.03, 0.1, 0.3])
def test_the_one_trips_and_the_other_does_not_at_the_worst_voltage_and_tolerance(volts, rated_a):
    must, never = pair_of_resistors("any", volts, rated_a, class_a=False)
    assert 0.9 * volts / (must.ohm * 1.01) >= rated_a
    assert 1.1 * volts / (never.ohm * 0.99) <= rated_a / 2
