"""Characteristics of protective devices and times of disconnection against the published figures."""

import pytest

from asfitted.tables.devices import (
    conventional_currents,
    disconnection_time_s,
    instantaneous_band,
    published_breaking_capacity,
    rcd_time_s,
    standard_ratings_a,
    trip_times_s,
)
from asfitted.tables.looked import NoRowError


@pytest.mark.parametrize(
    ("curve", "low", "high"),
    [
        pytest.param("B", 3, 5, id="IEC 60898-1 Table 2 B"),
        pytest.param("C", 5, 10, id="IEC 60898-1 Table 2 C"),
        pytest.param("D", 10, 20, id="IEC 60898-1 Table 2 D"),
    ],
)
def test_instantaneous_band(curve, low, high):
    band = instantaneous_band(curve)
    assert (band.low, band.high) == (low, high)


@pytest.mark.parametrize(
    ("curve", "rating", "zs_max"),
    [
        pytest.param("B", 6, 7.28, id="BS 7671 41.3 B6"),
        pytest.param("B", 16, 2.73, id="BS 7671 41.3 B16"),
        pytest.param("B", 32, 1.37, id="BS 7671 41.3 B32"),
        pytest.param("C", 16, 1.37, id="BS 7671 41.3 C16"),
        pytest.param("D", 20, 0.55, id="BS 7671 41.3 D20"),
    ],
)
def test_upper_edge_of_the_band_gives_the_published_loop_impedance(curve, rating, zs_max):
    assert 230 * 0.95 / (instantaneous_band(curve).high * rating) == pytest.approx(zs_max, abs=0.006)


def test_conventional_currents_iec_60898_1_table_7():
    i1, i2 = conventional_currents("breaker", 20)
    assert (i1.value, i2.value) == (pytest.approx(22.6), pytest.approx(29))


@pytest.mark.parametrize(("rating", "multiple"), [(2, 2.1), (10, 1.9), (16, 1.6), (63, 1.6), (100, 1.6)])
def test_conventional_fusing_current_iec_60269_1_table_2(rating, multiple):
    assert conventional_currents("fuse gG", rating)[1].value == pytest.approx(multiple * rating)


def test_blade_fuse_iso_8820_3_at_135_per_cent():
    assert conventional_currents("fuse blade", 7.5)[1].value == pytest.approx(1.35 * 7.5)
    assert dict(trip_times_s("fuse maxi", 40))[2.0].high == 60


def test_breaker_ratings_iec_60898_1():
    assert standard_ratings_a("breaker") == (6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125)
    assert 6000 in {found.value for found in published_breaking_capacity("breaker")}


@pytest.mark.parametrize(
    ("delay", "multiple", "bound", "time_s"),
    [
        pytest.param("none", 1, "longest", 0.3, id="IEC 61008-1 Table 1 general 1 × I_Δn"),
        pytest.param("none", 2, "longest", 0.15, id="IEC 61008-1 Table 1 general 2 × I_Δn"),
        pytest.param("none", 5, "longest", 0.04, id="IEC 61008-1 Table 1 general 5 × I_Δn"),
        pytest.param("none", 300, "longest", 0.04, id="IEC 61008-1 Table 1 general, large"),
        pytest.param("selective", 1, "longest", 0.5, id="IEC 61008-1 Table 1 selective 1 × I_Δn"),
        pytest.param("selective", 5, "longest", 0.15, id="IEC 61008-1 Table 1 selective 5 × I_Δn"),
        pytest.param("selective", 2, "shortest", 0.06, id="IEC 61008-1 Table 1 selective, non-actuating"),
        pytest.param("selective", 7, "shortest", 0.05, id="IEC 61008-1 Table 1 selective, between columns"),
    ],
)
def test_rcd_times(delay, multiple, bound, time_s):
    assert rcd_time_s(delay, multiple, bound).value == time_s


def test_rcd_below_its_rating_has_no_time():
    with pytest.raises(NoRowError):
        rcd_time_s("none", 0.9, "longest")


@pytest.mark.parametrize(
    ("system", "current", "volts", "circuit", "time_s"),
    [
        pytest.param("TN", "ac", 230, "final", 0.4, id="IEC 60364-4-41 41.1 TN 230 V a.c."),
        pytest.param("TT", "ac", 230, "final", 0.2, id="IEC 60364-4-41 41.1 TT 230 V a.c."),
        pytest.param("TN", "ac", 120, "final", 0.8, id="IEC 60364-4-41 41.1 TN 120 V a.c."),
        pytest.param("TN", "ac", 230, "distribution", 5, id="IEC 60364-4-41 411.3.2.3"),
        pytest.param("TT", "ac", 230, "distribution", 1, id="IEC 60364-4-41 411.3.2.4"),
        pytest.param("TN", "dc", 110, "final", None, id="IEC 60364-4-41 41.1 d.c. up to 120 V"),
        pytest.param("TN", "dc", 24, "final", None, id="extra-low voltage"),
    ],
)
def test_disconnection_times(system, current, volts, circuit, time_s):
    found = disconnection_time_s(system, current, volts, circuit)
    assert (found.value if found else None) == time_s
