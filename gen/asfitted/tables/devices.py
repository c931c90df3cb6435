"""Protective devices: standard ratings, tripping currents and times, breaking capacity; RCD and
disconnection times.

A device is named as in the tables: `breaker`, or `fuse` with its type: `fuse blade`, `fuse T`, `fuse gG` ….
"""

from dataclasses import dataclass
from typing import Literal

from asfitted.tables.looked import Looked, NoRowError, Row, looked, rows


@dataclass(frozen=True)
class Band:
    """Two bounds of one characteristic, as multiples of the rating or in seconds, with their source."""

    low: float
    high: float
    source: str
    verified: str
    note: str = ""


def standard_ratings_a(device: str) -> tuple[float, ...]:
    """Return the standard ratings of `device` in ascending order, in A; NoRowError if none are listed."""
    found = sorted(float(r["rating_a"]) for r in rows("ratings") if r["device"] == device)
    if not found:
        raise NoRowError("ratings", device)
    return tuple(found)


def _in_band(row: Row, device: str, rating_a: float) -> bool:
    return row["device"] == device and float(row["above_a"]) < rating_a <= float(row["to_a"])


def conventional_currents(device: str, rating_a: float) -> tuple[Looked, Looked]:
    """Return (I1, I2) in A: the current that the device must carry, and the one that makes it operate.

    Both within the conventional time of one to four hours. Raises NoRowError for an unknown device.
    """
    for row in rows("tripping"):
        if _in_band(row, device, rating_a):
            i1, i2 = looked(row, "i1_multiple"), looked(row, "i2_multiple")
            return (
                Looked(i1.value * rating_a, i1.source, i1.verified, i1.note),
                Looked(i2.value * rating_a, i2.source, i2.verified, i2.note),
            )
    raise NoRowError("tripping", f"{device} {rating_a:g} A")


def instantaneous_band(curve: str) -> Band:
    """Return the multiples of the rating between which a breaker of `curve` begins to trip at once (IEC
    60898-1).
    """
    for row in rows("instantaneous"):
        if row["curve"] == curve:
            return Band(
                float(row["above_multiple"]),
                float(row["to_multiple"]),
                row["source"],
                row["verified"],
                row["note"],
            )
    raise NoRowError("instantaneous", f"curve {curve}")


#: share of its rating that a thermal release loses per kelvin above its reference (makers' practice, from memory)
DERATING_PER_K = 0.006


def temperature_factor(ambient_c: float, reference_c: float) -> Looked:
    """Return what share of its rating a breaker carries for good in air of `ambient_c`; 1 below its reference."""
    above = max(0.0, ambient_c - reference_c)
    return Looked(max(0.0, 1 - DERATING_PER_K * above), "makers' practice", "from memory")


def side_by_side_factor(devices: int) -> Looked:
    """Return what share of its rating a breaker carries for good among `devices` loaded ones side by side."""
    return looked(next(r for r in rows("side_by_side") if int(r["devices"]) >= devices), "factor")


def trip_times_s(device: str, rating_a: float) -> tuple[tuple[float, Band], ...]:
    """Return the printed windows (multiple of the rating, shortest and longest time in s), ascending; may be
    empty.
    """
    return tuple(
        (
            float(r["multiple"]),
            Band(float(r["min_s"]), float(r["max_s"]), r["source"], r["verified"], r["note"]),
        )
        for r in rows("trip_times")
        if _in_band(r, device, rating_a)
    )


def published_breaking_capacity(device: str) -> tuple[Looked, ...]:
    """Return the standard values (breakers) or the published value (fuses) of breaking capacity, in A."""
    return tuple(looked(r, "capacity_a") for r in rows("breaking_capacity") if r["device"] == device)


def published_voltage_v(device: str) -> Looked | None:
    """Return the d.c. voltage that is published with the breaking capacity of a fuse; None if there is none."""
    found = (
        looked(r, "dc_voltage_v")
        for r in rows("breaking_capacity")
        if r["device"] == device and r["dc_voltage_v"]
    )
    return next(found, None)


def rcd_time_s(
    delay: Literal["none", "selective"], multiple: float, bound: Literal["longest", "shortest"]
) -> Looked:
    """Return the break time (`longest`) or non-actuating time (`shortest`) at `multiple` × I_Δn (IEC 61008-1
    Table 1).

    Between columns the lower multiple counts for the longest time. Raises NoRowError below 1 × I_Δn, and for
    the shortest time of a device without delay, which has none.
    """
    kind = "selective" if delay == "selective" else "general"
    column = [
        r
        for r in rows("rcd_times")
        if r["delay"] == kind and r["bound"] == bound and float(r["multiple"]) <= multiple
    ]
    if not column:
        raise NoRowError("rcd_times", f"{kind}, {bound}, {multiple:g} × I_Δn")
    return looked(max(column, key=lambda r: float(r["multiple"])), "time_s")


def disconnection_time_s(
    system: Literal["TN", "TT"],
    current: Literal["ac", "dc"],
    voltage_to_earth_v: float,
    circuit: Literal["final", "distribution"] = "final",
) -> Looked | None:
    """Return the longest disconnection time (IEC 60364-4-41 Table 41.1, 411.3.2.3, 411.3.2.4).

    None where none is demanded: up to 50 V, and where the table says so. Raises NoRowError for an unknown
    combination.
    """
    if voltage_to_earth_v <= 50:
        return None
    for row in rows("disconnection_times"):
        if (row["system"], row["current"], row["circuit"]) == (system, current, circuit) and float(
            row["above_v"]
        ) < voltage_to_earth_v <= float(row["to_v"]):
            return looked(row, "time_s") if row["time_s"] else None
    raise NoRowError("disconnection_times", f"{system} {current} {voltage_to_earth_v:g} V {circuit}")
