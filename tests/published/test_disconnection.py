"""Greatest loop impedances, drops per ampere and metre, and fault currents of batteries, against print."""

import pytest

from asfitted.studies.electrodes import TOUCH_LIMIT_V
from asfitted.studies.loops import C_MIN
from asfitted.tables.conductors import copper, resistance_20c_ohm_per_km, resistance_at
from asfitted.tables.devices import disconnection_time_s, instantaneous_band, rcd_time_s

RATINGS = (3, 6, 10, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125)
ZS_2018 = {
    "B": "14.57 7.28 4.37 2.73 2.19 1.75 1.37 1.09 0.87 0.69 0.55 0.44 0.35",
    "C": "3.64 2.19 1.37 1.09 0.87 0.68 0.55 0.44 0.35 0.27 0.22 0.17",
    "D": "1.82 1.09 0.68 0.55 0.44 0.34 0.27 0.22 0.17 0.14 0.11 0.09",
}


@pytest.mark.parametrize(
    ("curve", "rating", "printed_ohm"),
    [
        pytest.param(curve, rating, float(ohm), id=f"BS 7671:2018 Table 41.3 {curve}{rating}")
        for curve, line in ZS_2018.items()
        for rating, ohm in zip(RATINGS[-len(line.split()) :], line.split(), strict=True)
    ],
)
def test_greatest_loop_impedance(curve, rating, printed_ohm):
    allowed = C_MIN * 230 / (instantaneous_band(curve).high * rating)
    assert allowed == pytest.approx(printed_ohm, abs=0.0051)


XLPE_MV = "31 19 12 7.9 4.7 2.9"


@pytest.mark.parametrize(
    ("size", "printed_mv"),
    [
        pytest.param(size, float(mv), id=f"BS 7671 Table 4E2B {size:g} mm²")
        for size, mv in zip((1.5, 2.5, 4, 6, 10, 16), XLPE_MV.split(), strict=True)
    ],
)
def test_drop_per_ampere_and_metre_at_90_degrees(size, printed_mv):
    r90 = resistance_at(resistance_20c_ohm_per_km("", size, False).value, 90)
    assert 2 * r90 == pytest.approx(printed_mv, rel=0.025)


@pytest.mark.parametrize(
    ("size", "printed_mv"),
    [
        pytest.param(size, mv, id=f"BS 7671 Table 4E2B {size:g} mm², with reactance")
        for size, mv in ((25, 1.9), (35, 1.35), (50, 1.0), (70, 0.69), (95, 0.52), (120, 0.42))
    ],
)
def test_drop_of_thick_cables_with_reactance(size, printed_mv):
    r90 = resistance_at(resistance_20c_ohm_per_km("", size, False).value, 90)
    assert 2 * abs(complex(r90, copper("reactance").value)) == pytest.approx(printed_mv, rel=0.04)


@pytest.mark.parametrize(
    ("system", "voltage", "seconds"),
    [
        pytest.param("TN", 120, 0.8, id="IEC 60364-4-41 Table 41.1 TN 120 V"),
        pytest.param("TN", 230, 0.4, id="IEC 60364-4-41 Table 41.1 TN 230 V"),
        pytest.param("TN", 400, 0.2, id="IEC 60364-4-41 Table 41.1 TN 400 V"),
        pytest.param("TT", 120, 0.3, id="IEC 60364-4-41 Table 41.1 TT 120 V"),
        pytest.param("TT", 230, 0.2, id="IEC 60364-4-41 Table 41.1 TT 230 V"),
        pytest.param("TT", 400, 0.07, id="IEC 60364-4-41 Table 41.1 TT 400 V"),
    ],
)
def test_disconnection_times(system, voltage, seconds):
    assert disconnection_time_s(system, "ac", voltage).value == seconds


@pytest.mark.parametrize(
    ("delay", "multiple", "seconds"),
    [
        pytest.param("none", 1, 0.3, id="IEC 61008-1 Table 1 general 1 ×"),
        pytest.param("none", 2, 0.15, id="IEC 61008-1 Table 1 general 2 ×"),
        pytest.param("none", 5, 0.04, id="IEC 61008-1 Table 1 general 5 ×"),
        pytest.param("selective", 1, 0.5, id="IEC 61008-1 Table 1 S 1 ×"),
        pytest.param("selective", 2, 0.2, id="IEC 61008-1 Table 1 S 2 ×"),
        pytest.param("selective", 5, 0.15, id="IEC 61008-1 Table 1 S 5 ×"),
    ],
)
def test_break_times_of_residual_current_devices(delay, multiple, seconds):
    assert rcd_time_s(delay, multiple, "longest").value == seconds


@pytest.mark.parametrize(
    ("residual_ma", "printed_ohm"),
    [
        pytest.param(ma, ohm, id=f"worked example W11, {ma} mA")
        for ma, ohm in ((30, 1667), (100, 500), (300, 167), (500, 100))
    ],
)
def test_worked_example_w11_electrode(residual_ma, printed_ohm):
    """Two of the printed limits are rounded up: a check rounds down."""
    assert int(TOUCH_LIMIT_V / (residual_ma / 1000)) in (printed_ohm, printed_ohm - 1)


@pytest.mark.parametrize(
    ("current_ma", "printed_s"),
    [
        pytest.param(ma, s, id=f"UL 943 (20/I)^1.43, {ma} mA")
        for ma, s in ((6, 5.5939), (7, 4.4873), (8, 3.7073), (10, 2.6945), (15, 1.5089))
    ],
)
def test_trip_time_of_a_class_a_interrupter(current_ma, printed_s):
    assert (20 / current_ma) ** 1.43 == pytest.approx(printed_s, abs=6e-4)
