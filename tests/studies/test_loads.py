import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.kinds import LoadItem
from asfitted.studies.loads import ac_load, charger_input, dc_load, inverter_input, phasor


def item(**fields):
    return LoadItem.model_validate(fields)


def test_heater_on_ac():
    draw = ac_load("x", item(power="6 kW", **{"power factor": "1"}), 230)
    assert draw.current_a == pytest.approx(26.087, abs=0.001)  # published worked example: 26.09 A
    assert not draw.assumed


def test_power_factor_raises_the_current_and_lags():
    draw = ac_load("x", item(power="220 W", **{"power factor": "0.95"}), 230)
    assert abs(draw.current_a) == pytest.approx(220 / 230 / 0.95)
    assert math.cos(cmath.phase(draw.current_a)) == pytest.approx(0.95)
    assert draw.current_a.imag < 0


def test_missing_power_factor_is_an_assumption():
    draw = ac_load("x", item(power="1 kW"), 230)
    assert draw.assumed == ("power factor",)
    assert draw.working.verified == "assumed"
    assert abs(draw.current_a) > 1000 / 230


def test_dc_load_at_the_lowest_voltage():
    assert dc_load("x", item(power="48 W"), 20).current_a == pytest.approx(2.4)
    assert dc_load("x", item(current="5 A"), 20).current_a == 5


@pytest.mark.parametrize(("power_w", "amperes"), [(2000, 212), (4000, 423)])
def test_inverter_input_at_the_lowest_voltage(power_w, amperes):
    assert abs(inverter_input("x", power_w, 0.9, 10.5).current_a) == pytest.approx(amperes, abs=0.5)


@pytest.mark.parametrize(("power_factor", "amperes"), [(1.0, 3.6), (0.65, 5.5)])
def test_charger_input_decides_a_six_ampere_site(power_factor, amperes):
    draw = charger_input("x", 50, 14.4, 0.88, power_factor, 230)
    assert abs(draw.current_a) == pytest.approx(amperes, abs=0.05)


@given(st.floats(0, 1000), st.floats(0.01, 1))
def test_phasor_keeps_size_and_angle(current, power_factor):
    found = phasor(current, power_factor)
    assert abs(found) == pytest.approx(current, abs=1e-9)
    assert found.real == pytest.approx(current * power_factor, abs=1e-9)
