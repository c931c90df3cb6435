"""NFPA 70 (National Electrical Code): ampacity with its termination limit, small conductors, continuous
loads, receptacles.

Section 240.4 compares a device with the conductor after correction and adjustment; 210.19, 210.20, 215.2 and
215.3 compare both with 125 % of the continuous load before them. The two are never multiplied together.
"""

import math
from types import MappingProxyType

from asfitted.description.values import size as named_size
from asfitted.tables.awg import next_smaller_awg
from asfitted.tables.capacity import REFERENCE_AMBIENT_C
from asfitted.tables.looked import Looked, NoRowError, looked, rows
from asfitted.tables.rules.iec60364 import NO_FACTOR, surrounded
from asfitted.tables.rules.rule_set import Earthing, Laid, Part, Permitted, RuleSet

#: 110.14(C)(1): terminals of circuits of 100 A or less, or for 14 to 1 AWG, unless marked; above
TERMINALS_C, LARGE_TERMINALS_C = 60, 75
LARGEST_AT_60_C_MM2 = named_size("1 AWG").mm2
#: 310.15(C)(1): no adjustment where conductors lie together over no more than 24 in
BUNDLED_FROM_M = 0.61
#: 240.4(B): next size up only to this rating
NEXT_SIZE_TO_A = 800.0


def column(temp_c: float) -> int:
    """Return the highest printed column not above a temperature; NoRowError below 60 °C."""
    fitting = [t for t in (60, 75, 90) if t <= temp_c]
    if not fitting:
        raise NoRowError("capacity", f"a conductor limited to {temp_c:g} °C")
    return max(fitting)


def ampacity(size_designation: str, temp_c: int) -> Looked:
    """Return a printed ampacity of Table 310.16 for copper, in A; below 14 AWG cooler columns are scaled.

    Raises NoRowError where nothing is printed.
    """
    printed = {
        int(r["conductor_temp_c"]): r for r in rows("capacity_nfpa70") if r["designation"] == size_designation
    }
    if temp_c in printed:
        return looked(printed[temp_c], "capacity_a")
    if 90 in printed:
        scale = math.sqrt((temp_c - REFERENCE_AMBIENT_C) / (90 - REFERENCE_AMBIENT_C))
        found = looked(printed[90], "capacity_a")
        note = f"{size_designation}, 90 °C, × {scale:.3f} for {temp_c} °C"
        raise NoRowError(
            "capacity",
            f"{size_designation}, {temp_c} °C",
            Looked(found.value * scale, found.source, "assumed", note),
        )
    raise NoRowError("capacity", f"{size_designation}, {temp_c} °C")


def tabulated(laid: Laid) -> Looked:
    """Return the ampacity in the column of the insulation; a metric size as the next smaller AWG."""
    designation, temp = next_smaller_awg(laid.size), column(laid.conductor_temp_c)
    found = ampacity(designation, temp)
    if laid.size.awg and temp == laid.conductor_temp_c:
        return found
    asked = f"{laid.size.designation} {laid.insulation} {laid.conductor_temp_c:g} °C, NFPA 70 Table 310.16"
    note = f"{designation}, {temp} °C"
    raise NoRowError("capacity", asked, Looked(found.value, found.source, "assumed", note))


def ambient(laid: Laid) -> Looked:
    """Return the correction of Table 310.15(B)(1)(1); NoRowError in air too hot for the insulation."""
    temp = str(column(laid.conductor_temp_c))
    hotter = [
        r
        for r in rows("ambient_nfpa70")
        if r["conductor_temp_c"] == temp and float(r["to_c"]) >= laid.ambient_c
    ]
    if not hotter:
        raise NoRowError("ambient", f"{laid.conductor_temp_c:g} °C conductor in air of {laid.ambient_c:g} °C")
    return looked(min(hotter, key=lambda r: float(r["to_c"])), "factor")


def adjustment(laid: Laid) -> Looked:
    """Return the adjustment of Table 310.15(C)(1) for conductors that lie together without spacing."""
    if laid.arrangement in (None, "spaced") or laid.length_m <= BUNDLED_FROM_M:
        return NO_FACTOR
    for row in rows("adjustment_nfpa70"):
        if int(row["from_conductors"]) <= laid.conductors <= int(row["to_conductors"]):
            return looked(row, "factor")
    raise NoRowError("grouping", f"{laid.conductors} conductors")


def parts(laid: Laid) -> tuple[Part, ...]:
    """Return I_t and its factors."""
    return (
        Part("I_t", "nearest-capacity", lambda: tabulated(laid)),
        Part("C_a", "nearest-ambient", lambda: ambient(laid)),
        Part("C_g", "nearest-grouping", lambda: adjustment(laid)),
        surrounded(laid),
    )


def ceiling(laid: Laid) -> Part:
    """Return the ampacity in the column of the terminals, which derating must not start above:
    110.14(C)(1).
    """

    def look() -> Looked:
        usual = TERMINALS_C if laid.size.mm2 <= LARGEST_AT_60_C_MM2 else LARGE_TERMINALS_C
        temp = column(min(laid.terminals_c or usual, laid.conductor_temp_c))
        found = ampacity(next_smaller_awg(laid.size), temp)
        note = f"terminals of {temp} °C" + ("" if laid.terminals_c else ", not marked: 110.14(C)(1)")
        return Looked(found.value, f"{found.source}, 110.14(C)(1)", found.verified, note)

    return Part("I_term", "nearest-capacity", look)


