"""One fault as it is played: what it closes, what it breaks."""

from dataclasses import dataclass
from typing import Literal

FaultKind = Literal[
    "none",
    "live to case",
    "live to structure",
    "neutral to case",
    "live to neutral",
    "live to the case of another source",
    "between the sources of a changeover",
    "contact welded",
    "bond stuck closed",
    "bond open",
    "protective conductor broken",
    "protective conductor broken and live to case",
    "bond open and live to case",
    "neutral broken",
    "PEN broken",
    "plus to minus",
    "plus to structure",
    "plus to case",
    "minus broken",
    "minus to case",
]


@dataclass(frozen=True)
class Fault:
    """One fault: a resistance across a port of two nodes, branches that are broken, or both.

    `at` is the terminal, cable or contact concerned, `where` the ids of equipment and cables for a finding.
    `final` says whether it lies on a final circuit. `second` marks one that needs an earlier fault that
    nobody noticed. `detected_by` are devices that find a tie of neutral and earth behind them even without
    a load. `also` are ports closed beside the fault: what the equipment draws.
    """

    kind: FaultKind
    at: str
    where: tuple[str, ...]
    port: tuple[str, str] | None = None
    resistance_ohm: float = 0.01
    broken: frozenset[str] = frozenset()
    direct: bool = False
    final: bool = False
    second: bool = False
    detected_by: tuple[str, ...] = ()
    also: tuple[tuple[tuple[str, str], float], ...] = ()
