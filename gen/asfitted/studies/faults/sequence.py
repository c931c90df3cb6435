"""The sequence after a fault: solve, let the earliest unit act, solve again, until nothing changes any more.

Many cases go together: all of one operating state are solved with one factorisation. A device that has
begun to count keeps what it has counted; a transfer that moves is part of the sequence, since the fault's own
dip starts it.
"""

from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from math import inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from asfitted.network.ports import Port
from asfitted.network.settle import Real
from asfitted.studies.faults.fault import Fault
from asfitted.studies.faults.heating import heat_a2s
from asfitted.studies.faults.stage import Bench, Case, Stage, Switched
from asfitted.studies.faults.touch import Contact, Metalwork

#: two units whose times differ by less act together
TOGETHER_S = 1e-6
STAGES = 16
#: so many units of one sequence act before they must; three in a row are less likely than any other failure
EARLY_MOST = 2
#: so many cases are solved at a time, for the sake of memory
CASES_AT_A_TIME = 512


class Feeling(NamedTuple):
    """The worst prospective touch voltage of a stage: to the ground, or between two parts (numbers of
    parts).
    """

    outside_v: float
    outside: int
    inside_v: float
    inside: tuple[int, int]

    @property
    def volts(self) -> float:
        """The greater of the two."""
        return max(self.outside_v, self.inside_v)


class Step(NamedTuple):
    """One stage of one case: from when to when, what flowed, what could be felt, what then acted."""

    switched: Switched
    start_s: float
    end_s: float
    current_a: float
    body_a: float
    load_a: Real
    residual_a: Real
    direct_a: Real
    feeling: Feeling
    water_a: float
    protective_dc_a: float
    acted: tuple[str, ...]


@dataclass
class Run:
    """One case on its way. `used` and `since` hold what each device has counted so far, `lasting_a` what each
    core carries at the end, where nothing opens any more.
    """

    fault: Fault
    phases: tuple[float, ...]
    switched: Switched
    ports: tuple[tuple[Port, float], ...]
    used: Real
    since_s: Real
    slowest_s: Real
    now_s: float = 0.0
    early: tuple[str, ...] = ()
    restarts: bool = False
    hunts: bool = False
    driven_back: bool = False
    unsettled: bool = False
    may: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    steps: list[Step] = field(default_factory=list)
    contact: Contact | None = None
    heat: Real | float = 0.0
    lasting_a: Real | None = None
    live: tuple[str, ...] = ()

    @property
    def case(self) -> Case:
        """What the run closes in its present stage."""
        return Case(self.switched, self.ports, self.phases)


def begin(bench: Bench, fault: Fault, phases: tuple[float, ...], switched: Switched) -> Run:
    """Return the run of a fault that has just happened."""
    devices = len(bench.units.devices)
    nothing = np.zeros(devices)
    ports = (((fault.port, fault.resistance_ohm),) if fault.port else ()) + fault.also
    return Run(
        fault,
        phases,
        replace(switched, broken=switched.broken | fault.broken) if fault.broken else switched,
        ports,
        nothing,
        np.full(devices, inf),
        nothing,
    )


def play(
    bench: Bench,
    runs: Iterable[Run],
    metal: Metalwork | None,
    alternatives: bool,
    residual_only: bool = False,
) -> list[Run]:
    """Play runs to their end; with `alternatives` also every unit that may act earlier than those that must, as
    runs of their own.

    `residual_only` looks at a build in service: no overload is judged, since nobody said what is switched on.
    """
    waiting = list(runs)
    finished: list[Run] = []
    while waiting:
        groups: dict[tuple[object, ...], list[Run]] = {}
        for run in waiting:
            if bench.dead(run.switched):
                run.steps.append(_silence(bench, run))
                finished.append(run)
            else:
                groups.setdefault(run.switched.base, []).append(run)
        waiting = []
        for group in groups.values():
            for start in range(0, len(group), CASES_AT_A_TIME):
                part = group[start : start + CASES_AT_A_TIME]
                for run, ended in _stage(bench, part, metal, alternatives, residual_only):
                    (finished if ended else waiting).append(run)
    return finished


def _silence(bench: Bench, run: Run) -> Step:
    """Return the last step of a run in which no source is left."""
    zero = np.zeros(len(bench.units.devices))
    feeling = Feeling(0.0, 0, 0.0, (0, 0))
    return Step(run.switched, run.now_s, inf, 0.0, 0.0, zero, zero, zero, feeling, 0.0, 0.0, ())


