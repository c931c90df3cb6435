from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.values import METRIC_SIZES_MM2, size
from asfitted.studies.drop import conductors_in_series, core_impedance, drop_v

from .small import network

VAN = network()


def drop(id_, conductor, current, conductor_class="class 2", ac=True, **changes):
    cable = replace(VAN.cables[id_], flexible=False, **changes)
    impedance = core_impedance(cable, size(conductor), conductor_class, ac)
    return conductors_in_series(cable) * drop_v(current, impedance)


def test_published_worked_example_1():
    assert drop("W10", "10 mm²", 26.09, length_m=18.0) == pytest.approx(2.066, rel=0.01)


@pytest.mark.parametrize(
    ("amperes", "metres", "volts"), [(0.242, 2, 0.021), (0.25, 3, 0.033), (0.25, 4, 0.044), (0.25, 11, 0.121)]
)
def test_published_worked_example_14(amperes, metres, volts):
    # printed with 44 mV/A/m, which is 43.3 rounded up
    assert drop("W10", "1 mm²", amperes, length_m=float(metres)) == pytest.approx(volts, abs=0.002)


@pytest.mark.parametrize(("awg", "amperes", "volts"), [("16 AWG", 4, 3.992), ("12 AWG", 20, 7.92)])
def test_published_north_american_examples_at_75_degrees(awg, amperes, volts):
    found = drop("W10", awg, amperes, None, ac=False, length_m=30.48, conductor_temp_c=75.0)
    assert found == pytest.approx(volts, rel=0.003)


def test_lagging_current_counts_reactance():
    resistive = drop("W10", "95 mm²", 100, length_m=20.0)
    lagging = drop("W10", "95 mm²", complex(80, -60), length_m=20.0)
    r, x = 0.193 * 1.1965 * 0.02, 0.08e-3 * 20
    assert resistive == pytest.approx(2 * 100 * r, rel=1e-3)
    assert lagging == pytest.approx(2 * 100 * (r * 0.8 + x * 0.6), rel=1e-3)


@given(
    st.sampled_from(["W1", "W10", "W20", "W31"]),
    st.sampled_from(METRIC_SIZES_MM2[:18]),
    st.floats(0, 500),
    st.lists(st.floats(0.01, 200), min_size=2, max_size=2).map(sorted),
)
def test_longer_never_smaller_drop(id_, mm2, current, lengths):
    short, long = (drop(id_, f"{mm2:g} mm²", current, length_m=length) for length in lengths)
    assert short <= long


@given(
    st.lists(st.sampled_from(METRIC_SIZES_MM2[:18]), min_size=2, max_size=2).map(sorted), st.floats(0, 500)
)
def test_thicker_never_larger_drop(sizes, current):
    thin, thick = (drop("W10", f"{mm2:g} mm²", current) for mm2 in sizes)
    assert thick <= thin
