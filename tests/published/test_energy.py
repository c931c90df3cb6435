"""Energy against published worked examples and tables; the source stands beside each."""

import pytest

from asfitted.studies.energy.formulas import (
    VENTILATION_FACTOR,
    air_m3_h,
    bank_ah,
    charging_hours,
    opening_cm2,
    peukert_factor,
    peukert_hours,
)
from asfitted.studies.energy.loop import loss_w
from asfitted.studies.energy.sun import above_atmosphere_kwh_m2
from asfitted.tables.energy import MONTHS, array_losses, cold_share, gassing, sun_of_place

# The handbook of a battery monitor prints what 100 Ah (20-hour rate, 5 A) still give at other currents, in per cent.
PEUKERT_CURRENTS = (5, 10, 16.7, 25, 50, 75, 100, 150, 200, 250, 300, 400, 500)
PEUKERT_TABLE = {
    1.1: (100, 93, 88, 85, 79, 76, 74, 71, 69, 67, 66, 64, 63),
    1.2: (100, 87, 78, 72, 63, 58, 55, 51, 48, 46, 44, 42, 40),
    1.25: (100, 84, 74, 67, 56, 51, 47, 42, 40, 37, 36, 33, 32),
    1.3: (100, 81, 69, 62, 50, 44, 41, 36, 33, 31, 30, 27, 25),
    1.4: (100, 76, 61, 52, 40, 34, 30, 26, 23, 21, 20, 17, 16),
    1.5: (100, 71, 55, 45, 32, 26, 22, 18, 16, 14, 13, 11, 10),
}


@pytest.mark.parametrize(
    ("exponent", "current_a", "percent"),
    [(k, i, p) for k, row in PEUKERT_TABLE.items() for i, p in zip(PEUKERT_CURRENTS, row, strict=True)],
)
def test_peukert_table_in_the_handbook_of_a_battery_monitor(exponent, current_a, percent):
    hours = peukert_hours(100, 20, current_a, exponent)
    assert hours * current_a == pytest.approx(percent, abs=0.75)  # some cells are cut off, not rounded
    assert 100 / peukert_factor(current_a, 5, exponent) == pytest.approx(percent, abs=0.75)


def test_peukert_in_the_h_hour_form_is_the_1_a_form_with_its_own_capacity():
    # Published worked example W21: C = 250 Ah, I = 20 A, n = 1.3, T = C/I^n = 5.088631644 h, capacity 101.772632884 Ah.
    # There C is the capacity at 1 A, so that H = 250 h.
    assert peukert_hours(250, 250, 20, 1.3) == pytest.approx(5.088631644, rel=1e-9)
    assert 20 * peukert_hours(250, 250, 20, 1.3) == pytest.approx(101.772632884, rel=1e-9)


def test_peukert_14_5_hours_need_the_1_a_capacity():
    # A published page gives 14.5 h for 100 Ah, k = 1.2, 5 A; at the 20-hour rate the same words mean 20 h.
    assert peukert_hours(100, 100, 5, 1.2) == pytest.approx(14.5, abs=0.02)
    assert peukert_hours(100, 20, 5, 1.2) == pytest.approx(20)


def test_autonomy_short_method():
    # Published worked example W19: 1000 Wh a day, 12 V, 2.5 days, 50 %: 416.66 Ah
    assert bank_ah(1000, 2.5, 0.5, 12) == pytest.approx(416.666, abs=0.01)


def test_autonomy_in_the_cold():
    # The same page at 40 °F (multiplier 1.30): 6500 Wh / 12 V
    multiplier = 1 / cold_share("lead-acid AGM", 4.4).value
    assert multiplier == pytest.approx(1.30)
    assert bank_ah(1000, 2.5, 0.5, 12, multiplier) == pytest.approx(6500 / 12, rel=1e-9)


@pytest.mark.parametrize(
    ("celsius", "multiplier"),
    [(26.7, 1.0), (21.2, 1.04), (15.6, 1.11), (10.0, 1.19), (4.4, 1.30), (-1.1, 1.40), (-6.7, 1.59)],
)
def test_cold_multipliers_of_the_battery_sizing_worksheet(celsius, multiplier):
    assert 1 / cold_share("lead-acid flooded", celsius).value == pytest.approx(multiplier)


