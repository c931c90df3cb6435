"""Resistance and reactance of copper conductors; sizes of protective conductors; the adiabatic constant k."""

import math
from functools import cache

from asfitted.tables.looked import Looked, NoRowError, Row, assumed, looked, rows


@cache
def copper(quantity: str) -> Looked:
    """Return a constant of copper from `data/copper.csv`, in the unit given there; NoRowError for an unknown
    one.
    """
    for row in rows("copper"):
        if row["quantity"] == quantity:
            return looked(row, "value")
    raise NoRowError("copper", quantity)


@cache
def resistance_20c_ohm_per_km(designation: str, size_mm2: float, flexible: bool) -> Looked:
    """Return the greatest d.c. resistance at 20 °C of one conductor, IEC 60228 class 5 if `flexible`, else
    class 2.

    An AWG conductor is looked up by its designation in NFPA 70 Chapter 9 Table 8 (75 °C), brought to 20 °C.
    Raises NoRowError for a size that is not printed, with the next smaller size as `nearest`.
    """
    if designation.endswith("AWG"):
        return _awg_resistance(designation)
    column = [r for r in rows("resistance") if r["conductor_class"] == ("5" if flexible else "2")]
    smaller = [r for r in column if float(r["size_mm2"]) <= size_mm2]
    if not smaller:
        raise NoRowError("resistance", f"{size_mm2:g} mm²")
    row = max(smaller, key=lambda r: float(r["size_mm2"]))
    if float(row["size_mm2"]) != size_mm2:
        nearest = assumed(row, "r20_ohm_per_km", f"{row['size_mm2']} mm²")
        raise NoRowError("resistance", f"{size_mm2:g} mm²", nearest)
    return looked(row, "r20_ohm_per_km")


def _awg_resistance(designation: str) -> Looked:
    for row in rows("resistance_awg"):
        if row["designation"] == designation:
            printed = looked(row, "r75_ohm_per_km")
            at_20 = printed.value * (1 + copper("temperature_coefficient_75c").value * (20 - 75))
            return Looked(at_20, printed.source, printed.verified, printed.note)
    raise NoRowError("resistance", designation)


def resistance_at(r20: float, temp_c: float) -> float:
    """Return a resistance known at 20 °C, at `temp_c`: R = R20·(1 + α·(T − 20)), IEC 60287-1-1."""
    return r20 * (1 + copper("temperature_coefficient_20c").value * (temp_c - 20))


def protective_conductor_mm2(line_mm2: float) -> Looked:
    """Return the least protective conductor of the same material in a cable with line conductors of
    `line_mm2`.

    IEC 60364-5-54 Table 54.2.
    """
    rules: dict[str, Row] = {r["rule"]: r for r in rows("protective_conductor")}
    if line_mm2 <= float(rules["equal"]["to_mm2"]):
        row, value = rules["equal"], line_mm2
    elif line_mm2 <= float(rules["fixed"]["to_mm2"]):
        row, value = rules["fixed"], float(rules["fixed"]["value_mm2"])
    else:
        row, value = rules["half"], line_mm2 / 2
    return Looked(value, row["source"], "read", row["note"])


def separate_protective_conductor_mm2(protected: bool) -> Looked:
    """Return the least size of a protective conductor outside a cable (IEC 60364-5-54 543.1.3)."""
    rule = "separate protected" if protected else "separate unprotected"
    return next(looked(r, "value_mm2") for r in rows("protective_conductor") if r["rule"] == rule)


@cache
def adiabatic_k(role: str, insulation: str, conductor_temp_c: float) -> Looked:
    """Return k in A·√s/mm² for copper; `role` is `live`, `in cable` or `separate` (IEC 60364-4-43,
    60364-5-54 Annex A).

    Raises NoRowError for an insulation that is not printed.
    """
    family = "XLPE/EPR" if insulation in ("XLPE", "EPR") else insulation
    for row in rows("adiabatic"):
        if (row["role"], row["insulation"], float(row["conductor_temp_c"])) == (
            role,
            family,
            conductor_temp_c,
        ):
            return looked(row, "k")
    asked = f"{insulation} {conductor_temp_c:g} °C, {role}"
    cooler = [r for r in rows("adiabatic") if r["role"] == role]
    row = min(cooler, key=lambda r: float(r["k"]))  # the least k asks for the largest conductor
    raise NoRowError(
        "adiabatic", asked, assumed(row, "k", f"{row['insulation']} {row['conductor_temp_c']} °C")
    )


def adiabatic_size_mm2(current_a: float, time_s: float, k: float) -> float:
    """Return the least cross-section √(I²·t)/k for a fault cleared within 5 s (IEC 60364-5-54 543.1.2)."""
    return math.sqrt(current_a**2 * time_s) / k
