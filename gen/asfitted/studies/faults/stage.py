"""One stage of many cases at once: what flows, how long each unit bears it, which potentials the metalwork
takes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np
from numpy.typing import NDArray

from asfitted.network.circuit import EARTH
from asfitted.network.equivalent import Equivalent
from asfitted.network.mna import Equations, System
from asfitted.network.parts import Source
from asfitted.network.ports import Answers, Outcome, Port, answers, close_ports
from asfitted.network.settle import Adjustable, Complex, Real
from asfitted.network.states import State
from asfitted.network.supply_parts import upstream_device
from asfitted.studies.faults.units import Units
from asfitted.tables.circuit_defaults import circuit_default

#: a source driven backwards by another one shuts down within this time
DRIVEN_BACK_S = 0.02


@dataclass(frozen=True)
class Switched:
    """Which of a circuit's switches stand how: the state with its transfer switches, what has opened or
    stopped.
    """

    state: State
    opened: frozenset[str] = frozenset()
    stopped: frozenset[str] = frozenset()
    broken: frozenset[str] = frozenset()

    @property
    def key(self) -> tuple[object, ...]:
        """What tells two of the same study apart."""
        state = self.state
        return (state.conditions, state.positions, state.direct, self.opened, self.stopped, self.broken)


@dataclass(frozen=True)
class Case:
    """A fault in one stage: the ports it closes and their resistances, and the phase (+1 or −1) of each
    source.
    """

    ports: tuple[tuple[Port, float], ...]
    phases: tuple[float, ...]


@dataclass(frozen=True)
class Stage:
    """The solution of many cases with the same switches. Columns are cases throughout.

    slow_a/fast_a …: times in s until each unit acts; `load_a` and `residual_a` per device.
    """

    outcome: Outcome
    unknowns: Complex
    overcurrent_slow_s: Real
    overcurrent_fast_s: Real
    residual_slow_s: Real
    residual_fast_s: Real
    other_slow_s: Real
    other_fast_s: Real
    load_a: Real
    residual_a: Real


@dataclass
class Bench:
    """Solves stages of one equivalent circuit, each set of switches factorised once."""

    equivalent: Equivalent
    units: Units
    direct: bool = False

    def __post_init__(self) -> None:
        self._systems: dict[tuple[object, ...], System] = {}

    @cached_property
    def equations(self) -> Equations:
        """The equations of this bench: of alternating or of direct current."""
        return self.equivalent.dc if self.direct else self.equivalent.ac

    @cached_property
    def groups(self) -> tuple[tuple[tuple[int, complex], ...], ...]:
        """The branches and electromotive forces of each source; for direct current all batteries are one, the
        first.
        """
        circuit = self.equivalent.circuit
        if self.direct:
            own = {id_ for source in self.sources for id_ in source.branches}
            emf = [(n, complex(b.emf_dc_v)) for n, b in enumerate(circuit.branches) if b.emf_dc_v]
            cells = tuple((n, v) for n, v in emf if circuit.branches[n].id not in own)
            charging = tuple(((n, v),) for n, v in emf if circuit.branches[n].id in own)
            return (cells, *charging) if cells else charging
        return tuple(
            tuple(
                (circuit.index[id_], complex(circuit.branches[circuit.index[id_]].emf_v or 1))
                for id_ in source.branches
            )
            for source in self.sources
        )

    @cached_property
    def sources(self) -> tuple[Source, ...]:
        """The sources that limit themselves, of alternating or of direct current."""
        return self.equivalent.direct_sources if self.direct else self.equivalent.sources

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The ids of all units, in the order of their times in a stage."""
        units = self.units
        ids = ((u.id for u in units.devices), (s.id for s in self.sources), (t.name for t in units.transfers))
        return tuple(id_ for part in ids for id_ in part)

    @cached_property
    def adjustable(self) -> tuple[Adjustable, ...]:
        """How each source adjusts itself."""
        stiff = (Adjustable("stiff"),) * (len(self.groups) - len(self.sources)) if self.direct else ()
        return (*stiff, *(Adjustable(source.kind, source.limit) for source in self.sources))

    def closed(self, switched: Switched) -> NDArray[np.bool_]:
        """Return for each branch whether it conducts."""
        on = self.equivalent.closed(switched.state).copy()
        for device in self.units.devices:
            if device.id in switched.opened:
                on[list(device.opens)] = False
        circuit = self.equivalent.circuit
        for id_ in switched.broken:
            on[circuit.index[id_]] = False
        for source in self.sources:
            if source.id in switched.stopped and source.kind in ("limited", "one way"):
                for id_ in source.branches:
                    on[circuit.index[id_]] = False
        return on

    def dead(self, switched: Switched) -> bool:
        """Tell whether no source is left that gives voltage: there is nothing to solve any more."""
        if self.direct:
            return not self.groups
        opened = {
            d.id for d in self.units.devices if d.id in switched.opened and len(d.opens) == len(d.summed)
        }
        on = self.equivalent.energised(switched.state)
        return not any(
            alive and source.id not in switched.stopped and upstream_device(source.id) not in opened
            for alive, source in zip(on, self.equivalent.sources, strict=True)
        )

    def system(self, switched: Switched) -> System:
        """Return the factorised system of a set of switches."""
        if switched.key not in self._systems:
            self._systems[switched.key] = System(self.equations, self.closed(switched))
        return self._systems[switched.key]

    def answers(self, switched: Switched, ports: Sequence[Port]) -> Answers:
        """Return the unit answers to the sources and to `ports`."""
        return answers(self.system(switched), self.groups, self.adjustable, tuple(ports))

    def start(self, switched: Switched, phases: Real) -> Complex:
        """Return the size of each source (sources × cases) before any limits itself."""
        if self.direct:
            return np.ones((len(self.groups), phases.shape[1]), dtype=complex)
        on = np.array(self.equivalent.energised(switched.state), dtype=float)
        stopped = [source.id not in switched.stopped for source in self.equivalent.sources]
        return np.asarray((on * np.array(stopped, dtype=float))[:, None] * phases, dtype=complex)

    @cached_property
    def water(self) -> tuple[int, ...]:
        """The branches from the hull to the water."""
        return self._of_kind("water")

    @cached_property
    def protective(self) -> tuple[int, ...]:
        """The protective conductors and bonds."""
        cores = self.equivalent.network.cores
        found = [n for n, b in enumerate(self.equivalent.circuit.branches) if b.kind == "bond"]
        index = self.equivalent.circuit.index
        return (*found, *(index[c.id] for c in cores.values() if c.conductor == "PE" and c.id in index))

    @cached_property
    def cores(self) -> tuple[int, ...]:
        """The cores of all cables aboard."""
        index = self.equivalent.circuit.index
        return tuple(index[id_] for id_ in self.equivalent.network.cores if id_ in index)

    @property
    def heats(self) -> bool:
        """Whether the heating of conductors is judged: with the greatest currents only."""
        return self.equivalent.bound == "greatest"

    def _of_kind(self, kind: str) -> tuple[int, ...]:
        return tuple(n for n, b in enumerate(self.equivalent.circuit.branches) if b.kind == kind)

    def currents_a(self, switched: Switched, x: Complex, branches: Sequence[int]) -> Real:
        """Return the size of the current in each branch (branches × cases)."""
        equations, system = self.equations, self.system(switched)
        found = np.zeros((len(branches), x.shape[1]))
        kept = [(k, equations.row_of[n]) for k, n in enumerate(branches) if n in equations.row_of]
        if kept:
            places, rows = zip(*kept, strict=True)
            found[list(places)] = np.abs(x[list(rows)])
        for k, n in enumerate(branches):
            if n not in equations.row_of:
                found[k] = np.abs(system.current(x, n))
        return found

    def greatest_a(self, switched: Switched, x: Complex, branches: Sequence[int]) -> Real:
        """Return the greatest current in any of the branches in each case."""
        return np.asarray(self.currents_a(switched, x, branches).max(axis=0, initial=0))

    @cached_property
    def _terminal_pairs(self) -> dict[str, tuple[NDArray[np.int64], NDArray[np.int64]]]:
        """Pairs of terminals of each piece of equipment between which there is no voltage once it is dead."""
        node, index = self.equivalent.node_of, self.equivalent.circuit.node_index
        found = {}
        for item in self.equivalent.network.items.values():
            ends = [t for t in item.terminals if t.rsplit(".", 1)[-1] in ("L", "L1", "L2", "N", "PE")]
            numbers = list(dict.fromkeys(index[node[t]] for t in ends if node[t] in index))
            pairs = [(a, b) for k, a in enumerate(numbers) for b in numbers[k + 1 :]]
            if pairs:
                first, second = zip(*pairs, strict=True)
                found[item.id] = np.array(first), np.array(second)
        return found

    def live(self, switched: Switched, x: Complex, column: int, ids: Sequence[str]) -> tuple[str, ...]:
        """Return which of some pieces of equipment have more than 50 V between two terminals in one case."""
        island = self.system(switched).island
        return tuple(
            id_
            for id_ in dict.fromkeys(ids)
            if not self.direct
            and (pairs := self._terminal_pairs.get(id_))
            and np.any(
                (np.abs(x[pairs[0], column] - x[pairs[1], column]) > 50)
                & (island[pairs[0]] == island[pairs[1]])
            )
        )

    def solve(self, switched: Switched, cases: Sequence[Case]) -> Stage:
        """Solve many cases with the same switches."""
        ports = list(dict.fromkeys(port for case in cases for port, _ in case.ports))
        width = max((len(case.ports) for case in cases), default=0)
        unused = (EARTH, EARTH)
        place = {port: number for number, port in enumerate(ports)}
        numbers = np.full((len(cases), width), len(ports), dtype=np.int64)
        ohm = np.full((len(cases), width), inf)
        for row, case in enumerate(cases):
            for column, (port, resistance) in enumerate(case.ports):
                numbers[row, column], ohm[row, column] = place[port], resistance
        found = self.answers(switched, (*ports, unused))
        phases = np.array([case.phases for case in cases]).T.reshape(len(self.adjustable), len(cases))
        outcome = close_ports(found, numbers, ohm, self.start(switched, phases))
        return self._judge(switched, outcome)

    def _judge(self, switched: Switched, outcome: Outcome) -> Stage:
        x = outcome.unknowns
        units, count = self.units, x.shape[1]
        devices = len(units.devices)
        rows = self.equations.row_of
        slow, fast = np.full((devices, count), inf), np.full((devices, count), inf)
        load = np.zeros((devices, count))
        sensed, owner = units.sensed
        currents = (
            np.abs(x[[rows[int(branch)] for branch in sensed]]) if len(sensed) else np.zeros((0, count))
        )
        np.maximum.at(load, owner, currents)
        residual_slow, residual_fast = slow.copy(), fast.copy()
        residual_phasor = np.zeros((devices, count), dtype=complex)
        summed, owner = units.summed
        if len(summed):
            np.add.at(residual_phasor, owner, x[[rows[int(branch)] for branch in summed]])
        residual = np.abs(residual_phasor)
        most, most_residual = load.max(axis=1, initial=0).tolist(), residual.max(axis=1, initial=0).tolist()
        for number, device in enumerate(units.devices):
            if device.id in switched.opened:
                continue
            if device.overcurrent and most[number] >= device.overcurrent.fast.points[0][0]:
                slow[number] = device.overcurrent.slow.time_s(load[number])
                fast[number] = device.overcurrent.fast.time_s(load[number])
            release = device.residual
            if release and most_residual[number] >= 0.5 * release.rated_a:
                self._residual(number, switched, x, residual, residual_slow, residual_fast)
        others = self._sources(switched, outcome)
        moves = self._transfers(switched, x)
        return Stage(
            outcome,
            x,
            slow,
            fast,
            residual_slow,
            residual_fast,
            np.vstack([others[0], moves[0]]),
            np.vstack([others[1], moves[1]]),
            load,
            residual,
        )

    def _residual(
        self, number: int, switched: Switched, x: Complex, residual: Real, slow: Real, fast: Real
    ) -> None:
        """Fill in the times of one residual release."""
        device = self.units.devices[number]
        release = device.residual
        assert release is not None  # noqa: S101  (asked by the caller)
        current = residual[number]
        fast[number] = release.fast(current)
        if self.direct:
            # a device that cannot see smooth direct current is not made to trip by it
            slow[number] = release.slow(current) if release.sees_direct else inf
            fast[number] = fast[number] if release.sees_direct else np.where(current > 0, fast[number], inf)
            return
        slow[number] = release.slow(current)
        if device.supply is not None and release.needs_supply:
            across = np.abs(self._between(switched, x, device.supply))
            starved = across < release.needs_supply * self._nominal_v
            slow[number] = np.where(starved, inf, slow[number])
            fast[number] = np.where(starved, inf, fast[number])

    @property
    def _nominal_v(self) -> float:
        emf = [
            abs(group[0][1])
            for group, a in zip(self.groups, self.adjustable, strict=True)
            if a.kind != "diodes"
        ]
        return min(emf, default=230.0)

    def _between(self, switched: Switched, x: Complex, nodes: Port) -> Complex:
        across = self.system(switched).voltage(x, *nodes)
        return np.asarray(np.where(np.isnan(across), 0, across))

    def _starve(self, switched: Switched, x: Complex, slow: Real, fast: Real) -> None:
        """Fill in the times of sources that lose their own field where a fault takes their voltage away."""
        system, circuit = self.system(switched), self.equivalent.circuit
        for k, source in enumerate(self.sources):
            number = circuit.index[source.branches[0]]
            if source.id in switched.stopped or not source.starves_s or not system.closed[number]:
                continue
            branch = circuit.branches[number]
            starved = np.abs(self._between(switched, x, (branch.b, branch.a))) < source.starves_below_v
            slow[k] = np.where(starved, source.starves_s, inf)
            fast[k] = np.where(starved, 0.0, inf)

    def _sources(self, switched: Switched, outcome: Outcome) -> tuple[Real, Real]:
        """Return the times after which the sources stop by themselves."""
        sources, count = self.sources, len(outcome.cases)
        slow, fast = np.full((len(sources), count), inf), np.full((len(sources), count), inf)
        x = outcome.unknowns
        if self.direct:
            self._starve(switched, x, slow, fast)
            return slow, fast
        for k, source in enumerate(sources):
            if source.kind != "limited" or source.id in switched.stopped:
                continue
            rows = [self.equations.row_of[self.equivalent.circuit.index[id_]] for id_ in source.branches]
            current = np.abs(x[rows]).max(axis=0)
            for row in source.rows:
                over = current >= row.current_a
                slow[k] = np.where(over, np.minimum(slow[k], row.slow_s), slow[k])
                fast[k] = np.where(over, np.minimum(fast[k], row.fast_s), fast[k])
            driven = outcome.settled.backwards[k]
            slow[k], fast[k] = np.where(driven, DRIVEN_BACK_S, slow[k]), np.where(driven, 0, fast[k])
        return slow, fast

    def _transfers(self, switched: Switched, x: Complex) -> tuple[Real, Real]:
        """Return the times after which the transfer switches move."""
        moves, count = self.units.transfers, x.shape[1]
        slow, fast = np.full((len(moves), count), inf), np.full((len(moves), count), inf)
        if self.direct:
            return slow, fast
        below = circuit_default("transfer below", "least").value * self._nominal_v
        above = circuit_default("transfer above", "least").value * self._nominal_v
        positions = dict(switched.state.positions)
        for number, transfer in enumerate(moves):
            position = positions.get(transfer.id)
            if position not in ("source 1", "source 2"):
                continue
            at = int(position == "source 2")
            volts = [np.abs(self._between(switched, x, side)) for side in transfer.sides]
            if transfer.inverts:
                # its own inverter stands ready behind the contact, if it has not stopped
                ready = self._ready(switched, transfer.id)
                volts[1] = np.full(count, self._nominal_v if ready else 0.0)
            leaves = (volts[at] < below) & (volts[1 - at] >= above)
            returns = (volts[transfer.preferred] >= above) & (at != transfer.preferred)
            for moving, (late, early) in (
                (leaves, transfer.away_s if at == transfer.preferred else transfer.back_s),
                (returns, transfer.back_s),
            ):
                slow[number] = np.where(moving, np.minimum(slow[number], late), slow[number])
                fast[number] = np.where(moving, np.minimum(fast[number], early), fast[number])
        return slow, fast

    def _ready(self, switched: Switched, source: str) -> bool:
        condition = dict(switched.state.conditions).get(source)
        return condition == "running" and source not in switched.stopped
