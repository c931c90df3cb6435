"""ISO 13297, small craft. Its own table of capacities was not seen: that of IEC 60364-5-52 is used and said
so.
"""

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType

from asfitted.tables.looked import Looked, NoRowError
from asfitted.tables.rules import iec60364
from asfitted.tables.rules.rule_set import Laid, Part, Permitted, RuleSet


def _stands_in(look: Callable[[], Looked]) -> Callable[[], Looked]:
    """Return a look-up that raises NoRowError with the IEC row as `nearest`."""

    def own() -> Looked:
        try:
            found = look()
        except NoRowError as missing:
            if missing.nearest is None:
                raise
            found = missing.nearest
        note = "; ".join(part for part in (found.source, found.note) if part)
        raise NoRowError(
            "ISO 13297 Table A.1", "ISO 13297 Table A.1", replace(found, verified="assumed", note=note)
        )

    return own


def parts(laid: Laid) -> tuple[Part, ...]:
    """Return I_t and its factors by IEC 60364-5-52."""
    return tuple(
        Part(part.symbol, part.code, _stands_in(part.look)) if part.symbol == "I_t" else part
        for part in iec60364.parts(laid)
    )


def permitted(laid: Laid, capacity_a: float, receptacles: int) -> Permitted:
    """Return I_n ≤ I_z (13.1.5)."""
    return Permitted(capacity_a, "capacity", RULES.clause("overload"))


RULES = RuleSet(
    name="ISO 13297",
    title="Small craft: electrical systems",
    parts=parts,
    permitted=permitted,
    protective=iec60364.protective,
    apart_in_any_case=True,
    clauses=MappingProxyType(
        {
            "design current": "ISO 13297:2020 13.1.5",
            "overload": "ISO 13297:2020 13.1.5",
            "overload device position": "ISO 13297:2020 12.1, 13.2.2",
            "short-circuit device position": "ISO 13297:2020 12.1, 13.2.2",
            "limited source": "ISO 13297:2020 12.3",
            "voltage drop": "ISO 10133 4, Annex C (now in ISO 13297)",
            "double pole": "ISO 13297:2020 13.1.1",
            "segregation": "ISO 10133:2012 7.8 (now in ISO 13297)",
            "ignition": "ISO 8846 (from memory)",
            "gas locker": "ISO 10239, ISO 8846 (from memory)",
            "battery beside fuel": "ISO 10133:2012 5.6, 5.7 (now in ISO 13297)",
            "galvanic isolator": "ISO 13297:2020 6.9",
            "neutral tie": "ISO 13297:2020 6.8",
            "missing neutral tie": "ISO 13297:2020 6.8",
            "second neutral tie": "ISO 13297:2020 6.8",
            "socket RCD": "ISO 13297 (residual current devices, clause not seen)",
            "cable ahead of RCD": "ISO 13297 (residual current devices, clause not seen)",
            "cable ahead of RCD, work": "ISO 13297 (residual current devices, clause not seen)",
        }
    ),
)
