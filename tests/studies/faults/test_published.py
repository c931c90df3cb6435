"""Curves, times and zones against what is published; every case names its source."""

from math import inf

import numpy as np
import pytest

from asfitted.studies.faults.curves import breaker, fuse, gfci, rcd
from asfitted.studies.faults.touch import felt, zone_of
from asfitted.tables.body import body_impedance_ohm, body_ohm
from asfitted.tables.devices import disconnection_time_s


def at(curve: object, current: float) -> float:
    return float(curve(np.array([current]))[0])  # type: ignore[operator]


IEC_60898 = [("B", 3, 5), ("C", 5, 10), ("D", 10, 20)]


@pytest.mark.parametrize(
    ("curve", "low", "high"), IEC_60898, ids=[f"IEC 60898-1 Table 2, {c}" for c, *_ in IEC_60898]
)
@pytest.mark.parametrize("rating", [6, 16, 32, 63])
def test_instantaneous_release(curve, low, high, rating):
    pair = breaker(curve, rating)
    assert at(pair.slow.time_s, high * rating) == pytest.approx(0.1)
    assert at(pair.slow.time_s, 0.99 * high * rating) > 0.9
    assert at(pair.fast.time_s, 0.99 * low * rating) >= 0.1
    assert at(pair.fast.time_s, 1.01 * low * rating) < 0.1


@pytest.mark.parametrize(
    ("multiple", "slow"), [(1.44, inf), (1.45, 3600), (2.55, 60)], ids=lambda x: f"IEC 60898-1 Table 7, {x:g}"
)
def test_thermal_release(multiple, slow):
    assert at(breaker("C", 16).slow.time_s, multiple * 16) == pytest.approx(slow)
    assert at(breaker("C", 16).fast.time_s, 1.12 * 16) == inf


#: greatest loop impedances printed for 0.4 s, C_min 0.95: beyond them the breaker may be late
ZS = [
    ("B", 6, 7.28),
    ("B", 16, 2.73),
    ("B", 32, 1.37),
    ("C", 16, 1.37),
    ("C", 32, 0.68),
    ("D", 16, 0.68),
    ("D", 32, 0.34),
]


@pytest.mark.parametrize(
    ("curve", "rating", "ohm"), ZS, ids=[f"BS 7671 Table 41.3, {c}{r}" for c, r, _ in ZS]
)
def test_greatest_loop_impedance(curve, rating, ohm):
    pair = breaker(curve, rating)
    assert at(pair.slow.time_s, 0.95 * 230 / (ohm - 0.005)) <= 0.1 * (1 + 1e-6)
    assert at(pair.slow.time_s, 0.95 * 230 / (ohm * 1.02)) > 0.4


IEC_61008 = [
    (0.03, "none", 0.0299, inf), (0.03, "none", 0.03, 0.3), (0.03, "none", 0.06, 0.15), (0.03, "none", 0.226, 0.15),
    (0.03, "none", 0.25, 0.04), (0.3, "none", 1.5, 0.04), (0.3, "selective", 0.3, 0.5), (0.3, "selective", 0.6, 0.2),
    (0.3, "selective", 1.5, 0.15),
]  # fmt: skip


@pytest.mark.parametrize(
    ("rated", "delay", "current", "slow"),
    IEC_61008,
    ids=[f"IEC 61008-1 Table 1, {c[2] / c[0]:.3g} IΔn {c[1]}" for c in IEC_61008],
)
def test_residual_break_time(rated, delay, current, slow):
    assert at(rcd(rated, "A", delay).slow, current) == pytest.approx(slow)


def test_residual_non_operating_current_is_half():
    release = rcd(0.03, "A", "none")
    assert at(release.fast, 0.0149) == inf
    assert at(release.fast, 0.0151) == 0


@pytest.mark.parametrize(("current_ma", "seconds"), [(6, 5.59), (20, 1.0), (100, 0.1), (264, 0.025)],
                         ids=lambda x: f"UL 943, {x:g}")  # fmt: skip
