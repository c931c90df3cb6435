"""NFPA 70 against its printed tables and published worked examples (a second copy, as printed)."""

from dataclasses import replace

import pytest

from asfitted.description.values import size
from asfitted.tables.looked import NoRowError
from asfitted.tables.rules import nfpa70
from asfitted.tables.rules.rule_set import Earthing, Laid

PLAIN = Laid(size("12 AWG"), "XLPE", 90, "in conduit", False, 2, 10, 30)
SIZES = ["14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
AMPACITY = {
    60: "15 20 30 40 55 70 85 95 110 125 145 165 195",
    75: "20 25 35 50 65 85 100 115 130 150 175 200 230",
    90: "25 30 40 55 75 95 115 130 145 170 195 225 260",
}
AMBIENT = {
    60: (
        (10, 1.29),
        (15, 1.22),
        (20, 1.15),
        (25, 1.08),
        (30, 1),
        (35, 0.91),
        (40, 0.82),
        (45, 0.71),
        (50, 0.58),
    ),
    75: (
        (10, 1.20),
        (20, 1.11),
        (35, 0.94),
        (40, 0.88),
        (45, 0.82),
        (50, 0.75),
        (55, 0.67),
        (60, 0.58),
        (70, 0.33),
    ),
    90: (
        (10, 1.15),
        (20, 1.08),
        (35, 0.96),
        (40, 0.91),
        (45, 0.87),
        (50, 0.82),
        (60, 0.71),
        (70, 0.58),
        (85, 0.29),
    ),
}


def laid(designation, **changes):
    return replace(PLAIN, size=size(f"{designation} AWG"), **changes)


@pytest.mark.parametrize(
    ("temp", "designation", "printed_a"),
    [
        pytest.param(temp, d, float(a), id=f"NFPA 70 Table 310.16 {temp} °C {d} AWG")
        for temp, line in AMPACITY.items()
        for d, a in zip(SIZES, line.split(), strict=True)
    ],
)
def test_ampacity(temp, designation, printed_a):
    assert nfpa70.ampacity(f"{designation} AWG", temp).value == printed_a


@pytest.mark.parametrize(
    ("temp", "ambient", "printed"),
    [
        pytest.param(temp, a, f, id=f"NFPA 70 Table 310.15(B)(1)(1) {temp} °C in {a} °C")
        for temp, line in AMBIENT.items()
        for a, f in line
    ],
)
def test_correction_for_ambient(temp, ambient, printed):
    assert nfpa70.ambient(laid("12", conductor_temp_c=temp, ambient_c=ambient)).value == printed


def test_air_too_hot_for_the_insulation_has_no_factor():
    with pytest.raises(NoRowError):
        nfpa70.ambient(laid("12", conductor_temp_c=60, ambient_c=60))


@pytest.mark.parametrize(
    ("conductors", "printed"),
    [
        pytest.param(n, f, id=f"NFPA 70 Table 310.15(C)(1) {n} conductors")
        for n, f in (
            (3, 1),
            (4, 0.8),
            (6, 0.8),
            (7, 0.7),
            (9, 0.7),
            (10, 0.5),
            (20, 0.5),
            (21, 0.45),
            (31, 0.4),
            (41, 0.35),
        )
    ],
)
def test_adjustment_for_conductors_together(conductors, printed):
    assert nfpa70.adjustment(laid("12", arrangement="bunched", conductors=conductors)).value == printed


def test_no_adjustment_over_two_feet_nipple_nfpa_70_310_15_c_1():
    assert nfpa70.adjustment(laid("12", arrangement="bunched", conductors=9, length_m=0.6)).value == 1


STANDARD = (
    10,
    15,
    20,
    25,
    30,
    35,
    40,
    45,
    50,
    60,
    70,
    80,
    90,
    100,
    110,
    125,
    150,
    175,
    200,
    225,
    250,
    300,
    350,
    400,
)


@pytest.mark.parametrize("rating", STANDARD, ids=lambda r: f"NFPA 70 240.6(A) {r} A")
def test_standard_ratings(rating):
    assert rating in nfpa70.RULES.standard_ratings_a("breaker")


@pytest.mark.parametrize(
    ("designation", "most"),
    [
        pytest.param(d, a, id=f"NFPA 70 240.4(D) {d} AWG")
        for d, a in (("18", 7), ("16", 10), ("14", 15), ("12", 20), ("10", 30))
    ],
)
def test_small_conductors(designation, most):
    found = nfpa70.permitted(laid(designation), 100, 1)
    assert (found.rating_a, found.rule) == (most, "small conductor")


@pytest.mark.parametrize(
    ("device", "receptacles"),
    [
        pytest.param(15, (15,), id="NFPA 70 Table 210.21(B)(3) 15 A"),
        pytest.param(20, (15, 20), id="NFPA 70 Table 210.21(B)(3) 20 A"),
    ],
)
def test_receptacles(device, receptacles):
    assert nfpa70.receptacle_ratings_a(device) == receptacles


def test_no_receptacles_on_25_a_nfpa_70_table_210_21_b_3():
    assert nfpa70.receptacle_ratings_a(25) == ()


@pytest.mark.parametrize(
    ("device", "designation"),
    [
        pytest.param(a, d, id=f"NFPA 70 Table 250.122 {a} A")
        for a, d in (
            (15, "14"),
            (20, "12"),
            (30, "10"),
            (60, "10"),
            (100, "8"),
            (200, "6"),
            (300, "4"),
            (400, "3"),
        )
    ],
)
def test_equipment_grounding_conductor(device, designation):
    found = nfpa70.protective(Earthing(size("4/0 AWG"), device, separate=False))
    assert found.value == pytest.approx(size(f"{designation} AWG").mm2)


def test_chassis_bond_nfpa_70_551_56_b():
    assert nfpa70.protective(Earthing(size("10 AWG"), 30, True, to_structure=True)).note == "8 AWG"


def test_worked_example_w11_two_awg_at_100_fahrenheit():
    """2 AWG, 75 °C, 37.8 °C: 0.88 × 115 = 101.2 A."""
    factor = nfpa70.ambient(laid("2", conductor_temp_c=75, ambient_c=37.8)).value
    assert factor * nfpa70.ampacity("2 AWG", 75).value == pytest.approx(101.2)


def test_worked_example_w12_ten_awg_at_120_fahrenheit():
    """10 AWG, 90 °C, 48.9 °C: 40 × 0.82 = 32.8 A; the small-conductor rule still limits the breaker to 30
    A.
    """
    placed = laid("10", conductor_temp_c=90, ambient_c=48.9)
    derated = nfpa70.ambient(placed).value * nfpa70.ampacity("10 AWG", 90).value
    assert derated == pytest.approx(32.8)
    assert nfpa70.permitted(placed, derated, 1).rating_a == 30


def test_worked_example_w15_next_size_up():
    """6 AWG, 65 A at 75 °C: 65 A is not a standard rating, 70 A is allowed; at 60 °C 55 A, so 4 AWG for 59
    A.
    """
    assert nfpa70.permitted(laid("6"), nfpa70.ampacity("6 AWG", 75).value, 1).rating_a == 70
    assert nfpa70.ampacity("6 AWG", 60).value < 59 <= nfpa70.ampacity("4 AWG", 60).value


def test_next_size_up_is_not_for_several_receptacles_nfpa_70_240_4_b_1():
    assert nfpa70.permitted(laid("8"), 37, 2).rating_a == 37
    assert nfpa70.permitted(laid("8"), 37, 1).rating_a == 40


def test_worked_example_w16_continuous_load():
    assert nfpa70.RULES.continuous.value * 16 == 20


def test_negative_example_n1_wrong_factor_at_45_degrees():
    """A public page takes 0.82 for 90 °C wire at 45 °C; the table has 0.87: 30 × 0.70 × 0.87 = 18.27 A."""
    factor = nfpa70.ambient(laid("12", conductor_temp_c=90, ambient_c=45)).value
    assert 30 * 0.70 * factor == pytest.approx(18.27)


def test_terminals_not_marked_hold_the_ampacity_to_60_degrees_nfpa_70_110_14_c():
    assert nfpa70.ceiling(laid("12")).look().value == 20
    assert nfpa70.ceiling(laid("12", terminals_c=75)).look().value == 25
    assert nfpa70.ceiling(laid("2/0")).look().value == 175


# facts of common practice, not counted as published: what the two rules say of a 25 A device
def test_twelve_awg_carries_25_a_and_may_not_have_a_25_a_breaker():
    placed = laid("12", terminals_c=75)
    assert nfpa70.ceiling(placed).look().value == 25
    assert nfpa70.permitted(placed, 25, 1).rating_a == 20
    assert nfpa70.permitted(laid("10", terminals_c=75), 35, 1).rating_a == 30
