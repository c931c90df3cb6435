"""Units: factors against Pint's own registry, and texts that must not be read as something else."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.units import DIMENSIONS, QuantityError, parse, unit_pattern

#: our units -> the same unit in Pint's own registry, where it is written differently
IN_PINT = {
    "°C": "degC", "°F": "degF", "kWh/m²": "kW*h/m**2", "kWh/m2": "kW*h/m**2", "Ah": "A*h", "VA": "V*A",
    "kVA": "kV*A",
    "Ω": "ohm", "mΩ": "mohm", "kΩ": "kohm", "\u2126": "ohm",
    "m\u2126": "mohm", "k\u2126": "kohm", "M\u2126": "Mohm", "G\u2126": "Gohm", "%": "percent", "": "dimensionless",
    "kA²s": "kA*A*s",  # as data sheets mean it: a thousand A²s, where SI would read (kA)²s
}  # fmt: skip
CASES = [(name, unit) for name, dimension in DIMENSIONS.items() for unit in dimension.units]
ORACLE = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize(("dimension", "unit"), CASES, ids=lambda value: value or "plain")
def test_factors_agree_with_pints_own_registry(dimension: str, unit: str):
    base = DIMENSIONS[dimension].base
    number = 20.0 if dimension != "ratio" else 0.5
    expected = ORACLE.Quantity(number, IN_PINT.get(unit, unit)).to(IN_PINT.get(base, base)).magnitude
    text = f"{number:g} {unit}".strip()
    assert parse(text, dimension, -math.inf, math.inf) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "dimension", "code"),
    [
        ("1,5 A", "current", "decimal comma"),
        ("16", "current", "missing unit"),
        ("16 a", "current", "unknown unit"),
        ("16 Amp", "current", "unknown unit"),
        ("16 V", "current", "wrong dimension"),
        ("10**10**10 A", "current", "unknown unit"),
        ("2*3 A", "current", "unknown unit"),
        ("2 + 3 A", "current", "unknown unit"),
        ("__import__('os') A", "current", "not a number"),
        ("nan A", "current", "not a number"),
        ("inf A", "current", "not a number"),
        ("1e99 A", "current", "out of range"),
        ("-5 A", "current", "out of range"),
        ("010 A", "current", "unknown unit"),
        ("0x10 A", "current", "unknown unit"),
        ("1_000 A", "current", "unknown unit"),
        ("", "current", "not a number"),
        ("3 m", "temperature", "wrong dimension"),
        ("120", "ratio", "out of range"),
        ("92", "ratio", "percent sign missing"),
        ("92 V", "ratio", "wrong dimension"),
    ],
)
def test_texts_that_are_no_quantity(text: str, dimension: str, code: str):
    with pytest.raises(QuantityError) as caught:
        parse(text, dimension)
    assert caught.value.code == code


def test_the_advice_for_a_decimal_comma_is_the_decimal_point():
    with pytest.raises(QuantityError) as caught:
        parse("1,5 A", "current")
    assert caught.value.fields["right"] == "1.5 A"


@pytest.mark.parametrize(
    ("text", "value"), [("16A", 16), ("30 mA", 0.03), ("6 kA", 6000), ("1.5e1 A", 15), ("+2 A", 2)]
)
def test_quantities(text: str, value: float):
    assert parse(text, "current") == pytest.approx(value)


def test_a_temperature_in_fahrenheit():
    assert parse("104 °F", "temperature") == pytest.approx(40.0, abs=1e-9)
    assert parse("14 °F", "temperature") == pytest.approx(-10.0, abs=1e-9)


@given(st.text(max_size=20))
def test_any_text_is_a_number_or_a_named_problem(text: str):
    for dimension in DIMENSIONS:
        try:
            assert math.isfinite(parse(text, dimension))
        except QuantityError:
            continue


@given(st.floats(0.001, 1e5, allow_nan=False), st.sampled_from(["A", "mA", "kA"]))
def test_a_value_written_out_is_read_back(value: float, unit: str):
    number = float(f"{value:.6g}")
    factor = {"A": 1.0, "mA": 1e-3, "kA": 1e3}[unit]
    text = f"{number:f}".rstrip("0").rstrip(".")
    if 0 < number * factor <= 1e5 and float(text) == number:
        assert parse(f"{text} {unit}", "current") == pytest.approx(number * factor, rel=1e-9)


def test_longer_units_are_tried_first():
    assert unit_pattern("power").split("|").index("kVA") < unit_pattern("power").split("|").index("VA")
