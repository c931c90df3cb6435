"""What loads bear while sources change, where changeovers let go, and what motors take at their start."""

from typing import Literal

from asfitted.tables.looked import Looked, NoRowError, looked, rows


def tolerated_s(percent: float) -> Looked:
    """Return for how long electronics bear `percent` of the nominal voltage (ITI curve); inf for ever.

    The curve was made for 120 V and 60 Hz; its rows say so.
    """
    bound = "lower" if percent <= 100 else "upper"
    wanted = [
        row
        for row in rows("voltage_tolerance")
        if row["bound"] == bound
        and (percent >= float(row["percent"]) if bound == "lower" else percent <= float(row["percent"]))
    ]
    if not wanted:
        raise NoRowError("voltage_tolerance", f"{percent:g} %")
    return max((looked(row, "to_s") for row in wanted), key=lambda found: found.value)


def changeover_share(kind: Literal["coil", "inverter charger", "supply"], quantity: str) -> Looked:
    """Return a voltage as a share of the nominal one: where a changeover lets go or comes back, and the
    range of a supply.
    """
    for row in rows("changeover_voltages"):
        if (row["kind"], row["quantity"]) == (kind, quantity):
            return looked(row, "share")
    raise NoRowError("changeover_voltages", f"{kind}, {quantity}")


def motor_start(quantity: str) -> Looked:
    """Return what is taken of a starting motor where nobody says: current over running current, power factor,
    duration in s; least and longest rest of a compressor in s.
    """
    for row in rows("motor_starts"):
        if row["quantity"] == quantity:
            return looked(row, "value")
    raise NoRowError("motor_starts", quantity)


def voltage_change_percent(switched: Literal["steady", "by itself", "by hand", "attended"]) -> Looked:
    """Return the largest relative change of voltage that one appliance may cause (IEC 61000-3-3)."""
    for row in rows("voltage_changes"):
        if row["switched"] == switched:
            return looked(row, "percent")
    raise NoRowError("voltage_changes", switched)