def _stage(
    bench: Bench, group: Sequence[Run], metal: Metalwork | None, alternatives: bool, residual_only: bool
) -> Iterable[tuple[Run, bool]]:
    """Play one stage of runs of one state; return each with whether it has come to its end."""
    stage = bench.solve([run.case for run in group])
    slow, fast = _remaining(group, stage)
    devices = len(bench.units.devices)
    if residual_only:
        slow[:devices], fast[:devices] = stage.residual_slow_s, stage.residual_fast_s
        slow[devices:] = np.where(stage.other_slow_s <= 1, stage.other_slow_s, inf)
        fast[devices:] = inf
    for column, run in enumerate(group):
        for number, device in enumerate(bench.units.devices) if run.fault.detected_by else ():
            if device.id in run.fault.detected_by and not stage.opened[number, column]:
                slow[number, column], fast[number, column] = min(slow[number, column], 5.6), 0.0
    soonest = slow.min(axis=0) if len(slow) else np.full(len(group), inf)
    acting = np.isfinite(slow) & (slow <= soonest + TOGETHER_S)
    # also where nothing is sure to act
    may = (fast < soonest - TOGETHER_S) & ~acting
    acts, mays = (_named(bench.names, which) for which in (acting, may))
    feelings = _feelings(stage, metal)
    port_a = np.abs(stage.outcome.altered)
    water = bench.greatest_a(stage, bench.water).tolist()
    protective = bench.greatest_a(stage, bench.protective if bench.direct else ()).tolist()
    heat = heat_a2s(bench, [run.case for run in group], stage, soonest) if bench.heats else None
    lasting = bench.currents_a(stage, bench.cores)
    driven = np.asarray(stage.outcome.settled.backwards.any(axis=0)).tolist()
    still = stage.outcome.settled.still.tolist()
    loads, residuals, directs = (a.T.copy() for a in (stage.load_a, stage.residual_a, stage.direct_a))
    counted = _counted(group, stage, soonest)
    found: list[tuple[Run, bool]] = []
    for column, (run, wait) in enumerate(zip(group, soonest.tolist(), strict=True)):
        names, others = acts.get(column, ()), mays.get(column, ())
        run.driven_back |= driven[column]
        run.unsettled |= not still[column]
        step = Step(
            run.switched,
            run.now_s,
            run.now_s + wait,
            float(port_a[column, 0]) if run.fault.port else 0.0,
            float(port_a[column, len(run.ports) - 1]) if run.contact else 0.0,
            loads[column],
            residuals[column],
            directs[column],
            feelings[column],
            water[column],
            protective[column],
            names,
        )
        if heat is not None:
            run.heat = run.heat + heat[column]
        if wait == inf or len(run.steps) >= STAGES:
            run.hunts |= wait < inf
            run.lasting_a = lasting[:, column] if wait == inf else None
            run.steps.append(step)
            run.live = bench.live(stage, column, run.fault.where)
            run.may = tuple(dict.fromkeys((*run.may, *others)))
            found.append((run, True))
            continue
        if alternatives and len(run.early) < EARLY_MOST:
            for name in others:
                other = _branch(run, name, others)
                _advance(bench, other, counted, column, step._replace(acted=(name,)))
                found.append((other, False))
        if not run.steps:
            run.first = names
        run.may = tuple(dict.fromkeys((*run.may, *others)))
        seen = _advance(bench, run, counted, column, step)
        found.append((run, seen))
    return found


def _branch(run: Run, name: str, others: Sequence[str]) -> Run:
    """Return a run that goes another way from here: `name` acts as early as it may."""
    may = dict.fromkeys((*run.may, *(other for other in others if other != name)))
    other = copy(run)
    other.steps, other.early, other.may = list(run.steps), (*run.early, name), tuple(may)
    return other


def _named(names: Sequence[str], which: NDArray[np.bool_]) -> dict[int, tuple[str, ...]]:
    """Return for each case that has any the names of its units (units × cases)."""
    found: dict[int, tuple[str, ...]] = {}
    for case, unit in np.argwhere(which.T).tolist():
        found[case] = (*found.get(case, ()), names[unit])
    return found


