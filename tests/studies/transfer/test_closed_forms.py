"""Sag of a constant power, and what a filmed gap proves: against the equations themselves."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.studies.surge import terminal_v
from asfitted.studies.transfer.filming import bounds_s, least_rate_hz, most_frames


@given(emf_v=st.floats(10, 60), series_ohm=st.floats(1e-4, 0.1), share=st.floats(0.01, 0.999))
def test_a_sagging_battery_gives_the_power_that_is_asked(emf_v, series_ohm, share):
    """Kirchhoff: E = U + I·R with I = P/U, for any power below the most that the source can give, E²/(4·R)."""
    power_w = share * emf_v**2 / (4 * series_ohm)
    volts = terminal_v(emf_v, series_ohm, power_w)
    current = power_w / volts
    assert emf_v == pytest.approx(volts + current * series_ohm, rel=1e-6)
    assert volts >= emf_v / 2


def test_beyond_the_most_that_a_source_gives_half_of_its_voltage_is_left():
    """Matched load: 24 V behind 36 mohm give at most 24²/(4 × 0.036) = 4 kW."""
    assert terminal_v(24, 0.036, 4000) == pytest.approx(12)
    assert terminal_v(24, 0.036, 5000) == 12


def test_worked_by_hand_12_v_behind_20_mohm_with_1_kw():
    """U² − 12·U + 20 = 0: U = 10 V, 100 A, 2 V lost."""
    assert terminal_v(12, 0.020, 1000) == pytest.approx(10)


@given(
    gap_s=st.floats(0.001, 1),
    start=st.floats(0, 1),
    rate_hz=st.sampled_from([25.0, 30.0, 60.0, 120.0, 240.0]),
)
def test_a_true_gap_lies_within_the_bounds_of_its_film(gap_s, start, rate_hz):
    """A camera of instantaneous frames at k/f counts those within the gap; whatever the phase, the bounds hold."""
    begin = start / rate_hz
    dark = sum(
        1 for k in range(math.ceil((begin + gap_s) * rate_hz) + 1) if begin <= k / rate_hz < begin + gap_s
    )
    low, high = bounds_s(dark, rate_hz)
    assert low - 1e-9 <= gap_s <= high + 1e-9


def test_240_frames_a_second_are_4_ms_either_way():
    low, high = bounds_s(10, 240)
    assert (high - low) / 2 == pytest.approx(1 / 240)


@given(limit_s=st.floats(0.001, 2), rate_hz=st.sampled_from([30.0, 60.0, 120.0, 240.0]))
def test_most_frames_prove_the_limit_and_one_more_does_not(limit_s, rate_hz):
    frames = most_frames(limit_s, rate_hz)
    if frames is None:
        assert bounds_s(1, rate_hz)[1] > limit_s - 1e-9
        assert rate_hz < least_rate_hz(limit_s) + 1e-6
    else:
        assert bounds_s(frames, rate_hz)[1] <= limit_s + 1e-9
        assert bounds_s(frames + 1, rate_hz)[1] > limit_s - 1e-9


def test_20_ms_cannot_be_proved_at_60_frames_a_second():
    assert most_frames(0.020, 60) is None
    assert most_frames(0.020, 240) == 3
