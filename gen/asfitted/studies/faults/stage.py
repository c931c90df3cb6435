"""One stage of many cases at once: what flows, how long each unit bears it, which potentials the metalwork
takes.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from asfitted.network.equivalent import Equivalent
from asfitted.network.mna import Equations, System
from asfitted.network.parts import Source
from asfitted.network.ports import Alteration, Answers, Outcome, Port, alter, held
from asfitted.network.settle import Adjustable, Complex, Real
from asfitted.network.states import State
from asfitted.network.supply_parts import upstream_device
from asfitted.studies.faults.bearing import capacities_a
from asfitted.studies.faults.units import Units
from asfitted.tables.circuit_defaults import circuit_default

T = TypeVar("T")
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

    @cached_property
    def key(self) -> tuple[object, ...]:
        """What tells two of the same study apart."""
        return (*self.base, self.opened, self.stopped, self.broken)

    @cached_property
    def base(self) -> tuple[object, ...]:
        """What tells two states apart, whatever has opened in them."""
        return (self.state.conditions, self.state.positions, self.state.direct)


class Case(NamedTuple):
    """A fault in one stage: how the switches stand, the ports it closes and their resistances, and the phase
    (+1 or −1) of each source.
    """

    switched: Switched
    ports: tuple[tuple[Port, float], ...]
    phases: tuple[float, ...]


@dataclass(frozen=True)
class Opened:
    """What has opened beside a state, as arrays: the islands of all nodes, the branches that are held
    without current (each with 0, as `alter` takes it), which devices have opened and which sources have
    stopped.

    A branch that would leave an island without any tie to others is not held: nothing flows there anyway.
    """

    islands: NDArray[np.int64]
    held: tuple[tuple[Alteration, float], ...]
    branches: NDArray[np.int64]
    devices: NDArray[np.bool_]
    sources: NDArray[np.bool_]


@dataclass(frozen=True)
class Stage:
    """The solution of many cases of one state. Columns are cases throughout.

    `unknowns` as of the equations; `islands` of the nodes (cases × nodes); `opened` devices and `stopped`
    sources; times in s until each unit acts at the latest and at the earliest; `load_a` and `residual_a`
    per device, with `direct_a` the direct current in the residual where both are solved.
    """

    outcome: Outcome
    islands: NDArray[np.int64]
    opened: NDArray[np.bool_]
    stopped: NDArray[np.bool_]
    overcurrent_slow_s: Real
    overcurrent_fast_s: Real
    residual_slow_s: Real
    residual_fast_s: Real
    other_slow_s: Real
    other_fast_s: Real
    load_a: Real
    residual_a: Real
    direct_a: Real

    @property
    def unknowns(self) -> Complex:
        """Potentials of the nodes, then the currents of the branches that keep theirs."""
        return self.outcome.unknowns


@dataclass
class Bench:
    """Solves stages of one equivalent circuit, each operating state factorised once."""

    equivalent: Equivalent
    units: Units
    direct: bool = False

    def __post_init__(self) -> None:
        self._answers: dict[object, Answers] = {}
        self._opened: dict[object, Opened] = {}
        self._dead: dict[object, bool] = {}
        self._remembered: dict[object, object] = {}

    def remembered(self, key: object, make: Callable[[], T]) -> T:
        """Return what was made once for a key."""
        if key not in self._remembered:
            self._remembered[key] = make()
        return self._remembered[key]  # type: ignore[return-value]

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
        for source in (*self.equivalent.sources, *self.equivalent.direct_sources):
            if source.id in switched.stopped and source.kind in ("limited", "one way"):
                on[[circuit.index[id_] for id_ in (*source.branches, *self._links.get(source.id, ()))]] = (
                    False
                )
        for number, branch in self.equivalent.bond_of.items():
            bond = self.equivalent.network.bonds[number]
            if bond.when == "inverting" and bond.equipment in switched.stopped:
                on[branch] = False  # its relay is held by the inverter that has stopped
        return on

    @cached_property
    def _links(self) -> dict[str, tuple[str, ...]]:
        """The d.c. links of sources of alternating current that are not isolated from their battery."""
        ids = {source.id for source in self.equivalent.sources}
        linked = [b for b in self.equivalent.circuit.branches if b.emf_dc_v and b.source in ids]
        return {b.source: tuple(other.id for other in linked if other.source == b.source) for b in linked}

    @cached_property
    def beside(self) -> "Bench | None":
        """The bench of the direct currents that flow beside the alternating ones; None where there are none."""
        return Bench(self.equivalent, self.units, direct=True) if self._links and not self.direct else None

    def dead(self, switched: Switched) -> bool:
        """Tell whether no source is left that gives voltage: there is nothing to solve any more."""
        found = self._dead.get(switched.key)
        if found is None:
            found = self._dead[switched.key] = self._is_dead(switched)
        return found

    def _is_dead(self, switched: Switched) -> bool:
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

    def answers(self, switched: Switched) -> Answers:
        """Return the unit answers of the state, with nothing opened beside it."""
        if switched.base not in self._answers:
            system = System(self.equations, self.equivalent.closed(switched.state))
            self._answers[switched.base] = Answers(system, self.groups, self.adjustable)
        return self._answers[switched.base]

    def opened(self, sets: Iterable[Switched]) -> list[Opened]:
        """Return what has opened in each of several sets of switches of one state."""
        every = list(sets)
        new = list({s.key: s for s in every if s.key not in self._opened}.values())
        if new:
            conducting = np.array([self.closed(s) for s in new])
            usual = self.equivalent.closed(new[0].state)
            for switched, on, islands in zip(
                new, conducting, self.equations.islands(conducting), strict=True
            ):
                gone = np.flatnonzero(usual & ~on & ~self.equations.never)
                self._opened[switched.key] = Opened(
                    islands,
                    tuple((branch, 0.0) for branch in held(self.equations, gone, islands)),
                    gone,
                    np.array([d.id in switched.opened for d in self.units.devices], dtype=bool),
                    np.array([s.id in switched.stopped for s in self.sources], dtype=bool),
                )
        return [self._opened[s.key] for s in every]

    def _start(self, state: State, opened: Sequence[Opened], phases: Real) -> Complex:
        """Return the size of each source (sources × cases) before any limits itself."""
        on = np.ones(len(self.groups), dtype=bool)
        if not self.direct:
            on[:] = self.equivalent.energised(state)
        running = np.tile(on[:, None], len(opened))
        running[len(on) - len(self.sources) :] &= ~np.array([o.sources for o in opened], dtype=bool).T
        return np.asarray(running * phases, dtype=complex)

    @cached_property
    def water(self) -> tuple[int, ...]:
        """The branches from the hull to the water."""
        return self._of_kind("water")

    @cached_property
    def protective(self) -> tuple[int, ...]:
        """The protective conductors and bonds."""
        cores = self.equivalent.network.cores
        found = [n for n, b in enumerate(self.equivalent.circuit.branches) if b.kind in ("bond", "strap")]
        index = self.equivalent.circuit.index
        return (*found, *(index[c.id] for c in cores.values() if c.conductor == "PE" and c.id in index))

    @cached_property
    def cores(self) -> tuple[int, ...]:
        """The cores of all cables aboard."""
        index = self.equivalent.circuit.index
        return tuple(index[id_] for id_ in self.equivalent.network.cores if id_ in index)

    @cached_property
    def capacity_a(self) -> Real:
        """What each of the cores bears for good."""
        found = capacities_a(self.equivalent.network)
        return np.array([found[self.equivalent.circuit.branches[n].id] for n in self.cores])

    @property
    def heats(self) -> bool:
        """Whether the heating of conductors is judged: with the greatest currents only."""
        return self.equivalent.bound == "greatest"

    def _of_kind(self, kind: str) -> tuple[int, ...]:
        return tuple(n for n, b in enumerate(self.equivalent.circuit.branches) if b.kind == kind)

    def currents_a(self, stage: Stage, branches: Sequence[int]) -> Real:
        """Return the size of the current in each branch (branches × cases)."""
        equations, x = self.equations, stage.unknowns
        found = np.zeros((len(branches), x.shape[1]))
        kept = [k for k, n in enumerate(branches) if n in equations.row_of]
        found[kept] = np.abs(x[[equations.row_of[branches[k]] for k in kept]])
        system = stage.outcome.answers.system
        for k, n in enumerate(branches):
            if n not in equations.row_of and system.closed[n]:
                found[k] = np.abs(system.current(x, n))
        return found

    def greatest_a(self, stage: Stage, branches: Sequence[int]) -> Real:
        """Return the greatest current in any of the branches in each case."""
        return np.asarray(self.currents_a(stage, branches).max(axis=0, initial=0))

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

    def live(self, stage: Stage, column: int, ids: Sequence[str]) -> tuple[str, ...]:
        """Return which of some pieces of equipment have more than 50 V between two terminals in one case."""
        x, island = stage.unknowns, stage.islands[column]
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

    def solve(self, cases: Sequence[Case]) -> Stage:
        """Solve many cases of one state, whatever has opened in each."""
        state = cases[0].switched.state
        found, opened = self.answers(cases[0].switched), self.opened(case.switched for case in cases)
        wanted = [(*case.ports, *own.held) for case, own in zip(cases, opened, strict=True)]
        lengths = np.array([len(w) for w in wanted])
        used = np.arange(lengths.max()) < lengths[:, None]
        numbers, ohm = np.zeros(used.shape, dtype=np.int64), np.full(used.shape, inf)
        numbers[used] = found.places(what for w in wanted for what, _ in w)
        ohm[used] = [resistance for w in wanted for _, resistance in w]
        islands = np.array([o.islands for o in opened])
        a, b = found.ends(numbers)
        cases_ = np.arange(len(cases))[:, None]
        # between two islands no current can flow
        apart = (ohm > 0) & (islands[cases_, a] != islands[cases_, b])
        phases = np.array([case.phases for case in cases]).T.reshape(len(self.adjustable), len(cases))
        outcome = alter(found, numbers, np.where(apart, inf, ohm), self._start(state, opened, phases))
        for column, own in enumerate(opened):
            outcome.unknowns[[self.equations.row_of[n] for n in own.branches.tolist()], column] = 0
        return self._judge(state, outcome, opened, islands, self._beside(cases))

    def _beside(self, cases: Sequence[Case]) -> Complex | None:
        """Return the solution for the direct currents of the same cases, None where none can flow."""
        bench = self.beside
        if bench is None:
            return None
        phases = (1.0,) * len(bench.adjustable)
        return bench.solve([case._replace(phases=phases) for case in cases]).unknowns

    def _judge(
        self,
        state: State,
        outcome: Outcome,
        sets: Sequence[Opened],
        islands: NDArray[np.int64],
        direct: Complex | None,
    ) -> Stage:
        x = outcome.unknowns
        units, count = self.units, x.shape[1]
        opened = np.array([o.devices for o in sets], dtype=bool).T
        devices = len(units.devices)
        rows = self.equations.row_of
        slow, fast = np.full((devices, count), inf), np.full((devices, count), inf)
        load = np.zeros((devices, count))
        sensed, owner = units.sensed
        currents = (
            np.abs(x[[rows[int(branch)] for branch in sensed]]) if len(sensed) else np.zeros((0, count))
        )
        there = self.beside.equations.row_of if self.beside else {}
        if direct is not None and len(sensed):
            currents = np.hypot(currents, np.abs(direct[[there[int(branch)] for branch in sensed]]))
        np.maximum.at(load, owner, currents)
        residual_slow, residual_fast = slow.copy(), fast.copy()
        residual_phasor = np.zeros((devices, count), dtype=complex)
        summed, owner = units.summed
        if len(summed):
            np.add.at(residual_phasor, owner, x[[rows[int(branch)] for branch in summed]])
        residual = np.abs(residual_phasor)
        steady = np.zeros((devices, count), dtype=complex)
        if direct is not None and len(summed):
            np.add.at(steady, owner, direct[[there[int(branch)] for branch in summed]])
        most, most_residual = load.max(axis=1, initial=0).tolist(), residual.max(axis=1, initial=0).tolist()
        stopped = np.array([o.sources for o in sets], dtype=bool).T
        others, moves = (
            self._sources(outcome, islands, stopped, direct),
            self._transfers(state, x, islands, stopped),
        )
        stage = Stage(
            outcome, islands, opened, stopped, slow, fast, residual_slow, residual_fast,
            np.vstack([others[0], moves[0]]), np.vstack([others[1], moves[1]]),
            load, residual, np.abs(steady),
        )  # fmt: skip
        for number, device in enumerate(units.devices):
            if device.overcurrent and most[number] >= device.overcurrent.fast.points[0][0]:
                slow[number] = device.overcurrent.slow.time_s(load[number])
                fast[number] = device.overcurrent.fast.time_s(load[number])
            release = device.residual
            if release and (
                most_residual[number] >= 0.5 * release.rated_a
                or (release.sees_direct and steady[number].any())
            ):
                self._residual(number, stage)
        for times in (slow, fast, residual_slow, residual_fast):
            times[opened] = inf
        return stage

    def _residual(self, number: int, stage: Stage) -> None:
        """Fill in the times of one residual release."""
        device = self.units.devices[number]
        release = device.residual
        assert release is not None  # noqa: S101  (asked by the caller)
        current, slow, fast = stage.residual_a[number], stage.residual_slow_s, stage.residual_fast_s
        fast[number] = release.fast(current)
        if self.direct:
            # a device that cannot see smooth direct current is not made to trip by it
            slow[number] = release.slow(current) if release.sees_direct else inf
            fast[number] = fast[number] if release.sees_direct else np.where(current > 0, fast[number], inf)
            return
        steady = stage.direct_a[number]
        if release.sees_direct:
            fast[number] = release.fast(np.hypot(current, steady))
        # above its limit smooth direct current saturates the core: it may operate, and is not relied on
        seen = np.hypot(current, steady) if release.sees_direct else current
        slow[number] = np.where(steady > release.direct_a, inf, release.slow(seen))
        if device.supply is not None and release.needs_supply:
            across = np.abs(self._between(stage.unknowns, stage.islands, device.supply))
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

    def _between(self, x: Complex, islands: NDArray[np.int64], nodes: Port) -> Complex:
        """Return the voltage between two nodes in each case, none where they lie in two islands."""
        index, ground = self.equivalent.circuit.node_index, self.equations.ground
        a, b = (index.get(node, ground) for node in nodes)
        zero = np.zeros(x.shape[1], dtype=complex)
        across = (zero if a == ground else x[a]) - (zero if b == ground else x[b])
        return np.asarray(np.where(islands[:, a] == islands[:, b], across, 0))

    def _starve(
        self, outcome: Outcome, islands: NDArray[np.int64], stopped: NDArray[np.bool_]
    ) -> tuple[Real, Real]:
        """Return the times of sources that lose their own field where a fault takes their voltage away."""
        x, circuit, closed = outcome.unknowns, self.equivalent.circuit, outcome.answers.system.closed
        slow, fast = np.full(stopped.shape, inf), np.full(stopped.shape, inf)
        for k, source in enumerate(self.sources):
            number = circuit.index[source.branches[0]]
            if not source.starves_s or not closed[number]:
                continue
            branch = circuit.branches[number]
            starved = np.abs(self._between(x, islands, (branch.b, branch.a))) < source.starves_below_v
            slow[k] = np.where(starved & ~stopped[k], source.starves_s, inf)
            fast[k] = np.where(starved & ~stopped[k], 0.0, inf)
        return slow, fast

    def _sources(
        self,
        outcome: Outcome,
        islands: NDArray[np.int64],
        stopped: NDArray[np.bool_],
        direct: Complex | None,
    ) -> tuple[Real, Real]:
        """Return the times after which the sources stop by themselves."""
        sources, count = self.sources, len(outcome.cases)
        slow, fast = np.full((len(sources), count), inf), np.full((len(sources), count), inf)
        if self.direct:
            return self._starve(outcome, islands, stopped)
        x = outcome.unknowns
        for k, source in enumerate(sources):
            if source.kind != "limited":
                continue
            rows = [self.equations.row_of[self.equivalent.circuit.index[id_]] for id_ in source.branches]
            currents = np.abs(x[rows])
            if direct is not None and self.beside is not None:
                index, there = self.equivalent.circuit.index, self.beside.equations.row_of
                currents = np.hypot(currents, np.abs(direct[[there[index[id_]] for id_ in source.branches]]))
            current = currents.max(axis=0)
            for row in source.rows:
                over = current >= row.current_a
                slow[k] = np.where(over, np.minimum(slow[k], row.slow_s), slow[k])
                fast[k] = np.where(over, np.minimum(fast[k], row.fast_s), fast[k])
            driven = outcome.settled.backwards[k]
            slow[k], fast[k] = np.where(driven, DRIVEN_BACK_S, slow[k]), np.where(driven, 0, fast[k])
        slow[stopped], fast[stopped] = inf, inf
        return slow, fast

    def _transfers(
        self, state: State, x: Complex, islands: NDArray[np.int64], stopped: NDArray[np.bool_]
    ) -> tuple[Real, Real]:
        """Return the times after which the transfer switches move."""
        moves, count = self.units.transfers, x.shape[1]
        slow, fast = np.full((len(moves), count), inf), np.full((len(moves), count), inf)
        if self.direct:
            return slow, fast
        below = circuit_default("transfer below", "least").value * self._nominal_v
        above = circuit_default("transfer above", "least").value * self._nominal_v
        positions, conditions = dict(state.positions), dict(state.conditions)
        sources = [source.id for source in self.equivalent.sources]
        for number, transfer in enumerate(moves):
            position = positions.get(transfer.id)
            if position not in ("source 1", "source 2"):
                continue
            at = int(position == "source 2")
            volts = [np.abs(self._between(x, islands, side)) for side in transfer.sides]
            if transfer.inverts:
                # its own inverter stands ready behind the contact, if it has not stopped
                ready = conditions.get(transfer.id) == "running"
                halted = stopped[sources.index(transfer.id)] if transfer.id in sources else False
                volts[1] = np.where(ready & ~np.asarray(halted), self._nominal_v, 0.0) * np.ones(count)
            leaves = (volts[at] < below) & (volts[1 - at] >= above)
            returns = (volts[transfer.preferred] >= above) & (at != transfer.preferred)
            for moving, (late, early) in (
                (leaves, transfer.away_s if at == transfer.preferred else transfer.back_s),
                (returns, transfer.back_s),
            ):
                slow[number] = np.where(moving, np.minimum(slow[number], late), slow[number])
                fast[number] = np.where(moving, np.minimum(fast[number], early), fast[number])
        return slow, fast
