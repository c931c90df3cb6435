"""Factors on the current-carrying capacity: ambient temperature, grouping, thermal insulation around the
cable.

Between two printed rows the more onerous one is taken, never a value in between.
"""

from asfitted.tables.capacity import temperature_class
from asfitted.tables.looked import Looked, NoRowError, Row, assumed, looked, rows

ARRANGEMENTS = (
    "bunched",
    "single layer",
    "single layer under ceiling",
    "single layer on perforated tray",
    "single layer on ladder",
)


def ambient_factor(conductor_temp_c: float, ambient_c: float) -> Looked:
    """Return C_a of a cable whose conductor may reach `conductor_temp_c`, in air of `ambient_c`.

    IEC 60364-5-52 Table B.52.14 and, for 60 °C, BS 7671 Table 4B1. Colder than the first row counts as the
    first row. Raises NoRowError in air hotter than the last row, and (with `nearest`) for a temperature
    class without a column.
    """
    temp = temperature_class(conductor_temp_c)
    asked = f"{conductor_temp_c:g} °C conductor in air of {ambient_c:g} °C"
    hotter = [r for r in _column(temp) if float(r["ambient_c"]) >= ambient_c]
    if not hotter:
        raise NoRowError("ambient", asked)
    row = min(hotter, key=lambda r: float(r["ambient_c"]))
    if temp != conductor_temp_c:
        raise NoRowError(
            "ambient", asked, assumed(row, "factor", f"{temp} °C column at {row['ambient_c']} °C")
        )
    return looked(row, "factor")


def _column(temp: int) -> list[Row]:
    return [r for r in rows("ambient") if r["conductor_temp_c"] == str(temp)]


def grouping_factor(arrangement: str, circuits: int) -> Looked:
    """Return C_g of `circuits` loaded circuits in an arrangement of ARRANGEMENTS (IEC 60364-5-52 Table
    B.52.17).

    Raises NoRowError for more circuits than the table goes up to, with the last row as `nearest`, and for an
    unknown arrangement.
    """
    column = [r for r in rows("grouping") if r["arrangement"] == arrangement]
    if not column:
        raise NoRowError("grouping", arrangement)
    more = [r for r in column if int(r["circuits"]) >= circuits]
    if not more:
        last = column[-1]
        raise NoRowError(
            "grouping", f"{circuits} circuits", assumed(last, "factor", f"{last['circuits']} circuits")
        )
    return looked(more[0], "factor")


def thermal_insulation_factor(length_mm: float) -> Looked:
    """Return C_i of a cable that thermal insulation surrounds on all sides over `length_mm` (BS 7671 523.9).

    No IEC table: BS 7671 Table 52.2 is used. Between rows the longer length counts.
    """
    if length_mm <= 0:
        return Looked(1.0, "BS 7671:2018 523.9", "read")
    column = rows("thermal_insulation")
    row = next((r for r in column if float(r["length_mm"]) >= length_mm), column[-1])
    return looked(row, "factor")
