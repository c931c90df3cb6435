"""IEC 60364: what sizing and protection need of it.

Current-carrying capacity and its factors, sizes of protective conductors and device standards are in the
tables; here are the rules that compare them, each with its clause.
"""

from types import MappingProxyType

from asfitted.tables.capacity import current_carrying_capacity, reference_method
from asfitted.tables.conductors import protective_conductor_mm2, separate_protective_conductor_mm2
from asfitted.tables.factors import ambient_factor, grouping_factor, thermal_insulation_factor
from asfitted.tables.looked import Looked, looked, rows
from asfitted.tables.rules.rule_set import Earthing, Laid, Part, Permitted, RuleSet

NO_FACTOR = Looked(1.0, "", "read")


def parts(laid: Laid) -> tuple[Part, ...]:
    """Return I_t and its factors: IEC 60364-5-52 Tables B.52.2 to B.52.17, and BS 7671 523.9 for thermal
    insulation.
    """
    method = reference_method(laid.way, laid.single_core)
    return (
        Part(
            "I_t",
            "nearest-capacity",
            lambda: current_carrying_capacity(
                laid.insulation, laid.conductor_temp_c, method, laid.loaded, laid.size.mm2
            ),
        ),
        Part("C_a", "nearest-ambient", lambda: ambient_factor(laid.conductor_temp_c, laid.ambient_c)),
        Part("C_g", "nearest-grouping", lambda: grouping(laid)),
        surrounded(laid),
    )


def surrounded(laid: Laid) -> Part:
    """Return the factor of thermal insulation around a cable; only BS 7671 prints one."""
    return Part(
        "C_i", "nearest-insulation", lambda: thermal_insulation_factor(round(laid.insulation_m * 1000, 6))
    )


def grouping(laid: Laid) -> Looked:
    """Return the factor of neighbours in a bundle."""
    if laid.arrangement is None or laid.circuits == 1:
        return NO_FACTOR
    if laid.arrangement == "spaced":
        return Looked(
            1.0, "IEC 60364-5-52:2009 Table B.52.17", "read", "spaced by more than twice the diameter"
        )
    return grouping_factor(laid.arrangement, laid.circuits)


def permitted(laid: Laid, capacity_a: float, receptacles: int) -> Permitted:
    """Return I_n ≤ I_z (433.1)."""
    return Permitted(capacity_a, "capacity", RULES.clause("overload"))


def protective(earthing: Earthing) -> Looked:
    """Return the least protective conductor: Table 54.2 in a cable, 543.1.3 for one on its own, taken as
    unprotected.
    """
    by_line = protective_conductor_mm2(earthing.line.mm2) if earthing.line else None
    if not earthing.separate and by_line:
        return by_line
    alone = separate_protective_conductor_mm2(protected=False)
    return max((alone, by_line or alone), key=lambda found: found.value)


def connecting_lead_mm2(rating_a: float) -> Looked | None:
    """Return the least size of a vehicle's connecting lead for an inlet of `rating_a` (721.55.2.6), None
    above the table.
    """
    fitting = [r for r in rows("connecting_leads") if float(r["rating_a"]) >= rating_a]
    return looked(min(fitting, key=lambda r: float(r["rating_a"])), "size_mm2") if fitting else None


RULES = RuleSet(
    name="IEC 60364",
    title="Low-voltage electrical installations",
    parts=parts,
    permitted=permitted,
    protective=protective,
    clauses=MappingProxyType(
        {
            "smallest conductor": "IEC 60364-5-52 Table 52.2 (from memory)",
            "design current": "IEC 60364-4-43 433.1",
            "overload": "IEC 60364-4-43 433.1",
            "overload device position": "IEC 60364-4-43 433.2.2",
            "no overload device": "IEC 60364-4-43 433.3.1",
            "short-circuit device position": "IEC 60364-4-43 434.2",
            "breaking capacity": "IEC 60364-4-43 434.5.1",
            "short-circuit duration": "IEC 60364-4-43 434.5.2",
            "limited source": "IEC 60364-4-43 436",
            "ambient temperature": "IEC 60364-5-52 523.1",
            "current-carrying capacity": "IEC 60364-5-52 523.1",
            "voltage drop": "IEC 60364-5-52 525",
            "protective conductor": "IEC 60364-5-54 543.1",
            "rated voltage": "IEC 60364-5-51 512.1.1",
            "disconnection time": "IEC 60364-4-41 411.3.2",
            "loop impedance": "IEC 60364-4-41 411.4.4",
            "live metal": "IEC 60364-4-41 411.3",
            "isolated supply": "IEC 60364-4-41 411.6.1 (from memory)",
            "insulation monitoring": "IEC 60364-4-41 411.6.3 (from memory)",
            "double insulation": "IEC 60364-4-41 412 (from memory)",
            "unwanted tripping": "IEC 60364-5-53 531.3.2 (from memory)",
            "fault current": "IEC 60364-4-43 430.3",
            "lost PEN": "IEC 60364-7-717 717.411.4; 709.411.4",
            "TT electrode": "IEC 60364-4-41 411.5.3",
            "limiting source": "IEC 60364-5-55 551.4",
            "double pole lived in": "IEC 60364-7-721 721.43.1",
            "connecting lead": "IEC 60364-7-721 721.55.2.6",
            "RCD type": "IEC 60364-5-53 531.3.3 (from memory)",
            "solar": "IEC 60364-7-712 (from memory)",
            "parallel batteries": "IEC 60364-4-43 433.4 (from memory)",
            "segregation": "IEC 60364-5-52 528.1 (from memory)",
            "gas locker": "IEC 60364-7-721 721.528.3 (from memory)",
            "shared neutral": "IEC 60364-4-43 431.2 (from memory)",
            "surge protection": "IEC 60364-4-44 443 (from memory)",
            "parallel operation": "IEC 60364-5-55 551.7 (from memory)",
            "switched alternative": "IEC 60364-5-55 551.6.1 (from memory)",
            "neutral tie": "IEC 60364-5-55 551.4.3.2 (read in BS 7671)",
            "missing neutral tie": "IEC 60364-5-55 551.4.2, 551.4.3.2 (read in BS 7671)",
            "second neutral tie": "IEC 60364-5-55 551.4.3.2, 551.6 (read in BS 7671)",
            "neutral tie behind RCD": "IEC 60364-5-53 531.3 (from memory)",
            "socket RCD": "IEC 60364-4-41 411.3.3; IEC 60364-5-55 551.4.2",
            "cable ahead of RCD": "IEC 60364-7-721 721.415.1 (from memory)",
            "cable ahead of RCD, work": "IEC 60364-7-717 717.411.1; IEC 60364-5-55 551.4.2",
            "neutral of each circuit": "IEC 60364-5-53 531.3 (from memory)",
            "switched protective conductor": "IEC 60364-5-54 543.3.3 (from memory)",
        }
    ),
    limits=MappingProxyType(
        {
            "overload factor": Looked(1.45, "IEC 60364-4-43 433.1", "read"),
            "additional protection": Looked(0.030, "IEC 60364-4-41 415.1", "read"),
            "smallest a.c. conductor": Looked(1.5, "IEC 60364-5-52 Table 52.2", "from memory", "1.5 mm²"),
        }
    ),
)
