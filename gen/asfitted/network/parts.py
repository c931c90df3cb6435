"""What one piece of equipment adds to an equivalent circuit: branches, sources, and what had to be
assumed.
"""

from dataclasses import dataclass, field
from typing import Literal

from asfitted.network.circuit import GREATEST_OHM, LEAST_OHM, Branch
from asfitted.tables.circuit_defaults import Bound, circuit_default, circuit_default_unit

Then = Literal["latched off", "restarts", "folds back"]


@dataclass(frozen=True)
class LimitRow:
    """From this r.m.s. current on the source stops after `slow_s` at the latest, `fast_s` at the earliest."""

    current_a: float
    slow_s: float
    fast_s: float


@dataclass(frozen=True)
class Source:
    """A source in an equivalent circuit: the branches that hold its electromotive forces, and its own limit.

    The current of the first branch is the one that is limited. `dc_input` are the terminals without whose
    voltage it stops. One that feeds its own field starves within `starves_s` below `starves_below_v`.
    """

    id: str
    branches: tuple[str, ...]
    kind: Literal["stiff", "limited", "diodes", "one way"]
    limit: float = 0.0
    rows: tuple[LimitRow, ...] = ()
    then: Then = "latched off"
    dc_input: tuple[str, str] | None = None
    dc_voltage_v: float = 0.0
    starves_below_v: float = 0.0
    starves_s: float = 0.0


@dataclass(frozen=True)
class Taken:
    """A value that nobody gave: which, for what, what was taken, and on whose word."""

    quantity: str
    where: tuple[str, ...]
    value: float
    unit: str
    source: str


@dataclass
class Parts:
    """Collects the branches of a circuit at one bound; `overrides` replaces single defaults (tests,
    sites).
    """

    bound: Bound
    overrides: dict[str, float]
    nominal_v: float
    load_share: float = 1.0
    body: str | None = None
    branches: list[Branch] = field(default_factory=list)
    sources: list[Source] = field(default_factory=list)
    direct_sources: list[Source] = field(default_factory=list)
    taken: dict[str, Taken] = field(default_factory=dict)

    def default(self, quantity: str, of: str) -> float:
        """Return a default value and note that it was taken for `of`."""
        if quantity in self.overrides:
            return self.overrides[quantity]
        looked = circuit_default(quantity, self.bound)
        before = self.taken.get(quantity)
        where = before.where if before else ()
        if of not in where:
            unit = circuit_default_unit(quantity)
            self.taken[quantity] = Taken(quantity, (*where, of), looked.value, unit, looked.source)
        return looked.value

    def add(self, branch: Branch) -> None:
        """Add a branch."""
        self.branches.append(branch)

    def resistor(self, id_: str, a: str, b: str, kind: str, r_ohm: float, of: str, x_ohm: float = 0) -> None:
        """Add a resistance, held to what a solver can divide currents between."""
        if a != b:
            r = min(max(r_ohm, LEAST_OHM), GREATEST_OHM)
            self.add(Branch(id_, a, b, kind, r_ohm=r, x_ohm=x_ohm, of=of))  # type: ignore[arg-type]

    def capacitor(self, id_: str, a: str, b: str, c_f: float, of: str) -> None:
        """Add a capacitor; one so small that it carries nothing is left out."""
        if a != b and c_f * 314 * GREATEST_OHM > 1:
            self.add(Branch(id_, a, b, "capacitor", c_f=c_f, of=of))
