"""What batteries keep and lose, what gas lead-acid gives off, what sun falls: published values and their look-ups."""

from functools import cache
from itertools import pairwise
from math import prod
from typing import Literal

from asfitted.tables.looked import Looked, NoRowError, looked, rows, weakest

Kept = Literal[
    "usable", "peukert", "rated_h", "charge_efficiency", "absorption_h", "self_discharge", "coldest_charge_c",
    "coldest_discharge_c", "cell_v",
]  # fmt: skip
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@cache
def battery_value(chemistry: str, quantity: Kept) -> Looked:
    """Return a value of a chemistry; NoRowError where the table has none, which may mean that there is no such limit."""
    for row in rows("battery_energy"):
        if row["chemistry"] == chemistry and row["quantity"] == quantity:
            return looked(row, "value")
    raise NoRowError("battery_energy", f"{chemistry} {quantity}")


def cold_share(chemistry: str, temperature_c: float) -> Looked:
    """Return the share of its capacity that a battery gives at a temperature; never above 1.

    Linear between the printed temperatures, the coldest row held below the last one and then marked as assumed.
    """
    family = "LiFePO4" if chemistry == "LiFePO4" else "lead-acid"
    column = [row for row in rows("battery_cold") if row["family"] == family]
    points = [(float(row["temperature_c"]), looked(row, "multiplier")) for row in column]
    if temperature_c >= points[0][0]:
        return Looked(1.0, points[0][1].source, points[0][1].verified)
    for (warm_c, warm), (cold_c, cold) in pairwise(points):
        if temperature_c >= cold_c:
            part = (warm_c - temperature_c) / (warm_c - cold_c)
            multiplier = warm.value + part * (cold.value - warm.value)
            return Looked(1 / multiplier, warm.source, weakest(warm.verified, cold.verified))
    last_c, last = points[-1]
    return Looked(1 / last.value, last.source, "assumed", f"{last_c:g} °C")


def gassing(chemistry: str, stage: Literal["float", "boost"]) -> Looked:
    """Return the current that makes gas, in mA per Ah of capacity (safety factors are in it)."""
    construction = "vented" if chemistry == "lead-acid flooded" else "valve regulated"
    for row in rows("gassing"):
        if row["construction"] == construction and row["stage"] == stage:
            return looked(row, "ma_per_ah")
    raise NoRowError("gassing", f"{construction} {stage}")


@cache
def sun_of_place(place: str) -> tuple[Looked, ...]:
    """Return twelve monthly means of the daily irradiation on the horizontal, kWh/m², from January on."""
    column = {row["month"]: looked(row, "kwh_m2") for row in rows("sun_monthly") if row["place"] == place}
    if len(column) != len(MONTHS):
        raise NoRowError("sun_monthly", place)
    return tuple(column[month] for month in MONTHS)


@cache
def array_losses() -> Looked:
    """Return the share of an array's power that dust, shade, wires and ageing take: 1 − Π(1 − L)."""
    found = [looked(row, "share") for row in rows("solar_losses")]
    return Looked(1 - prod(1 - loss.value for loss in found), found[0].source, "read")


@cache
def default(quantity: str) -> Looked:
    """Return what is taken where nobody gives a value."""
    for row in rows("energy_defaults"):
        if row["quantity"] == quantity:
            return looked(row, "value")
    raise NoRowError("energy_defaults", quantity)
