"""Quantities as an electrician writes them: a number and a unit, read by a closed grammar.

Pint would evaluate arithmetic in a user's text (`1,5 A` becomes 15 A), so a text is matched here first and
only the
*name* of a listed unit is handed to Pint, which knows the factors.
"""

import math
import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from asfitted import words
from asfitted.description._unit_registry import factor_and_offset

#: the sign of typesetting, which some editors put for a hyphen
MINUS = "\u2212"
NUMBER = r"[+-]?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d{1,2})?"
_QUANTITY = re.compile(rf"\s*({NUMBER})\s*(\S.*?)?\s*")
_DECIMAL_COMMA = re.compile(r"\s*[+-]?\d+,\d")


@dataclass(frozen=True)
class Dimension:
    """A kind of quantity: its units as written -> Pint's name, and the base unit the studies use."""

    name: str
    base: str
    example: str
    units: dict[str, str]
    low: float = 0.0
    high: float = math.inf


# Ω is typed as a Greek letter (U+03A9) or as the old ohm sign (U+2126); both look alike.
_OHM = {
    "ohm": "ohm", "Ω": "ohm", "\u2126": "ohm", "mohm": "mohm", "mΩ": "mohm", "m\u2126": "mohm",
    "kohm": "kohm", "kΩ": "kohm", "k\u2126": "kohm",
}  # fmt: skip
_KILO_WATT = {"W": "W", "kW": "kW", "VA": "VA", "kVA": "kVA"}
DIMENSIONS = {
    dimension.name: dimension
    for dimension in (
        Dimension("current", "A", "16 A", {"A": "A", "mA": "mA", "kA": "kA"}, 0, 1e5),
        Dimension("voltage", "V", "24 V", {"V": "V", "mV": "mV", "kV": "kV"}, 0, 1e3),
        Dimension("power", "W", "1.6 kW", _KILO_WATT, 0, 1e6),
        Dimension("resistance", "ohm", "0.8 ohm", _OHM, 0, 1e7),
        # Mohm only here: nobody may take it for mohm where a cable is meant
        Dimension(
            "insulation",
            "ohm",
            "200 Mohm",
            {
                "Mohm": "Mohm",
                "MΩ": "Mohm",
                "M\u2126": "Mohm",
                "Gohm": "Gohm",
                "GΩ": "Gohm",
                "G\u2126": "Gohm",
                **_OHM,
            },
            0,
            1e13,
        ),
        Dimension("length", "m", "7 m", {"m": "m", "cm": "cm", "mm": "mm", "ft": "ft", "in": "in"}, 0, 2000),
        Dimension("duration", "s", "60 ms", {"s": "s", "ms": "ms", "min": "min", "h": "h"}, 0, 1e7),
        Dimension(
            "temperature",
            "°C",
            "40 °C",
            {"°C": "degC", "degC": "degC", "°F": "degF", "degF": "degF"},
            -90,
            300,
        ),
        Dimension("frequency", "Hz", "50 Hz", {"Hz": "Hz"}, 1, 1000),
        Dimension("charge", "Ah", "200 Ah", {"Ah": "A*h"}, 0, 1e5),
        # a data sheet's kA²s is a thousand A²s, never (kA)²s
        Dimension("let-through", "A²s", "35000 A²s", {"A²s": "", "kA²s": "kilo"}, 1, 1e9),
        Dimension("capacitance", "F", "100 nF", {"nF": "nF", "uF": "uF", "µF": "uF"}, 0, 1),
        Dimension("irradiation", "kWh/m²", "2.8 kWh/m²", {"kWh/m²": "", "kWh/m2": ""}, 0, 15),
        Dimension("count", "", "4", {"": ""}, 1, 1000),
        Dimension("ratio", "", "0.9", {"": "", "%": "%"}, 0, 1),
        Dimension("exponent", "", "1.15", {"": ""}, 1, 2),
        Dimension("angle", "°", "30 °", {"°": "", "deg": ""}, -90, 360),
    )
}

#: every unit as it is written, and those of conductor sizes
KNOWN_UNITS = frozenset(("mm²", "mm2", "AWG", *(u for d in DIMENSIONS.values() for u in d.units if u)))