def _remaining(group: Sequence[Run], stage: Stage) -> tuple[Real, Real]:
    """Return how long each unit still bears the present currents: at the most, and at the least (units ×
    cases).
    """
    if all(not run.steps for run in group):
        slow = np.minimum(stage.overcurrent_slow_s, stage.residual_slow_s)
    else:
        used = np.stack([run.used for run in group], axis=1)
        since = np.stack([run.since_s for run in group], axis=1)
        slowest = np.stack([run.slowest_s for run in group], axis=1)
        now = np.array([run.now_s for run in group])
        counting = np.isfinite(stage.residual_slow_s)
        began = np.where(counting, np.minimum(since, now), inf)
        promised = began + np.maximum(slowest, np.where(counting, stage.residual_slow_s, 0)) - now
        residual = np.where(counting, np.clip(promised, 0, stage.residual_slow_s), inf)
        with np.errstate(invalid="ignore"):
            left = np.maximum(1 - used, 0) * stage.overcurrent_slow_s
        slow = np.minimum(np.where(np.isfinite(stage.overcurrent_slow_s), left, inf), residual)
    fast = np.minimum(stage.overcurrent_fast_s, stage.residual_fast_s)
    return np.vstack([slow, stage.other_slow_s]), np.vstack([fast, stage.other_fast_s])


@dataclass(frozen=True)
class _Counted:
    """What each device has counted by the end of a stage (cases × devices): of its thermal release, since when
    its residual release counts, and the longest time that was promised meanwhile.
    """

    used: Real
    since_s: Real
    slowest_s: Real


def _counted(group: Sequence[Run], stage: Stage, wait_s: Real) -> _Counted:
    slow, residual = stage.overcurrent_slow_s.T, stage.residual_slow_s.T
    now = np.array([run.now_s for run in group])[:, None]
    with np.errstate(invalid="ignore"):
        share = np.where(np.isfinite(slow), wait_s[:, None] / np.maximum(slow, 1e-9), 0)
    used, since, slowest = (
        np.stack(part)
        for part in zip(*((run.used, run.since_s, run.slowest_s) for run in group), strict=True)
    )
    counting = np.isfinite(residual)
    return _Counted(
        used + share,
        np.where(counting, np.minimum(since, now), inf),
        np.where(counting, np.maximum(slowest, residual), 0),
    )


def _advance(bench: Bench, run: Run, counted: _Counted, column: int, step: Step) -> bool:
    """Let the units of a step act; return whether the run has come back to where it was before."""
    run.used, run.since_s, run.slowest_s = (
        counted.used[column], counted.since_s[column], counted.slowest_s[column]
    )  # fmt: skip
    run.now_s = step.end_s
    before = [s.switched.key for s in run.steps]
    run.steps.append(step)
    run.switched, restarts = bench.remembered(
        (run.switched.state.id, run.switched.key, step.acted), lambda: _act(bench, run.switched, step.acted)
    )
    run.restarts |= restarts
    run.hunts = run.switched.key in before
    return run.hunts


def _act(bench: Bench, switched: Switched, acted: Sequence[str]) -> tuple[Switched, bool]:
    """Return how the switches stand once units have acted, and whether one of them comes back by itself."""
    restarts = False
    sources = {source.id: source for source in bench.sources}
    transfers = {transfer.name: transfer.id for transfer in bench.units.transfers}
    for name in acted:
        if name in transfers:
            positions = dict(switched.state.positions)
            at = positions[transfers[name]]
            positions[transfers[name]] = "source 1" if at == "source 2" else "source 2"
            state = replace(switched.state, positions=tuple(positions.items()))
            switched = replace(switched, state=state)
        elif name in sources:
            switched = replace(switched, stopped=switched.stopped | {name})
            restarts |= sources[name].then == "restarts"
        else:
            switched = replace(switched, opened=switched.opened | {name})
    return switched, restarts


def _feelings(stage: Stage, metal: Metalwork | None) -> list[Feeling]:
    count = stage.unknowns.shape[1]
    if metal is None:
        return [Feeling(0.0, 0, 0.0, (0, 0))] * count
    outside, inside = metal.worst(stage.unknowns, stage.islands)
    return [
        Feeling(*row)
        for row in zip(
            outside.volts.tolist(),
            outside.a.tolist(),
            inside.volts.tolist(),
            zip(inside.a.tolist(), inside.b.tolist(), strict=True),
            strict=True,
        )
    ]
