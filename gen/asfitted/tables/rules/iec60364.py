"""IEC 60364: what sizing and protection need of it.

Current-carrying capacity and its factors, sizes of protective conductors and device standards are in the
tables; here are the rules that compare them, each with its clause.
"""

from types import MappingProxyType
from typing import Literal

from asfitted.tables.looked import Looked, looked, rows
from asfitted.tables.rules.rule_set import RuleSet

RULES = RuleSet(
    name="IEC 60364",
    title="Low-voltage electrical installations",
    complete=True,
    clauses=MappingProxyType(
        {
            "design current": "IEC 60364-4-43 433.1",
            "overload": "IEC 60364-4-43 433.1",
            "overload device position": "IEC 60364-4-43 433.2.2",
            "no overload device": "IEC 60364-4-43 433.3.1",
            "short-circuit device position": "IEC 60364-4-43 434.2",
            "unprotected length": "IEC 60364-4-43 434.2.1",
            "breaking capacity": "IEC 60364-4-43 434.5.1",
            "short-circuit duration": "IEC 60364-4-43 434.5.2",
            "limited source": "IEC 60364-4-43 436",
            "ambient temperature": "IEC 60364-5-52 523.1",
            "current-carrying capacity": "IEC 60364-5-52 523.1",
            "voltage drop": "IEC 60364-5-52 525",
            "protective conductor": "IEC 60364-5-54 543.1",
            "rated voltage": "IEC 60364-5-51 512.1.1",
            "rcd lived in": "IEC 60364-7-721 721.415.1",
            "rcd work or public": "IEC 60364-7-717 717.411.1",
            "socket rcd": "IEC 60364-4-41 411.3.3",
            "double pole lived in": "IEC 60364-7-721 721.43.1",
            "connecting lead": "IEC 60364-7-721 721.55.2.6",
        }
    ),
    limits=MappingProxyType(
        {
            "overload factor": Looked(1.45, "IEC 60364-4-43 433.1", "read"),
            "unprotected length": Looked(3.0, "IEC 60364-4-43 434.2.1", "from memory"),
            "additional protection": Looked(0.030, "IEC 60364-4-41 415.1", "read"),
        }
    ),
)


def drop_limit_percent(
    supply: Literal["public", "private", "dc"], use: Literal["lighting", "critical", "other"]
) -> Looked:
    """Return the limit of voltage drop from the origin to the load, in per cent of the nominal voltage.

    A.c.: IEC 60364-5-52 Annex G, which is informative. D.c.: IEC 60364 gives no figure; those of small craft
    are used.
    """
    for row in rows("drop_limits"):
        if (row["supply"], row["use"]) == (supply, use):
            return looked(row, "limit_percent")
    raise KeyError((supply, use))


def connecting_lead_mm2(rating_a: float) -> Looked | None:
    """Return the least size of a vehicle's connecting lead for an inlet of `rating_a` (721.55.2.6), None
    above the table.
    """
    fitting = [r for r in rows("connecting_leads") if float(r["rating_a"]) >= rating_a]
    return looked(min(fitting, key=lambda r: float(r["rating_a"])), "size_mm2") if fitting else None