def permitted(laid: Laid, capacity_a: float, receptacles: int) -> Permitted:
    """Return the largest device: the ampacity, or the next standard rating (240.4(B)), never above
    240.4(D).
    """
    standard = RULES.standard_ratings_a("breaker")
    found = Permitted(capacity_a, "capacity", "NFPA 70 240.4")
    if receptacles <= 1 and capacity_a not in standard:
        larger = next((r for r in standard if r > capacity_a), capacity_a)
        if larger <= NEXT_SIZE_TO_A:
            found = Permitted(larger, "next size", "NFPA 70 240.4(B)")
    table = "low_voltage_nfpa70" if laid.extra_low else "small_conductors_nfpa70"
    for row in rows(table):
        if row["designation"] == next_smaller_awg(laid.size) and float(row["device_to_a"]) <= found.rating_a:
            cap = looked(row, "device_to_a")
            return Permitted(cap.value, "small conductor", cap.source, cap.verified)
    return found


def receptacle_ratings_a(device_a: float) -> tuple[float, ...]:
    """Return the ratings of receptacles that a branch circuit may feed, more than one: Table 210.21(B)(3).

    Empty for a rating that may not feed receptacles at all.
    """
    return tuple(
        float(r["receptacle_a"]) for r in rows("receptacles_nfpa70") if float(r["device_a"]) == device_a
    )


def protective(earthing: Earthing) -> Looked:
    """Return the least equipment grounding conductor: Table 250.122 by the device; 551.56(B) to the chassis.

    Where no device is known the line conductor's own size is asked for.
    """
    if earthing.device_a is None:
        least = Looked(earthing.line.mm2 if earthing.line else 0.0, "NFPA 70 250.122(A)", "from memory")
    else:
        fitting = [
            r for r in rows("grounding_conductor_nfpa70") if float(r["device_to_a"]) >= earthing.device_a
        ]
        row = fitting[0] if fitting else rows("grounding_conductor_nfpa70")[-1]
        least = Looked(named_size(row["designation"]).mm2, row["source"], "read", row["designation"])
        if earthing.line and earthing.line.mm2 < least.value:  # 250.122(A): never larger than the line
            least = Looked(earthing.line.mm2, "NFPA 70 250.122(A)", "from memory", earthing.line.designation)
    if not earthing.to_structure:
        return least
    chassis = Looked(named_size("8 AWG").mm2, "NFPA 70-2017 551.56(B)", "read", "8 AWG")
    return max((least, chassis), key=lambda found: found.value)


RULES = RuleSet(
    name="NFPA 70",
    title="National Electrical Code, United States",
    parts=parts,
    permitted=permitted,
    protective=protective,
    ceiling=ceiling,
    awg=True,
    continuous=Looked(1.25, "NFPA 70-2017 210.19(A)(1), 215.2(A)(1)", "read"),
    receptacles_a=receptacle_ratings_a,
    listing_demanded=True,
    ratings="ratings_nfpa70",
    device_reference_c=40.0,
    limits=MappingProxyType(
        {
            "smallest a.c. conductor": Looked(
                named_size("14 AWG").mm2, "NFPA 70-2017 310.106(A), 210.19(A)(4)", "from memory", "14 AWG"
            ),
            "additional protection": Looked(0.006, "NFPA 70 210.8 (from memory)", "from memory"),
        }
    ),
    clauses=MappingProxyType(
        {
            "smallest conductor": "NFPA 70-2017 310.106(A), 210.19(A)(4) (from memory)",
            "design current": "NFPA 70 210.19(A)(1), 215.2(A)(1)",
            "overload": "NFPA 70 240.4",
            "small conductor": "NFPA 70 240.4(D)",
            "continuous conductor": "NFPA 70 210.19(A)(1)(a), 215.2(A)(1)(a)",
            "continuous device": "NFPA 70 210.20(A), 215.3",
            "main device": "NFPA 70-2017 551.45(C)",
            "receptacles": "NFPA 70 Table 210.21(B)(3)",
            "recreational vehicle circuits": "NFPA 70 551.42",
            "overload device position": "NFPA 70 240.21",
            "short-circuit device position": "NFPA 70 240.21",
            "breaking capacity": "NFPA 70 110.9 (from memory)",
            "short-circuit duration": "NFPA 70 110.10 (from memory)",
            "current-carrying capacity": "NFPA 70 310.15",
            "ambient temperature": "NFPA 70 310.15(B)",
            "voltage drop": "NFPA 70-2017 210.19(A)(1) note 4 (recommendation)",
            "protective conductor": "NFPA 70 250.122",
            "rated voltage": "NFPA 70 110.4 (from memory)",
            "listing": "NFPA 70-2017 551.30(B), 551.33, 702.5",
            "loop impedance": "NFPA 70 250.4(A)(5) (from memory)",
            "solar": "NFPA 70 690.7, 690.8 (from memory)",
            "parallel batteries": "NFPA 70 240.21(H) (from memory)",
            "segregation": "NFPA 70 300.3(C) (from memory)",
            "shared neutral": "NFPA 70 210.4, 551.40 (from memory)",
            "surge protection": "NFPA 70 230.67 (from memory)",
            "parallel operation": "NFPA 70 705 (from memory)",
            "switched alternative": "NFPA 70-2017 702.5",
            "neutral tie": "NFPA 70 250.30, 250.34(C)",
            "missing neutral tie": "NFPA 70 250.30, 250.34(C)",
            "second neutral tie": "NFPA 70 250.6, 250.24(A)(5), 551.54(C)",
            "socket RCD": "NFPA 70 210.8 (from memory)",
            "neutral of each circuit": "NFPA 70 300.3(B) (from memory)",
            "switched protective conductor": "NFPA 70 250.124(B)",
        }
    ),
)
