"""The fault study: every fault of every state at every place, at both bounds, the worst of each kept."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import product
from math import inf
from typing import Literal

import numpy as np

from asfitted.description.values import Size
from asfitted.network.direct import DirectState, direct_states, giving
from asfitted.network.equivalent import Equivalent, equivalent
from asfitted.network.model import Network
from asfitted.network.parts import Taken
from asfitted.network.sites import Site, described_sites
from asfitted.network.states import State
from asfitted.studies.faults.cases import Places, faults
from asfitted.studies.faults.chain import chain
from asfitted.studies.faults.fault import Fault
from asfitted.studies.faults.findings import fault_findings
from asfitted.studies.faults.heat import destroyed, overloads
from asfitted.studies.faults.result import FaultResult, FaultStudy, Operation, Touch
from asfitted.studies.faults.sequence import Run, begin, play
from asfitted.studies.faults.stage import Bench, Switched
from asfitted.studies.faults.touch import Metalwork, felt, metalwork, zone_of
from asfitted.studies.faults.units import Units
from asfitted.studies.faults.verdict import Judged, judge
from asfitted.studies.results import Assumption
from asfitted.tables.circuit_defaults import Bound
from asfitted.tables.devices import disconnection_time_s

BOUNDS: tuple[Bound, ...] = ("least", "greatest")
#: a fault through which less flows lies where there is no voltage
NOTHING_A = 1e-6
#: a smaller residual current is not told
SEEN_A = 1e-4
#: what the water hides from a boat: with every protective conductor whole the ground makes no difference
CHANGED_ASHORE = (
    "none", "live to structure", "protective conductor broken", "PEN broken",
    "protective conductor broken and live to case",
)  # fmt: skip
#: faults that join two sources which do not run in step
JOINING = ("between the sources of a changeover", "contact welded", "live to the case of another source")


def fault_study(
    network: Network, states: Sequence[State], sizes: Mapping[str, Size] | None = None
) -> FaultStudy:
    """Play every fault in every state at every place that is described; both bounds, the worst kept.

    `sizes` gives those of cables whose own is still to be chosen.
    """
    best: dict[str, tuple[tuple[float, ...], FaultResult]] = {}
    taken: dict[str, Taken] = {}
    for sites, bound in product(combinations_of_sites(network), BOUNDS):
        if bound == "greatest" and any(site.ashore for site in sites):
            continue  # what a hull out of the water changes is where the least current finds its way
        circuit = equivalent(network, sites, bound, sizes=sizes)
        taken |= {t.quantity: t for t in circuit.taken}
        for rank, result in play_states(circuit, states):
            known = best.get(result.id)
            if known is None:
                best[result.id] = (rank, result)
            elif rank > known[0]:
                best[result.id] = (rank, result.with_destroyed(known[1]))
            else:
                best[result.id] = (known[0], known[1].with_destroyed(result))
    results = tuple(result for _, result in best.values())
    assumptions = tuple(
        Assumption(
            "circuit-default",
            tuple(id_ for id_ in t.where if id_),
            {"quantity": t.quantity, "value": t.value, "unit": t.unit},
            t.source,
        )
        for t in taken.values()
    )
    return FaultStudy(results, fault_findings(network, results), assumptions)


def combinations_of_sites(network: Network) -> tuple[tuple[Site, ...], ...]:
    """Return the places at which a build is studied: one supply varies, the others are as described; a boat
    stands ashore as well.
    """
    by_supply: dict[str, list[Site]] = {}
    for site in described_sites(network):
        by_supply.setdefault(site.supply, []).append(site)
    usual = tuple(sites[0] for sites in by_supply.values())
    found = [usual]
    for number, sites in enumerate(by_supply.values()):
        found += [(*usual[:number], site, *usual[number + 1 :]) for site in sites[1:]]
    if usual and network.description.build.setting == "boat":
        found.append((replace(usual[0], ashore=True), *usual[1:]))
    return tuple(found)


def play_states(
    circuit: Equivalent, states: Sequence[State], direct: bool = True
) -> Iterator[tuple[tuple[float, ...], FaultResult]]:
    """Yield the results of one circuit with their ranks; at a special place only states that are plugged
    in.
    """
    units = Units(circuit)
    places = Places(circuit)
    ac, dc = Bench(circuit, units), Bench(circuit, units, direct=True)
    special = {site.supply for site in circuit.sites if site.id}
    for state in states:
        live = {id_ for id_, condition in state.conditions if condition == "live"}
        if special and (not special & live or state.in_transit):
            continue  # where it is not plugged in, or only for a moment, the place makes no difference
        metal = metalwork(circuit, state)
        every = (Fault("none", "", ()), *faults(places, state))
        chosen = [f for f in every if not f.direct and _worth_while(circuit, state, f, bool(special))]
        yield from _play(ac, metal, state, chosen)
    if direct and not special and states:
        # the direct currents hardly differ from one a.c. state to another: with as much running as can be
        busiest = max(states, key=lambda state: sum(c in ("live", "running") for _, c in state.conditions))
        for side in _direct_sides(circuit):
            state = side.on(busiest)
            chosen = [fault for fault in faults(places, state) if fault.direct]
            for rank, result in _play(dc, metalwork(circuit, busiest), state, chosen):
                yield rank, replace(result, direct_state=side.id)


def _direct_sides(circuit: Equivalent) -> Iterator[DirectState]:
    """Yield the states of the d.c. side in which the faults of direct current are played.

    The batteries alone, and with everything that charges: between these two lies every other. At the greatest
    bound the second alone, for what charges adds to every current.
    """
    found = direct_states(circuit.network)
    most = giving(found)
    for side in found[:1]:
        if circuit.bound == "least" and side is not most:
            yield side
    if most is not None:
        yield most


def _worth_while(circuit: Equivalent, state: State, fault: Fault, special: bool) -> bool:
    """Tell whether a fault is played: what is broken for long need not be while a switch moves.

    What a broken conductor does hardly depends on the bound; a broken neutral aboard not on the place.
    """
    if any(site.ashore for site in circuit.sites):
        return fault.kind in CHANGED_ASHORE
    if not fault.broken or (fault.kind == "PEN broken" and not state.in_transit):
        return True
    if state.in_transit or circuit.bound == "greatest":
        return False
    return not special or fault.kind in ("protective conductor broken", "PEN broken")


def _play(
    bench: Bench, metal: Metalwork | None, state: State, chosen: Sequence[Fault]
) -> Iterator[tuple[tuple[float, ...], FaultResult]]:
    switched = Switched(state)
    alive = [k for k, on in enumerate(bench.equivalent.energised(state)) if on]
    if not bench.direct and not alive:
        return
    two = len(alive) > 1
    runs = [
        begin(bench, fault, phases, switched)
        for fault in chosen
        for phases in _phases(bench, alive, fault, two)
    ]
    service = [run for run in runs if run.fault.kind == "none"]
    played = play(bench, service, metal, alternatives=False, residual_only=True)
    played += play(bench, [run for run in runs if run not in service], metal, alternatives=True)
    # where several orders end equally badly the likeliest is told
    told = sorted((run for run in played if _happens(run)), key=lambda run: len(run.early))
    limits = {final: _limit(bench, state, final) for final in (True, False)}
    for judged in judge(bench, metal, told, [limits[run.fault.final][0] or inf for run in told]):
        yield judged.rank, _result(bench, metal, state, judged, *limits[judged.run.fault.final])


def _phases(bench: Bench, alive: Sequence[int], fault: Fault, two: bool) -> Iterator[tuple[float, ...]]:
    """Yield the phases of the sources: in step, and where a fault joins two also against each other."""
    count = len(bench.adjustable)
    yield (1.0,) * count
    if two and not bench.direct and fault.kind in JOINING:
        yield tuple(-1.0 if k == alive[-1] else 1.0 for k in range(count))


def _happens(run: Run) -> bool:
    """Tell whether there is anything to report: current in the fault, or a conductor that is broken."""
    if run.fault.port is None:
        return run.fault.kind != "none" or bool(run.first) or run.steps[0].feeling.volts > 25
    return run.steps[0].current_a > NOTHING_A or any(step.acted for step in run.steps)


def _limit(bench: Bench, state: State, final: bool) -> tuple[float | None, str]:
    """Return the longest time that a touch voltage may last (IEC 60364-4-41 Table 41.1), and its source."""
    if bench.direct:
        return None, ""
    live = {id_ for id_, condition in state.conditions if condition == "live"}
    sites = [site for site in bench.equivalent.sites if site.supply in live]
    soil = any(site.spec.earthing == "TT" or not site.earthed for site in sites)
    volts = next((site.spec.voltage_v for site in sites), _inverter_v(bench))
    circuit: Literal["final", "distribution"] = "final" if final else "distribution"
    looked = disconnection_time_s("TT" if soil else "TN", "ac", volts, circuit)
    return (looked.value, looked.source) if looked else (None, "")


def _inverter_v(bench: Bench) -> float:
    volts = [abs(group[0][1]) for group in bench.groups if group]
    return max(volts, default=230.0)


def _result(
    bench: Bench, metal: Metalwork | None, state: State, judged: Judged, limit: float | None, source: str
) -> FaultResult:
    run = judged.run
    first = run.steps[0]
    moves = {transfer.name for transfer in bench.units.transfers}
    devices = bench.units.devices
    residual = {
        devices[k].id: float(first.residual_a[k])
        for k in np.flatnonzero(first.residual_a > SEEN_A).tolist()
        if devices[k].residual is not None
    }
    sure = run.first[0] if len(run.first) == 1 and not run.may else None
    burnt, heavy = destroyed(bench, run), overloads(bench, run)
    return FaultResult(
        state="" if bench.direct else state.id,
        site=bench.equivalent.site,
        sources=_alive(bench, state),
        kind=run.fault.kind,
        at=run.fault.at,
        where=run.fault.where,
        bound=bench.equivalent.bound,
        outcome=judged.outcome,
        verdict=judged.verdict,
        surely_first=sure,
        may_also_open=tuple(dict.fromkeys((*(run.first if not sure else ()), *run.may))),
        opened=tuple(Operation(n, step.end_s, n in moves) for step in run.steps for n in step.acted),
        restarts=run.restarts,
        hunts=run.hunts,
        current_a=first.current_a or max((o.current_a for o in heavy), default=0.0),
        residual_a=residual,
        touch=_touches(metal, judged),
        touch_time_s=judged.spell_s,
        limit_s=limit,
        limit_source=source,
        into_water_a=max(step.water_a for step in run.steps),
        dc_in_protective_a=max(step.protective_dc_a for step in run.steps),
        overloaded=heavy,
        destroyed=burnt,
        destroyed_a=first.current_a if burnt else 0.0,
        still_live=run.live,
        chain=chain(bench, judged),
        second=run.fault.second,
        final=run.fault.final,
        settled=not run.unsettled,
    )


def _alive(bench: Bench, state: State) -> tuple[str, ...]:
    on = bench.equivalent.energised(state)
    return tuple(source.id for source, alive in zip(bench.equivalent.sources, on, strict=True) if alive)


def _touches(metal: Metalwork | None, judged: Judged) -> tuple[Touch, ...]:
    """Return the worst touch to the ground and between two parts; with the body there where it had to be
    played.
    """
    if metal is None:
        return ()
    run = judged.run
    found = []
    for outside in (True, False):
        volts = [s.feeling.outside_v if outside else s.feeling.inside_v for s in run.steps]
        worst = max(range(len(volts)), key=volts.__getitem__)
        if volts[worst] < 1:
            continue
        feeling = run.steps[worst].feeling
        contact = metal.contact(outside, *((feeling.outside, -1) if outside else feeling.inside))
        body = felt(volts[worst], 0.0)
        time = sum(s.end_s - s.start_s for s, v in zip(run.steps, volts, strict=True) if v > contact.limit_v)
        across, current = body.across_v, body.current_a
        typical = felt(volts[worst], 0.0, 50).current_a
        if judged.worst is not None and (judged.worst[0].person != "inside") == outside:
            contact, exact = judged.worst
            across, current, typical = exact.across_v, exact.current_a, exact.typical_a
            if judged.touched is not None:
                time = sum(s.end_s - s.start_s for s in judged.touched.steps if s.body_a > 0.0005)
        found.append(
            Touch(
                contact.from_.name, contact.to.name, contact.person, volts[worst], volts[-1],
                across, 1000 * current, time, zone_of(current, min(time, 10.0), contact.way), 1000 * typical,
            )
        )  # fmt: skip
    return tuple(found)
