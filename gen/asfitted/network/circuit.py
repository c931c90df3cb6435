"""An equivalent circuit as data: nodes, branches and electromotive forces, before any switch is set.

True earth is a node of its own and the reference. Nothing is a perfect conductor: a zero resistance would
hide in which direction a current flows, and no solver could divide a current between two of them.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

EARTH = "true earth"
LEAST_OHM = 1e-4
GREATEST_OHM = 1e7

Kind = Literal[
    "core", "pole", "contact", "bond", "electrode", "water", "leakage", "capacitor", "load", "source",
    "isolator", "winding", "strap",
]  # fmt: skip


@dataclass(frozen=True)
class Branch:
    """One two-terminal element from node `a` to node `b`; its current counts from a to b.

    With c_f it is a capacitor, open for direct current; otherwise R + jX in series with the electromotive
    forces `emf_v` (r.m.s., a.c.) and `emf_dc_v`, both driving from a to b. `of` is the cable or equipment
    it is part of. `source` names the adjustable source whose electromotive force it holds. `primary` makes
    it the secondary winding of a transformer of ratio one whose primary lies between the two nodes given;
    there is no such branch for d.c.
    """

    id: str
    a: str
    b: str
    kind: Kind
    r_ohm: float = 0.0
    x_ohm: float = 0.0
    c_f: float = 0.0
    emf_v: float = 0.0
    emf_dc_v: float = 0.0
    of: str = ""
    source: str = ""
    primary: tuple[str, str] | None = None

    def __post_init__(self) -> None:
        size = abs(complex(self.r_ohm, self.x_ohm))
        if not self.c_f and not LEAST_OHM <= size <= GREATEST_OHM:
            raise ValueError(f"{self.id}: {size:g} ohm is outside what a solver can divide currents between")
        if self.a == self.b:
            raise ValueError(f"{self.id}: both ends on {self.a}")

    def impedance_ohm(self, frequency_hz: float) -> complex:
        """Return the impedance at `frequency_hz`; infinite for a capacitor or a winding at 0 Hz."""
        if frequency_hz == 0:
            return complex(math.inf) if self.c_f or self.primary else complex(self.r_ohm)
        if self.c_f:
            return complex(self.r_ohm, -1 / (2 * math.pi * frequency_hz * self.c_f))
        return complex(self.r_ohm, self.x_ohm)


@dataclass(frozen=True)
class Circuit:
    """The branches of a whole build, every switch and every source in it; `frequency_hz` is that of its
    a.c. sources.
    """

    branches: tuple[Branch, ...]
    frequency_hz: float

    def __post_init__(self) -> None:
        if len(self.index) < len(self.branches):
            names = [branch.id for branch in self.branches]
            raise ValueError(f"branches of one name: {sorted(n for n in self.index if names.count(n) > 1)}")

    @cached_property
    def nodes(self) -> tuple[str, ...]:
        """Every node but true earth, in order of first mention."""
        ends = [n for b in self.branches for n in (b.a, b.b, *(b.primary or ()))]
        return tuple(node for node in dict.fromkeys(ends) if node != EARTH)

    @cached_property
    def index(self) -> dict[str, int]:
        """Branch id -> its number."""
        return {branch.id: number for number, branch in enumerate(self.branches)}

    @cached_property
    def node_index(self) -> dict[str, int]:
        """Node -> its number; true earth has none."""
        return {node: number for number, node in enumerate(self.nodes)}

    @cached_property
    def sources(self) -> tuple[str, ...]:
        """The adjustable sources, in order of first mention."""
        return tuple(dict.fromkeys(branch.source for branch in self.branches if branch.source))
