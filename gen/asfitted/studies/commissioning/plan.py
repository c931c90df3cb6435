"""What a test is: where, in which operating states, and what it should read."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.bonding import Island
from asfitted.studies.commissioning.meters import Instruments
from asfitted.studies.coverage import Coverage
from asfitted.studies.sizing import Sizing

Phase = Literal["inspection", "dead", "dc", "first", "live", "transfer", "chargers", "close"]
#: dead before live, direct current before alternating, the source alone before it is changed over
PHASES: tuple[Phase, ...] = ("inspection", "dead", "dc", "first", "live", "transfer", "chargers", "close")
#: a reading is printed in this unit: dimension of its quantity, and its size in the base unit
UNITS: dict[str, tuple[str, float]] = {
    "ohm": ("resistance", 1.0),
    "Mohm": ("insulation", 1e6),
    "V": ("voltage", 1.0),
    "A": ("current", 1.0),
    "mA": ("current", 1e-3),
    "ms": ("duration", 1e-3),
    "s": ("duration", 1.0),
    "Hz": ("frequency", 1.0),
    "": ("count", 1.0),
}


@dataclass(frozen=True)
class Expected:
    """What one reading should be, in the base unit of `unit`.

    `low` and `high` are the limits; `floor` is what the conductors described cannot fall below. `at_20c`
    says that limits hold at 20 °C and a reading is brought there first.
    """

    unit: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    floor: float | None = None
    at_20c: bool = False

    @property
    def factor(self) -> float:
        """How many base units one printed unit is."""
        return UNITS[self.unit][1]


@dataclass(frozen=True)
class Column:
    """A test in one operating state (empty where everything is dead): what it should read.

    Without `expected` the outcome is judged by eye. `not_applicable` is a key of the reasons, else empty.
    """

    state: str
    expected: Expected | None = None
    not_applicable: str = ""


@dataclass(frozen=True)
class Test:
    """One test: `code` is a key of the `commissioning` words, `fields` fill its sentences.

    The id is made of the code and of the names that the builder gave, so that it stays the same while other
    parts of the build change.
    """

    __test__ = False  # not one of pytest's

    code: str
    phase: Phase
    columns: tuple[Column, ...]
    at: str = ""
    detail: str = ""
    fields: dict[str, object] = field(default_factory=dict)

    @property
    def id(self) -> str:
        """`code.place.detail`, without what it does not have."""
        return ".".join(part for part in (self.code, self.at, self.detail) if part)

    @property
    def live(self) -> bool:
        """Whether it is done in operating states."""
        return any(column.state for column in self.columns)


@dataclass(frozen=True)
class Subject:
    """The build under test, with what the studies found about it."""

    network: Network
    states: tuple[State, ...]
    islands: dict[str, tuple[Island, ...]]
    coverage: dict[str, tuple[Coverage, ...]]
    sizing: Sizing

    @cached_property
    def live(self) -> tuple[State, ...]:
        """The states in which something gives alternating voltage and nothing is on its way."""
        return tuple(state for state in self.states if state.sources and not state.in_transit)

    @cached_property
    def dead(self) -> State:
        """The state in which the least is energised, nothing plugged in if that can be."""
        still = [state for state in self.states if not state.in_transit]
        return min(
            still,
            key=lambda s: (len(s.sources), sum(c not in ("unplugged", "off") for _, c in s.conditions)),
        )

    @cached_property
    def instruments(self) -> Instruments:
        """The instruments, with every supply as described."""
        return Instruments(self.network, self.sizing.sizes)

    @cached_property
    def leakage(self) -> dict[str, tuple[dict[str, float], dict[str, float]]]:
        """State -> what `Instruments.leakage` says."""
        return {state.id: self.instruments.leakage(state) for state in self.live}

    @cached_property
    def inlets(self) -> dict[str, tuple[str, ...]]:
        """Supply -> the inlets through which it can be unplugged."""
        return self.network.inlets_of

    @cached_property
    def bars(self) -> tuple[str, ...]:
        """The earth bars."""
        return tuple(item.id for item in self.network.of_kind("earth bar"))

    def covers(self, outlet: str) -> dict[str, Coverage]:
        """State -> what feeds an outlet there and protects it."""
        return {
            state.id: cover
            for state in self.live
            for cover in self.coverage[state.id]
            if cover.outlet == outlet
        }

    def columns(self, of: Callable[[State], Column]) -> tuple[Column, ...]:
        """Return one column for each live state."""
        return tuple(of(state) for state in self.live)

    @cached_property
    def outlets(self) -> tuple[str, ...]:
        """Socket-outlets and fixed consumers of alternating current, as far as something feeds them."""
        fed = {cover.outlet for of_state in self.coverage.values() for cover in of_state}
        kinds = ("sockets", "GFCI receptacle", "load", "battery charger")
        return tuple(
            i.id for i in self.network.of_kind(*kinds) if i.id in fed and lines_of(i.terminals, i.id)
        )

    @cached_property
    def sockets(self) -> tuple[str, ...]:
        """The socket-outlets among them."""
        found = {item.id for item in self.network.of_kind("sockets", "GFCI receptacle")}
        return tuple(outlet for outlet in self.outlets if outlet in found)


def lines_of(terminals: Iterable[str], port: str) -> tuple[str, ...]:
    """Return the line conductors at a port of some equipment: L, or L1 and L2."""
    there = set(terminals)
    return tuple(c for c in ("L", "L1", "L2") if f"{port}.{c}" in there)


def pairs_at(terminals: Iterable[str], port: str) -> tuple[tuple[str, str], ...]:
    """Return every pair of conductors at a port: line to line, line to neutral, line and neutral to earth."""
    there = set(terminals)
    lines = lines_of(there, port)
    others = [c for c in ("N", "PE") if f"{port}.{c}" in there]
    to_line = [(a, b) for n, a in enumerate(lines) for b in lines[n + 1 :]]
    to_others = [(line, other) for other in others for line in lines]
    return (*to_line, *to_others, *([("N", "PE")] if len(others) == 2 else []))


Tests = Iterator[Test]
ONCE = (Column(""),)


def once(expected: Expected) -> tuple[Column, ...]:
    """Return the one column of a test that is done dead."""
    return (Column("", expected),)
