"""Characteristics of protective devices and times of disconnection against the published figures."""

import math

import numpy as np
import pytest

from asfitted.description.kinds import Fuse
from asfitted.studies.faults.curves import fuse
from asfitted.studies.let_through import let_through
from asfitted.tables.devices import (
    conventional_currents,
    disconnection_time_s,
    instantaneous_band,
    published_breaking_capacity,
    rcd_time_s,
    standard_ratings_a,
    trip_times_s,
)
from asfitted.tables.let_through import class_energy_a2s
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


#: gates of gG fuse-links as a public program prints them from the standard: rated current; least current at 10 s,
#: greatest at 5 s, least and greatest at 0.1 s in A; least and greatest pre-arcing I²t at 0.01 s in kA²s
GATES = [
    (16, 33, 65, 85, 150, 0.3, 1), (20, 42, 85, 110, 200, 0.5, 1.8), (25, 52, 110, 150, 260, 1, 3),
    (32, 75, 150, 200, 350, 1.8, 5), (40, 95, 190, 260, 450, 3, 9), (50, 125, 250, 350, 610, 5, 16),
    (63, 160, 320, 450, 820, 9, 27), (80, 215, 425, 610, 1100, 16, 46), (100, 290, 580, 820, 1450, 27, 86),
    (125, 355, 715, 1100, 1910, 46, 140), (160, 460, 950, 1450, 2590, 86, 250), (200, 610, 1250, 1910, 3420, 140, 400),
    (250, 750, 1650, 2590, 4500, 250, 760), (315, 1050, 2200, 3420, 6000, 400, 1300),
    (400, 1420, 2840, 4500, 8060, 760, 2250),
]  # fmt: skip


@pytest.mark.parametrize("gate", GATES, ids=[f"IEC 60269-1 Tables 3 and 7, gG {g[0]} A" for g in GATES])
def test_gates_of_a_fuse(gate):
    rating, least_10, most_5, least_tenth, most_tenth, least_energy, most_energy = gate
    pair = fuse("gG", rating)
    assert seconds(pair.fast, least_10) == pytest.approx(10)
    assert seconds(pair.slow, most_5) == pytest.approx(5)
    assert seconds(pair.fast, least_tenth) == pytest.approx(0.1)
    assert seconds(pair.slow, most_tenth) == pytest.approx(0.1)
    at_most = math.sqrt(1000 * most_energy / 0.01)
    assert at_most**2 * seconds(pair.slow, at_most) == pytest.approx(1000 * most_energy)
    at_least = math.sqrt(1000 * least_energy / 0.01)
    assert at_least**2 * seconds(pair.fast, at_least) == pytest.approx(1000 * least_energy)
    far_beyond = let_through(Fuse.model_construct(type="gG", rating_a=rating), 50_000, direct=False)
    assert far_beyond.a2s == pytest.approx(1000 * most_energy)


#: energy limiting classes of breakers of 10 kA up to 16 A, as quoted in a public discussion from Annex ZA
CLASSES = [("3", "B", 70_000), ("3", "C", 84_000), ("2", "B", 240_000), ("2", "C", 290_000)]


@pytest.mark.parametrize(
    ("class_", "curve", "energy"), CLASSES, ids=[f"EN 60898-1 Annex ZA, {c} {b}" for c, b, _ in CLASSES]
)
def test_energy_limiting_class(class_, curve, energy):
    assert class_energy_a2s(class_, curve, 16, 10_000).value == energy
    assert class_energy_a2s(class_, curve, 32, 10_000).verified == "from memory"


def seconds(curve, current):
    return float(curve.time_s(np.array([float(current)]))[0])


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