def test_class_a_interrupter(current_ma, seconds):
    assert at(gfci().slow, current_ma / 1000) == pytest.approx(seconds, rel=0.01)
    assert at(gfci().fast, 0.0039) == inf


@pytest.mark.parametrize(("type_", "limit_a"), [("AC", 1e-4), ("A", 0.006), ("F", 0.010), ("B", inf)])
def test_type_and_direct_current(type_, limit_a):
    assert rcd(0.03, type_, "none").direct_a == limit_a


@pytest.mark.parametrize(("multiple", "low", "high"), [(2.9, 3, 66), (9.6, 0.006, 0.05)], ids=["2.9", "9.6"])
def test_fuse_of_class_t(multiple, low, high):
    pair = fuse("T", 250)
    assert at(pair.slow.time_s, multiple * 250) == pytest.approx(high)
    assert at(pair.fast.time_s, multiple * 250) == pytest.approx(low)


BODY = [(25, 1750), (50, 1450), (100, 1200), (220, 1000), (1000, 700)]


@pytest.mark.parametrize(("volts", "ohm"), BODY, ids=[f"IEC 479-1:1994 Table 1, {v} V" for v, _ in BODY])
def test_body_impedance_of_five_per_cent(volts, ohm):
    assert float(body_impedance_ohm(volts)) == pytest.approx(ohm)


@pytest.mark.parametrize(
    ("milliamperes", "seconds", "zone"),
    [(0.4, 10, "AC-1"), (4, 10, "AC-2"), (190, 0.01, "AC-2"), (20, 5, "AC-3"), (226, 0.15, "AC-3"), (30, 10, "AC-3"),
     (60, 5, "AC-4"), (226, 5, "AC-4"), (510, 0.01, "AC-4")],
    ids=lambda x: f"IEC 60479-1, {x}",
)  # fmt: skip
def test_zone(milliamperes, seconds, zone):
    assert zone_of(milliamperes / 1000, seconds) == zone


def test_one_voltage_and_many_agree():
    volts = np.linspace(1, 1200, 200)
    assert [body_ohm(v) for v in volts.tolist()] == pytest.approx(body_impedance_ohm(volts).tolist())


def test_body_and_source_agree_on_the_voltage():
    body = felt(230, 500)
    assert body.current_a * body.impedance_ohm == pytest.approx(body.across_v)
    assert body.current_a == pytest.approx(230 / (500 + float(body_impedance_ohm(body.across_v))))


@pytest.mark.parametrize(
    ("system", "volts", "seconds"),
    [("TN", 230, 0.4), ("TT", 230, 0.2), ("TN", 120, 0.8), ("TT", 120, 0.3), ("TN", 400, 0.2)],
    ids=lambda x: f"IEC 60364-4-41 Table 41.1, {x}",
)
def test_disconnection_time(system, volts, seconds):
    looked = disconnection_time_s(system, "ac", volts)
    assert looked is not None
    assert looked.value == seconds


def test_a_current_from_hand_to_hand_threatens_the_heart_less():
    # curve c1 ends at 50 mA: above it 100 mA from hand to feet, not 0.4 × 100 mA (IEC 60479-1 Table 12, from memory)
    assert zone_of(0.1, 10) == "AC-4"
    assert zone_of(0.1, 10, "hand to hand") == "AC-3"
    assert zone_of(0.226, 10, "hand to hand") == "AC-4"
    # cramp does not ask for the way: curve b is 5 mA
    assert zone_of(0.02, 10, "hand to hand") == zone_of(0.02, 10) == "AC-3"


def test_the_median_body_lets_less_through_than_the_five_in_a_hundred_who_let_most():
    # IEC 479-1:1994 Table 1 at 220 V: 1000 ohm of 5 %, 1350 ohm of 50 %
    assert felt(220, 0).current_a == pytest.approx(0.220)
    assert felt(220, 0, 50).current_a == pytest.approx(220 / 1350, rel=0.01)
