"""BS 7671: as IEC 60364, where its own tables do not say otherwise (factors at 25 °C, cables on a ladder)."""

from types import MappingProxyType

from asfitted.tables.factors import ambient_factor
from asfitted.tables.looked import Looked, looked, rows
from asfitted.tables.rules import iec60364
from asfitted.tables.rules.rule_set import Laid, Part, Permitted, RuleSet


def ambient(laid: Laid) -> Looked:
    """Return C_a: BS 7671 Table 4B1 where it differs from IEC 60364-5-52 Table B.52.14."""
    if 20 < laid.ambient_c <= 25:
        for row in rows("ambient_bs7671"):
            if float(row["conductor_temp_c"]) == laid.conductor_temp_c:
                return looked(row, "factor")
    return ambient_factor(laid.conductor_temp_c, laid.ambient_c)


def grouping(laid: Laid) -> Looked:
    """Return C_g: BS 7671 Table 4C1 where it differs from IEC 60364-5-52 Table B.52.17."""
    for row in rows("grouping_bs7671"):
        if (row["arrangement"], int(row["circuits"])) == (laid.arrangement, laid.circuits):
            return looked(row, "factor")
    return iec60364.grouping(laid)


def parts(laid: Laid) -> tuple[Part, ...]:
    """Return I_t and its factors."""
    own = {
        "C_a": Part("C_a", "nearest-ambient", lambda: ambient(laid)),
        "C_g": Part("C_g", "nearest-grouping", lambda: grouping(laid)),
    }
    return tuple(own.get(part.symbol, part) for part in iec60364.parts(laid))


def permitted(laid: Laid, capacity_a: float, receptacles: int) -> Permitted:
    """Return I_n ≤ I_z (433.1.1)."""
    return Permitted(capacity_a, "capacity", RULES.clause("overload"))


#: clauses that BS 7671 numbers in its own way; the others keep the number of the IEC part
_CLAUSES = {
    "design current": "BS 7671 433.1.1",
    "overload": "BS 7671 433.1.1",
    "overload device position": "BS 7671 433.2.2",
    "no overload device": "BS 7671 433.3.1",
    "short-circuit device position": "BS 7671 434.2",
    "breaking capacity": "BS 7671 434.5.1",
    "short-circuit duration": "BS 7671 434.5.2",
    "limited source": "BS 7671 436",
    "ambient temperature": "BS 7671 523.1",
    "current-carrying capacity": "BS 7671 523.1",
    "voltage drop": "BS 7671 525",
    "protective conductor": "BS 7671 543.1",
    "rated voltage": "BS 7671 512.1.1",
    "disconnection time": "BS 7671 411.3.2",
    "loop impedance": "BS 7671 411.4.4",
    "live metal": "BS 7671 411.3",
    "isolated supply": "BS 7671 411.6.1 (from memory)",
    "insulation monitoring": "BS 7671 411.6.3 (from memory)",
    "double insulation": "BS 7671 412 (from memory)",
    "unwanted tripping": "BS 7671 531.3.2 (from memory)",
    "fault current": "BS 7671 430.3",
    "lost PEN": "BS 7671 717.411.4, 709.411.4",
    "TT electrode": "BS 7671 411.5.3",
    "limiting source": "BS 7671 551.4.3.2",
    "double pole lived in": "BS 7671 721.43.1",
    "connecting lead": "BS 7671 721.55.2.6",
    "RCD type": "BS 7671 531.3.3 (from memory)",
    "solar": "BS 7671 712 (from memory)",
    "parallel batteries": "BS 7671 433.4 (from memory)",
    "segregation": "BS 7671 528.1 (from memory)",
    "gas locker": "BS 7671 721.528.3 (from memory)",
    "shared neutral": "BS 7671 431.2 (from memory)",
    "surge protection": "BS 7671 443 (from memory)",
    "parallel operation": "BS 7671 551.7 (from memory)",
    "switched alternative": "BS 7671 551.6.1 (from memory)",
    "neutral tie": "BS 7671 551.4.3.2",
    "missing neutral tie": "BS 7671 551.4.2, 551.4.3.2",
    "second neutral tie": "BS 7671 551.4.3.2, 551.6",
    "neutral tie behind RCD": "BS 7671 531.3 (from memory)",
    "socket RCD": "BS 7671 411.3.3, 551.4.2",
    "cable ahead of RCD": "BS 7671 721.415.1 (from memory)",
    "cable ahead of RCD, work": "BS 7671 717.411.1, 551.4.2",
    "neutral of each circuit": "BS 7671 314.4 (from memory)",
    "switched protective conductor": "BS 7671 543.3.3 (from memory)",
}
RULES = RuleSet(
    name="BS 7671",
    title="Requirements for Electrical Installations, United Kingdom",
    parts=parts,
    permitted=permitted,
    protective=iec60364.protective,
    clauses=MappingProxyType(_CLAUSES),
    limits=MappingProxyType(
        {
            "overload factor": Looked(1.45, "BS 7671 433.1.1", "read"),
            "additional protection": Looked(0.030, "BS 7671 415.1.1", "read"),
        }
    ),
)
