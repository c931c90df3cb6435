from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.values import METRIC_SIZES_MM2, size
from asfitted.network.resistance import core_resistance_20c
from asfitted.studies.drop import conductors_in_series, core_impedance, drop_v

from .small import network, sizing

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


#: IEC 60228:2004 Tables 2 and 3, 2.5 mm² copper at 20 °C, in ohm per km
CLASS_2_OHM_PER_KM, CLASS_5_OHM_PER_KM = 7.41, 7.98


@pytest.mark.parametrize(
    ("described", "least", "greatest"),
    [
        (None, CLASS_2_OHM_PER_KM, CLASS_5_OHM_PER_KM),
        ("class 2", CLASS_2_OHM_PER_KM, CLASS_2_OHM_PER_KM),
        ("class 5", CLASS_5_OHM_PER_KM, CLASS_5_OHM_PER_KM),
    ],
)
def test_resistance_where_the_class_is_not_given_lies_between_the_classes_of_iec_60228(
    described, least, greatest
):
    cable = replace(VAN.cables["W10"], flexible=False, length_m=1000.0)
    bounds = ("least", "greatest")
    found = [core_resistance_20c(cable, size("2.5 mm²"), described, bound).value for bound in bounds]
    assert found == pytest.approx([least, greatest])


def test_greatest_fault_current_flows_through_the_class_of_less_resistance():
    """3 kA at 230 V, then 25 m + 1 m of 2.5 mm²: the lead is flexible rubber (class 5), W2 may be of class 2."""
    rcbo = next(w for w in sizing().workings if w.subject == "QF1" and w.quantity == "breaking_capacity")
    ohm = 230 / 3000 + 0.025 * CLASS_5_OHM_PER_KM + 0.001 * CLASS_2_OHM_PER_KM
    assert rcbo.result == pytest.approx(230 / ohm, rel=1e-6)
