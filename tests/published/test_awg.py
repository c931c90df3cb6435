"""American Wire Gauge and resistances of NFPA 70 Chapter 9 Table 8 (stranded, uncoated copper)."""

import math

import pytest

from asfitted.description.values import METRIC_SIZES_MM2, size
from asfitted.tables.awg import awg_sizes, next_smaller_awg
from asfitted.tables.conductors import resistance_20c_ohm_per_km

TABLE_8 = {  # circular mils, ohm per 1000 ft at 75 °C
    "18": (1620, 7.95), "16": (2580, 4.99), "14": (4110, 3.14), "12": (6530, 1.98), "10": (10380, 1.24),
    "8": (16510, 0.778), "6": (26240, 0.491), "4": (41740, 0.308), "3": (52620, 0.245), "2": (66360, 0.194),
    "1": (83690, 0.154), "1/0": (105600, 0.122), "2/0": (133100, 0.0967), "3/0": (167800, 0.0766),
    "4/0": (211600, 0.0608),
}  # fmt: skip
MM2_PER_CMIL = math.pi / 4 * 0.0254**2
FEET_PER_KM = 3280.84


@pytest.mark.parametrize("name", TABLE_8, ids=lambda n: f"ASTM B258, NFPA 70 Chapter 9 Table 8 area {n} AWG")
def test_area(name):
    assert size(f"{name} AWG").mm2 / MM2_PER_CMIL == pytest.approx(TABLE_8[name][0], rel=0.005)


@pytest.mark.parametrize("name", TABLE_8, ids=lambda n: f"NFPA 70 Chapter 9 Table 8 resistance {n} AWG")
def test_resistance(name):
    at_20 = resistance_20c_ohm_per_km(f"{name} AWG", 0, True).value
    at_75 = at_20 / (1 + 0.00323 * (20 - 75))
    assert at_75 == pytest.approx(TABLE_8[name][1] * FEET_PER_KM / 1000, rel=0.006)


@pytest.mark.parametrize(
    ("awg", "metric"),
    [
        pytest.param(a, m, id=f"IEC 60228 sizes: {a} AWG is less than {m:g} mm²")
        for a, m in (("14", 2.5), ("8", 10), ("6", 16), ("4", 25), ("2", 35))
    ],
)
def test_smaller_than_the_metric_size_named_beside_it(awg, metric):
    assert metric in METRIC_SIZES_MM2
    assert size(f"{awg} AWG").mm2 < metric
    assert next_smaller_awg(size(f"{metric:g} mm²")) == f"{awg} AWG"


def test_worked_example_w01_drop_by_the_k_formula():
    """2 × 12.9 × 16 A × 70 ft / 6530 cmil = 4.43 V; Table 8 itself gives the same within a per cent."""
    r75 = resistance_20c_ohm_per_km("12 AWG", 0, True).value / (1 + 0.00323 * (20 - 75))
    assert 2 * 70 / FEET_PER_KM * r75 * 16 == pytest.approx(4.43, rel=0.01)


def test_worked_example_w03_sixteen_awg_at_24_volts():
    r75 = resistance_20c_ohm_per_km("16 AWG", 0, True).value / (1 + 0.00323 * (20 - 75))
    assert 2 * 100 / FEET_PER_KM * r75 * 4 == pytest.approx(3.992, rel=0.005)


def test_worked_example_w04_twelve_awg_at_240_volts():
    r75 = resistance_20c_ohm_per_km("12 AWG", 0, True).value / (1 + 0.00323 * (20 - 75))
    assert 2 * 100 / FEET_PER_KM * r75 * 20 == pytest.approx(7.92, rel=0.005)


def test_negative_example_n6_solid_values_are_not_stranded_ones():
    """A public page prints 3.07, 1.93, 1.21 ohm/kft as stranded for 14, 12, 10 AWG: those are solid wire."""
    for name, solid in (("14", 3.07), ("12", 1.93), ("10", 1.21)):
        at_75 = resistance_20c_ohm_per_km(f"{name} AWG", 0, True).value / (1 + 0.00323 * (20 - 75))
        assert at_75 > solid * FEET_PER_KM / 1000


def test_sizes_ascend():
    areas = [s.mm2 for s in awg_sizes()]
    assert areas == sorted(areas)
    assert len(areas) == 15
