"""Numbers as the trade writes them: three figures, the right prefix, a no-break space before the unit."""

import math
import re

NBSP = "\u00a0"
#: what is smaller is left over from rounding, not a quantity
NOTHING = 1e-14
_PREFIXES = {
    "A": ((1e3, "kA", 1e3), (1.0, "A", 1.0), (0.0, "mA", 1e-3)),
    "W": ((1e4, "kW", 1e3), (0.0, "W", 1.0)),
    "ohm": ((1.0, "Ω", 1.0), (0.0, "mΩ", 1e-3)),
    "s": ((3600.0, "h", 3600.0), (120.0, "min", 60.0), (0.1, "s", 1.0), (0.0, "ms", 1e-3)),
    "Hz": ((0.0, "Hz", 1.0),),
}
_LOOSE = re.compile(r"(?<=\d)(?:\.0)? (?=(?:[mk]?[AVWΩsm]|mm²|ft|AWG|Ah|Hz|°C|%)(?![\w²]))")


def exceeds(value: float, limit: float) -> bool:
    """Tell whether a value stands above a limit by more than three printed figures hide: figures that read
    alike are no breach.
    """
    return value > 1.005 * limit


def tied(text: str) -> str:
    """Return a sentence whose numbers hold on to their units, without a nought behind the point."""
    return _LOOSE.sub(NBSP, text)


def figures(value: float, digits: int = 3) -> str:
    """Return a number rounded to `digits` significant figures, without exponent or superfluous zeros."""
    if abs(value) < NOTHING or not math.isfinite(value):
        return "0" if abs(value) < NOTHING else "∞"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{round(value, decimals):.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity(value: float | None, unit: str, digits: int = 3) -> str:
    """Return value and unit; amperes, ohms and seconds with the prefix that is usual. None is a dash."""
    if value is None:
        return "–"
    if unit == "%":
        return f"{figures(value, 2)}{NBSP}%"
    for least, name, factor in _PREFIXES.get(unit, ()):
        if abs(value) >= least or (value == 0 and factor == 1):
            return f"{figures(value / factor, digits)}{NBSP}{name}"
    return f"{figures(value, digits)}{NBSP}{unit.replace('ohm', 'Ω')}".rstrip(NBSP)