class QuantityError(ValueError):
    """A text that is no quantity of the wanted dimension; `code` and `fields` name the sentence that says
    why.
    """

    def __init__(self, code: str, **fields: object) -> None:
        super().__init__(code)
        self.code = code
        self.fields = fields


@cache
def _conversion(dimension: str, unit: str) -> tuple[float, float]:
    """Return (factor, offset) from `unit` to the dimension's base unit."""
    name = DIMENSIONS[dimension].units[unit]
    if name == "":
        return 1.0, 0.0
    if name == "%":
        return 0.01, 0.0
    if name == "kilo":
        return 1000.0, 0.0
    if dimension == "charge":
        return 1.0, 0.0
    return factor_and_offset(name, {"°C": "degC"}.get(DIMENSIONS[dimension].base, DIMENSIONS[dimension].base))


def unit_pattern(dimension: str) -> str:
    """Return the alternatives of a regular expression for the units of `dimension`, longest first."""
    units = sorted((u for u in DIMENSIONS[dimension].units if u), key=len, reverse=True)
    return "|".join(re.escape(unit) for unit in units)


def unit_hint(number: str, unit: str, known: Collection[str]) -> str:
    """Return the advice for a unit in other letters or by another name (`Ohm`, `metres`); empty if it is none."""
    other = {word.casefold(): right for word, right in words.catalogue("problems")["other units"].items()}
    other |= {right.casefold(): right for right in reversed(list(known))}
    right = str(other.get(unit.casefold(), ""))
    return words.text("problems", "meant.near", near=f"{number} {right}") if right in known else ""


def point_for_comma(text: str) -> str:
    """Return a number with its comma as a point; three figures after it may also be thousands."""
    pointed = text.replace(",", ".", 1)
    thousands = re.match(r"\s*[+-]?[1-9]\d{0,2},\d{3}(?!\d)", text)
    return f"{text.replace(',', '', 1)}, or {pointed}" if thousands else pointed


def units_of(dimension: str) -> str:
    """Return the units of a dimension as a message names them; an example where it has none."""
    wanted = DIMENSIONS[dimension]
    return ", ".join(unit for unit in wanted.units if unit and "\u2126" not in unit) or wanted.example


def parse(text: str, dimension: str, low: float | None = None, high: float | None = None) -> float:
    """Return the value of `text` in the base unit of `dimension`.

    Raises QuantityError: decimal comma, no number, missing unit, unknown unit, out of range.
    """
    wanted = DIMENSIONS[dimension]
    allowed = units_of(dimension)
    text = text.replace(MINUS, "-")
    match = _QUANTITY.fullmatch(text)
    if _DECIMAL_COMMA.match(text):
        raise QuantityError("decimal comma", text=text, right=point_for_comma(text))
    if not match:
        raise QuantityError("not a number", text=text, units=allowed)
    number, unit = float(match[1]), match[2] or ""
    if unit not in wanted.units:
        if not unit:
            right = f"{match[1]} {wanted.base}"
            raise QuantityError("missing unit", text=text, dimension=dimension, units=allowed, right=right)
        other = next((d.name for d in DIMENSIONS.values() if unit in d.units), None)
        if other:
            raise QuantityError("wrong dimension", text=text, dimension=dimension, units=allowed, other=other)
        hint = unit_hint(match[1], unit, wanted.units)
        raise QuantityError("unknown unit", text=text, unit=unit, units=allowed, hint=hint)
    factor, offset = _conversion(dimension, unit)
    value = float(f"{number * factor + offset:.12g}")
    least, most = wanted.low if low is None else low, wanted.high if high is None else high
    if least <= value <= most and math.isfinite(value):
        return value
    if dimension == "ratio" and not unit and 1 < number <= 100 * most:
        raise QuantityError("percent sign missing", text=text, right=f"{match[1]} %, or {number / 100:g}")
    raise QuantityError("out of range", text=text, low=_shown(least, wanted), high=_shown(most, wanted))


def _shown(value: float, dimension: Dimension) -> str:
    return f"{value:,.10g} {dimension.base}".replace(",", " ").strip()
