"""Solar modules in the cold."""

from asfitted.tables.looked import Looked, looked, rows


def cold_voltage_factor(lowest_c: float) -> Looked:
    """Return how many times its rated open-circuit voltage a silicon module gives at the lowest temperature.

    1 from 25 °C on; below the last row the last row, marked as assumed.
    """
    if lowest_c >= 25:
        return Looked(1.0, "", "read")
    column = rows("cold_solar")
    row = next((r for r in column if float(r["from_c"]) <= lowest_c), None)
    if row is None:
        last = looked(column[-1], "factor")
        return Looked(last.value, last.source, "assumed", f"{column[-1]['from_c']} °C")
    return looked(row, "factor")
