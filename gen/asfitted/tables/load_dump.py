"""The voltage of an alternator whose battery is cut off while it charges."""

from dataclasses import dataclass

from asfitted.tables.looked import Looked, NoRowError, looked, rows


@dataclass(frozen=True)
class Dump:
    """Peak voltages in V and durations in s, each at the least and the greatest, without suppression."""

    least_v: Looked
    greatest_v: Looked
    least_s: float
    greatest_s: float


def load_dump(alternator_v: float) -> Dump:
    """Return the load dump of an alternator by its voltage, in V; NoRowError above 40 V."""
    for row in rows("load_dump"):
        if float(row["above_v"]) < alternator_v <= float(row["to_v"]):
            return Dump(
                looked(row, "least_v"),
                looked(row, "greatest_v"),
                float(row["least_ms"]) / 1000,
                float(row["greatest_ms"]) / 1000,
            )
    raise NoRowError("load_dump", f"{alternator_v:g} V")
