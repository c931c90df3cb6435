"""Current-carrying capacity by reference method, temperature class, loaded conductors and size.

Rows: `data/capacity.csv`, IEC 60364-5-52 Tables B.52.2 to B.52.5, B.52.10 and B.52.12 (copper, air at
30 °C), continued downwards by a national table on the same basis; flexible rubber leads of 60 °C from BS 7671
Table 4F.
"""

import math
from functools import cache
from typing import Literal

from asfitted.tables.looked import Looked, NoRowError, Row, assumed, looked, rows

Method = Literal["A1", "A2", "B1", "B2", "C", "E", "F"]

#: ambient air of the printed rows
REFERENCE_AMBIENT_C = 30
#: temperature class -> words of the insulations printed in its columns
PRINTED = {60: ("rubber",), 70: ("PVC",), 90: ("XLPE", "EPR", "XLPE/EPR")}
#: The next more onerous method that has rows, tried in this order when a method has none.
_MORE_ONEROUS: dict[Method, tuple[Method, ...]] = {
    "F": ("E", "C", "B1", "B2", "A1", "A2"),
    "E": ("C", "B2", "A2"),
    "C": ("B2", "A2"),
    "B1": ("B2", "A1", "A2"),
    "B2": ("A2",),
    "A1": ("A2",),
    "A2": (),
}
_WORDS: dict[str, tuple[Method, Method]] = {  # multi-core cable, single-core cables
    "clipped": ("C", "C"),
    "free air": ("E", "F"),
    "in conduit": ("B2", "B1"),
    "in insulation": ("A2", "A1"),
}


def reference_method(words: str, single_core: bool) -> Method:
    """Return the reference method (IEC 60364-5-52 Table B.52.1) of a way of laying; KeyError for others."""
    return _WORDS[words][single_core]


def temperature_class(conductor_temp_c: float) -> int:
    """Return the highest printed temperature class not above the conductor's; NoRowError below 60 °C."""
    fitting = [t for t in PRINTED if t <= conductor_temp_c]
    if not fitting:
        raise NoRowError("capacity", f"a conductor limited to {conductor_temp_c:g} °C")
    return max(fitting)


def current_carrying_capacity(
    insulation: str, conductor_temp_c: float, method: Method, loaded: int, size_mm2: float
) -> Looked:
    """Return the current-carrying capacity I_t in A, before any factor.

    `loaded` is the number of loaded conductors, 2 or 3. Raises NoRowError where no row is printed for
    exactly this; its `nearest` is then the nearest row on the safe side (cooler class, more onerous method,
    smaller size).
    """
    temp = temperature_class(conductor_temp_c)
    exact = _row(temp, loaded, method, size_mm2)
    printed = temp == conductor_temp_c and insulation in PRINTED[temp]
    if printed and exact and float(exact["size_mm2"]) == size_mm2:
        return looked(exact, "capacity_a")
    asked = f"{size_mm2:g} mm² {insulation} {conductor_temp_c:g} °C, method {method}, {loaded} loaded"
    raise NoRowError("capacity", asked, _nearest(temp, method, loaded, size_mm2))


def _nearest(temp: int, method: Method, loaded: int, size_mm2: float) -> Looked | None:
    for other in (method, *_MORE_ONEROUS[method]):
        row = _row(temp, loaded, other, size_mm2)
        if row:
            return assumed(row, "capacity_a", f"{row['size_mm2']} mm², {temp} °C, method {other}")
    hotter = min((t for t in PRINTED if t > temp), default=None)
    row = _row(hotter, loaded, method, size_mm2) if hotter else None
    if not row or not hotter:
        return None
    # The heat given off grows with I²: a hotter class scales by √((T − 30)/(T_hotter − 30)).
    scale = math.sqrt((temp - REFERENCE_AMBIENT_C) / (hotter - REFERENCE_AMBIENT_C))
    used = f"{row['size_mm2']} mm², {hotter} °C, method {method}, × {scale:.3f} for {temp} °C"
    return Looked(float(row["capacity_a"]) * scale, row["source"], "assumed", used)


@cache
def _row(temp: int, loaded: int, method: Method, size_mm2: float) -> Row | None:
    """Return the row of the largest printed size that is not above `size_mm2`."""
    fitting = [
        row
        for row in rows("capacity")
        if (row["conductor_temp_c"], row["loaded"], row["method"]) == (str(temp), str(loaded), method)
        and float(row["size_mm2"]) <= size_mm2
    ]
    return max(fitting, key=lambda row: float(row["size_mm2"]), default=None)
