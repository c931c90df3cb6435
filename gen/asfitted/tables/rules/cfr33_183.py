"""33 CFR 183 subpart I, boats with petrol inboard or stern-drive engines; ABYC E-11 as declared good
practice.
"""

import math
from types import MappingProxyType

from asfitted.tables.awg import next_smaller_awg
from asfitted.tables.capacity import REFERENCE_AMBIENT_C
from asfitted.tables.looked import Looked, NoRowError, Row, assumed, looked, rows
from asfitted.tables.rules.iec60364 import NO_FACTOR, protective, surrounded
from asfitted.tables.rules.rule_set import SILENT, Laid, Part, Permitted, RuleSet

TABLE = "33 CFR 183.425 Table 5"
#: 183.455(c): share of the allowable current that a device may be rated
DEVICE_SHARE = 1.5


def _class(temp_c: float) -> str:
    """Return the highest printed temperature class not above the conductor's."""
    printed = {int(row["conductor_temp_c"]) for row in rows("capacity_cfr33_183")}
    return str(max(t for t in printed if t <= temp_c))


def tabulated(laid: Laid) -> Looked:
    """Return the allowable current of Table 5; a metric size as the next smaller AWG, marked as assumed."""
    designation, temp = next_smaller_awg(laid.size), _class(laid.conductor_temp_c)
    row: Row | None = next(
        (
            r
            for r in rows("capacity_cfr33_183")
            if (r["designation"], r["conductor_temp_c"]) == (designation, temp)
        ),
        None,
    )
    asked = f"{laid.size.designation} {laid.insulation} {laid.conductor_temp_c:g} °C, {TABLE}"
    if row is None:
        raise NoRowError("capacity", asked)
    if laid.size.designation != designation or float(temp) != laid.conductor_temp_c:
        raise NoRowError("capacity", asked, assumed(row, "capacity_a", f"{designation}, {temp} °C"))
    return looked(row, "capacity_a")


def ambient(laid: Laid) -> Looked:
    """Return the factor of hot surroundings: Table 5 note 1 in an engine space; else computed, for the law
    has none.
    """
    temp = float(_class(laid.conductor_temp_c))
    computed = 1.0
    if laid.ambient_c > REFERENCE_AMBIENT_C:
        computed = math.sqrt(max(0.0, temp - laid.ambient_c) / (temp - REFERENCE_AMBIENT_C))
    note = "computed: √((T − T_a)/(T − 30))"
    if laid.engine_space:
        row = next(r for r in rows("engine_space") if float(r["conductor_temp_c"]) == temp)
        found = looked(row, "factor")
        return (
            found
            if found.value <= computed or laid.ambient_c <= 50
            else Looked(computed, SILENT, "assumed", note)
        )
    return NO_FACTOR if computed == 1 else Looked(computed, SILENT, "assumed", note)


def grouping(laid: Laid) -> Looked:
    """Return the factor of Table 5 note 2: for conductors of 50 V and more; below the law has none."""
    if laid.arrangement in (None, "spaced") or laid.extra_low:
        return NO_FACTOR
    for row in rows("bundling_cfr33_183"):
        if int(row["from_conductors"]) <= laid.conductors <= int(row["to_conductors"]):
            return looked(row, "factor")
    return NO_FACTOR


def parts(laid: Laid) -> tuple[Part, ...]:
    """Return I_t and its factors."""
    return (
        Part("I_t", "nearest-capacity", lambda: tabulated(laid)),
        Part("C_a", "nearest-ambient", lambda: ambient(laid)),
        Part("C_g", "nearest-grouping", lambda: grouping(laid)),
        surrounded(laid),
    )


def permitted(laid: Laid, capacity_a: float, receptacles: int) -> Permitted:
    """Return the largest device: 150 % of the allowable current below 50 V, from 50 V on the next standard
    rating up to that.

    ABYC E-11 asks for no more than the conductor carries.
    """
    most = DEVICE_SHARE * capacity_a
    if laid.extra_low:
        return Permitted(most, "share", "33 CFR 183.455(c)(1)", good_practice_a=capacity_a)
    larger = [r for r in RULES.standard_ratings_a("breaker") if capacity_a <= r <= most]
    return Permitted(
        min(larger, default=capacity_a), "next size", "33 CFR 183.455(c)(2)", good_practice_a=capacity_a
    )


RULES = RuleSet(
    name="33 CFR 183",
    title="Boats and associated equipment, electrical systems, United States",
    parts=parts,
    permitted=permitted,
    protective=protective,
    awg=True,
    ratings="ratings_nfpa70",
    device_reference_c=40.0,
    clauses=MappingProxyType(
        {
            "design current": "33 CFR 183.425(b)",
            "overload": "33 CFR 183.455(c)",
            "good practice": "ABYC E-11 (declared good practice)",
            "overload device position": "33 CFR 183.455(b)",
            "short-circuit device position": "33 CFR 183.455(b)",
            "current-carrying capacity": "33 CFR 183.425(b), (c)",
            "breaking capacity": "ABYC E-11 (declared good practice)",
            "ignition": "33 CFR 183.410",
            "gas locker": "ABYC A-1 (declared good practice, from memory)",
            "battery beside fuel": "33 CFR 183.420 (from memory)",
            "rated voltage": "33 CFR 183.455(d)",
            "voltage drop": "ABYC E-11 (declared good practice)",
            "RCD": "ABYC E-11 (2012) 11.11.1 (declared good practice)",
            "neutral tie": "ABYC E-11 (declared good practice)",
            "missing neutral tie": "ABYC E-11 (declared good practice)",
            "second neutral tie": "ABYC E-11 (declared good practice)",
            "socket RCD": "ABYC E-11 (declared good practice, from memory)",
            "cable ahead of RCD": "ABYC E-11 (2012) 11.11.1 (declared good practice)",
            "cable ahead of RCD, work": "ABYC E-11 (2012) 11.11.1 (declared good practice)",
        }
    ),
)