def test_charging_time_ideal_and_with_losses():
    # Published worked example: 120 Ah at 13 A take 9.23 h; with 40 % more charge than comes out again, 12.92 h.
    short = 1e-9  # no absorption stage in that example
    assert charging_hours(120, 13, 1.0, short) == pytest.approx(9.23, abs=0.005)
    assert charging_hours(120, 13, 1 / 1.4, short) == pytest.approx(12.92, abs=0.005)


def test_charging_time_of_100_ah():
    # Published worked example: 100 Ah at 11 A, ideal 9.09 h, with 40 % losses 12.72 h
    assert charging_hours(100, 11, 1.0, 1e-9) == pytest.approx(9.09, abs=0.005)
    assert charging_hours(100, 11, 1 / 1.4, 1e-9) == pytest.approx(12.72, abs=0.01)


def test_iec_62485_2_factor_is_dilution_times_hydrogen_times_safety():
    # EN 50272 as reprinted by battery makers: v = 24, q = 0.42e-3 m³/Ah, s = 5, resolved to 0.05
    assert pytest.approx(VENTILATION_FACTOR, abs=0.0005) == 24 * 0.42e-3 * 5


def test_iec_62485_2_hydrogen_is_what_faraday_says():
    # 1 Ah makes 3600/(2·96485) mol of H2; at 0 °C and 1013 hPa a mole fills 22.414 l: 0.418 l, printed as 0.42
    assert pytest.approx(0.42, abs=0.003) == 3600 / (2 * 96485.3) * 22.414


@pytest.mark.parametrize(
    ("chemistry", "stage", "float_ma", "gas_factor", "safety"),
    [
        ("lead-acid flooded", "float", 1, 1, 5),
        ("lead-acid flooded", "boost", 4, 1, 5),
        ("lead-acid AGM", "float", 1, 0.2, 5),
        ("lead-acid gel", "boost", 8, 0.2, 5),
    ],
)
def test_iec_62485_2_gassing_currents_are_the_product_of_their_printed_factors(
    chemistry, stage, float_ma, gas_factor, safety
):
    assert gassing(chemistry, stage).value == pytest.approx(float_ma * gas_factor * safety)


def test_iec_62485_2_opening():
    # EN 50272 as reprinted: A = 28 · Q in cm². By hand: 12 cells, 220 Ah, 8 mA/Ah: 0.05 · 12 · 8 · 220 / 1000 = 1.056
    air = air_m3_h(12, 8, 220)
    assert air == pytest.approx(1.056)
    assert opening_cm2(air) == pytest.approx(29.568)


@pytest.mark.parametrize(
    ("through_w", "lost_w", "amperes"), [(300, 69, 5.4), (500, 116, 9.0), (1000, 231, 18)]
)
def test_energy_loop_table_of_the_procedures(through_w, lost_w, amperes):
    # requirements, trap T1: 0.90 and 0.88, at 12.8 V
    assert loss_w(through_w, 0.90, 0.88) == pytest.approx(lost_w, abs=0.6)
    assert loss_w(through_w, 0.90, 0.88) / 12.8 == pytest.approx(amperes, abs=0.06)


@pytest.mark.parametrize(
    ("latitude", "day", "mj_m2", "tolerance"),
    [
        (-22.9, 135, 25.111, 0.001),  # NCL radsol_clrsky_fao56, FAO 56 example 10 (May at Rio de Janeiro)
        (-20.0, 246, 32.2, 0.05),  # FAO 56 example 8, 3 September at 20° south (from memory)
    ],
)
def test_sun_above_the_atmosphere_fao_56(latitude, day, mj_m2, tolerance):
    assert above_atmosphere_kwh_m2(latitude, day) * 3.6 == pytest.approx(mj_m2, abs=tolerance)


def test_losses_of_an_array_nrel():
    # NREL/TP-6A20-62641: the ten defaults together 14.08 %
    assert array_losses().value == pytest.approx(0.1408, abs=5e-5)


@pytest.mark.parametrize(
    ("place", "mean"),
    [("Phoenix AZ", 5.738), ("Miami FL", 4.803), ("San Francisco CA", 4.702), ("Champaign IL", 3.732)],
)
def test_monthly_sun_makes_the_yearly_mean(place, mean):
    # NREL NSRDB TMY3: day-weighted mean of the months
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    months = [month.value for month in sun_of_place(place)]
    assert len(months) == len(MONTHS)
    assert sum(n * m for n, m in zip(days, months, strict=True)) / 365 == pytest.approx(mean, abs=0.001)
