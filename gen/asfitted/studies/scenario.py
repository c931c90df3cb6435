"""A scenario: one source with everything that it feeds at the same time; and the notes taken while scenarios
are made.
"""

from dataclasses import dataclass, field
from typing import Literal

from asfitted.network.flow import Injection
from asfitted.network.states import State
from asfitted.studies.loads import Draw
from asfitted.studies.results import Assumption, Working

Mode = Literal["supply", "discharge", "charge"]


@dataclass(frozen=True)
class Scenario:
    """One source with everything that it feeds at once; `limit_a` is what it can deliver for long."""

    state: State
    source: str
    mode: Mode
    terminals: tuple[str, str]
    voltage_v: float
    limit_a: float
    injections: tuple[Injection, ...]

    @property
    def total_a(self) -> float:
        """The current of everything together."""
        return abs(sum((i.current_a for i in self.injections), 0j))


@dataclass
class Demand:
    """The scenarios of a network with the workings of their currents; filled state by state."""

    scenarios: list[Scenario] = field(default_factory=list)
    workings: dict[str, Working] = field(default_factory=dict)
    assumptions: dict[tuple[str, str], Assumption] = field(default_factory=dict)

    def take(self, item: str, draw: Draw) -> complex:
        """Note how a current was computed and what was assumed for it; return the current."""
        self.workings.setdefault(draw.working.id, draw.working)
        for what in draw.assumed:
            self.assume(what.replace(" ", "-"), item, value=_assumed_value(draw.working, what))
        return draw.current_a

    def assume(self, code: str, item: str, source: str = "", **fields: object) -> None:
        """Note one assumption for one piece of equipment."""
        self.assumptions.setdefault((code, item), Assumption(code, (item,), fields, source))


def _assumed_value(working: Working, what: str) -> float:
    symbol = {"power factor": "cos φ", "efficiency": "η"}[what]
    return next(i.value for i in working.inputs if i.symbol == symbol)
