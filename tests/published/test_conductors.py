"""Resistances, protective conductors and the adiabatic constant against published figures and formulas."""

import math

import pytest

from asfitted.description.values import METRIC_SIZES_MM2
from asfitted.tables.conductors import (
    adiabatic_k,
    adiabatic_size_mm2,
    copper,
    protective_conductor_mm2,
    resistance_20c_ohm_per_km,
    resistance_at,
    separate_protective_conductor_mm2,
)
from asfitted.tables.looked import rows

IEC60228 = {
    "class 2": "36.0 24.5 18.1 12.1 7.41 4.61 3.08 1.83 1.15 "
    "0.727 0.524 0.387 0.268 0.193 0.153 0.124 0.0991 0.0754",
    "class 5": "39.0 26.0 19.5 13.3 7.98 4.95 3.30 1.91 1.21 "
    "0.780 0.554 0.386 0.272 0.206 0.161 0.129 0.106 0.0801",
}


@pytest.mark.parametrize("conductor_class", IEC60228, ids=lambda c: f"IEC 60228:2004 {c}")
def test_resistance_at_20_degrees(conductor_class):
    sizes = METRIC_SIZES_MM2[: len(IEC60228[conductor_class].split())]
    found = [resistance_20c_ohm_per_km("", size, conductor_class == "class 5").value for size in sizes]
    assert found == [float(v) for v in IEC60228[conductor_class].split()]


@pytest.mark.parametrize(
    ("size", "printed_mv"),
    [
        pytest.param(size, mv, id=f"BS 7671 4D1B {size:g} mm²")
        for size, mv in ((1, 44), (1.5, 29), (2.5, 18), (4, 11), (6, 7.3), (10, 4.4), (16, 2.8))
    ],
)
def test_drop_per_ampere_and_metre_at_70_degrees(size, printed_mv):
    r70 = resistance_at(resistance_20c_ohm_per_km("", size, False).value, 70)
    assert 2 * r70 == pytest.approx(printed_mv, rel=0.02)


@pytest.mark.parametrize(
    ("temp", "printed"),
    [
        pytest.param(70, 1.20, id="IEC 60228 k_t at 70 °C"),
        pytest.param(90, 1.28, id="IEC 60228 k_t at 90 °C"),
    ],
)
def test_temperature_multiplier(temp, printed):
    assert resistance_at(1, temp) == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize(
    ("designation", "ohm_per_kft"),
    [
        pytest.param("12 AWG", 1.98, id="NFPA 70 Chapter 9 Table 8, 12 AWG"),
        pytest.param("4/0 AWG", 0.0608, id="NFPA 70 Chapter 9 Table 8, 4/0 AWG"),
        pytest.param("16 AWG", 4.99, id="NFPA 70 Chapter 9 Table 8, 16 AWG"),
    ],
)
def test_awg_resistance_comes_back_at_75_degrees(designation, ohm_per_kft):
    r20 = resistance_20c_ohm_per_km(designation, 0, True).value
    assert resistance_at(r20, 75) == pytest.approx(ohm_per_kft * 3.2808, rel=0.005)


@pytest.mark.parametrize(
    "row", rows("adiabatic"), ids=lambda r: f"{r['source']} {r['role']} {r['insulation']}"
)
def test_k_follows_the_adiabatic_formula(row):
    start, end = float(row["initial_c"]), float(row["final_c"])
    k = 226 * math.sqrt(math.log((234.5 + end) / (234.5 + start)))
    found = adiabatic_k(row["role"], row["insulation"], float(row["conductor_temp_c"]))
    assert found.value == pytest.approx(k, abs=0.75)


@pytest.mark.parametrize(
    ("line", "protective"), [(1.5, 1.5), (16, 16), (25, 16), (35, 16), (50, 25), (70, 35), (95, 47.5)]
)
def test_protective_conductor_iec_60364_5_54_table_54_2(line, protective):
    assert protective_conductor_mm2(line).value == protective


def test_separate_protective_conductor_iec_60364_5_54_543_1_3():
    assert separate_protective_conductor_mm2(True).value == 2.5
    assert separate_protective_conductor_mm2(False).value == 4


def test_worked_example_w3_adiabatic_protective_conductor():
    k = adiabatic_k("in cable", "PVC", 70).value
    assert adiabatic_size_mm2(230 / 1.15, 0.4, k) == pytest.approx(1.10, abs=0.005)


def test_worked_example_w4_immersion_heater():
    assert adiabatic_size_mm2(90, 0.4, 115) == pytest.approx(0.49, abs=0.01)


def test_worked_example_w5_loop_with_temperature_factor():
    r1 = resistance_20c_ohm_per_km("", 1.5, False).value
    r2 = resistance_20c_ohm_per_km("", 1, False).value
    loop = resistance_at(r1 + r2, 70) * 0.010
    assert loop == pytest.approx(0.36, abs=0.005)
    assert 0.6 + loop == pytest.approx(0.96, abs=0.005)


def test_worked_example_w8_resistance_from_resistivity():
    rho = copper("resistivity_20c").value
    assert rho * 1000 == pytest.approx(17.241)
    assert 20 * rho * 10 / 2.5 == pytest.approx(1.38, abs=0.005)
    assert 20 * rho * 10 / 1.5 == pytest.approx(2.3, abs=0.005)
    assert resistance_at(rho * 1000, 30) == pytest.approx(17.91, abs=0.01)
    assert 20 * resistance_at(rho, 30) * 10 / 2.5 == pytest.approx(1.43, abs=0.005)
