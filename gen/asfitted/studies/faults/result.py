"""What the fault study hands on: one result for each state, place and fault; data without a sentence."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from asfitted.studies.faults.fault import FaultKind
from asfitted.studies.results import Assumption, Finding
from asfitted.tables.circuit_defaults import Bound

Outcome = Literal[
    "cleared", "source collapsed", "not cleared until touched", "not cleared", "no trip expected"
]
#: the worse an outcome, the higher
ORDER: tuple[Outcome, ...] = (
    "no trip expected",
    "source collapsed",
    "cleared",
    "not cleared until touched",
    "not cleared",
)
Verdict = Literal[
    "in time", "late", "only when touched", "stays", "harmless", "within rating", "current stays"
]


@dataclass(frozen=True)
class Touch:
    """A touch voltage: between what, for whom, before and after the last operation, and what the body bears.

    `before_v` and `after_v` are prospective; `across_v` and `current_ma` with the body there; `time_s` is how
    long it lasts, infinite where nothing ends it. The body is one of the five in a hundred that let most current
    through; `typical_ma` flows through one of median impedance.
    """

    from_: str
    to: str
    person: str
    before_v: float
    after_v: float
    across_v: float
    current_ma: float
    time_s: float
    zone: str
    typical_ma: float


@dataclass(frozen=True)
class Operation:
    """A unit that acted, and the latest time after the fault at which it did; `moves` for a transfer
    switch.
    """

    unit: str
    time_s: float
    moves: bool = False


@dataclass(frozen=True)
class Overload:
    """A core that carries more than it bears, with nothing left that opens."""

    core: str
    current_a: float
    capacity_a: float


@dataclass(frozen=True)
class Reason:
    """One link of the chain of reasons: `code` is a key of the words, `fields` fill its sentence."""

    code: str
    fields: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class FaultResult:
    """One fault in one state at one place: the worst of all orders of operation and of both bounds.

    `limit_s` is the longest disconnection time, None where none is demanded. `second` marks a fault that
    needs an earlier one which nobody noticed. `direct_state` is that of the d.c. side, for a fault of direct
    current. `sources` give voltage in the state. `overloaded` are cores that carry more than they bear for good, the
    worst first; `destroyed` those that the current `destroyed_a` in the fault destroys, at whichever bound does.
    """

    state: str
    site: str
    sources: tuple[str, ...]
    kind: FaultKind
    at: str
    where: tuple[str, ...]
    bound: Bound
    outcome: Outcome
    verdict: Verdict
    surely_first: str | None
    may_also_open: tuple[str, ...]
    opened: tuple[Operation, ...]
    restarts: bool
    hunts: bool
    current_a: float
    residual_a: Mapping[str, float]
    touch: tuple[Touch, ...]
    touch_time_s: float
    limit_s: float | None
    limit_source: str
    into_water_a: float
    dc_in_protective_a: float
    overloaded: tuple[Overload, ...]
    destroyed: tuple[str, ...]
    destroyed_a: float
    still_live: tuple[str, ...]
    chain: tuple[Reason, ...]
    second: bool
    final: bool
    settled: bool
    direct_state: str = ""

    @property
    def id(self) -> str:
        """The name of the result, unique within a build."""
        return ".".join(part for part in (self.state, self.site, self.kind, self.at) if part)

    def with_destroyed(self, other: "FaultResult") -> "FaultResult":
        """Return this result with what another order of operation, or the other bound, destroys if that is more."""
        if other.destroyed_a <= self.destroyed_a:
            return self
        return replace(self, destroyed=other.destroyed, destroyed_a=other.destroyed_a)


@dataclass(frozen=True)
class FaultStudy:
    """All results, the findings drawn from them, and what was assumed on the way."""

    faults: tuple[FaultResult, ...]
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]

    def of(self, state: str, site: str = "") -> tuple[FaultResult, ...]:
        """Return the results of one state at one place."""
        return tuple(r for r in self.faults if r.state == state and r.site == site)
