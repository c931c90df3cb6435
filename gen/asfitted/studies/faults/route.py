"""The way of a fault current: from its source through conductors and devices to the fault, and back."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Literal

from asfitted.description.values import Size
from asfitted.network.circuit import Branch
from asfitted.network.equivalent import Equivalent, equivalent
from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.faults.cases import Places, faults
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.faults.stage import Bench, Case, Switched
from asfitted.studies.faults.study import combinations_of_sites
from asfitted.studies.faults.touch import Contact, felt, metalwork
from asfitted.studies.faults.units import Units

Part = Literal["source", "cable", "device", "bond", "ground", "fault", "person"]
Edge = tuple[str, str, float, Branch | None, Part]
#: what runs beside a fault, not through it
ASIDE = ("load", "capacitor", "leakage")


@dataclass(frozen=True)
class Step:
    """One part of the way: what it is, the id of its cable or equipment, the conductor if it has one."""

    part: Part
    of: str
    conductor: str = ""


@dataclass(frozen=True)
class Route:
    """The closed way, beginning with the source; `person` says whether it leads through somebody's body."""

    steps: tuple[Step, ...]
    current_a: float
    person: bool


def route(
    network: Network, states: Sequence[State], result: FaultResult, sizes: Mapping[str, Size] | None = None
) -> Route | None:
    """Return the way of the current of one result, before anything acts; None if it cannot be traced.

    What only a touch ends, or nothing, is followed through the person who touches.
    """
    state = next((s for s in states if s.id == result.state), None)
    sites = next((c for c in combinations_of_sites(network) if _name(c) == result.site), None)
    if state is None or sites is None:
        return None
    circuit = equivalent(network, sites, result.bound, sizes=sizes)
    found = (f for f in faults(Places(circuit), state) if (f.kind, f.at) == (result.kind, result.at))
    fault = next(found, None)
    if fault is None or fault.port is None:
        return None
    bench = Bench(circuit, Units(circuit))
    switched = Switched(state, broken=fault.broken)
    ports = [(fault.port, fault.resistance_ohm)]
    contact = _contact(circuit, state, result)
    if contact is not None:
        volts = max(touch.across_v for touch in result.touch)
        ports.append((contact.port, felt(volts, 0.0).impedance_ohm))
    stage = bench.solve([Case(switched, tuple(ports), (1.0,) * len(bench.adjustable))])
    on = bench.closed(switched)
    branches = circuit.circuit.branches
    chosen = [n for n, b in enumerate(branches) if on[n] and b.kind not in ASIDE]
    amperes = bench.currents_a(stage, chosen)[:, 0]
    edges: list[Edge] = [
        (branches[n].a, branches[n].b, float(a), branches[n], _part(circuit, branches[n]))
        for n, a in zip(chosen, amperes.tolist(), strict=True)
    ]
    port_a = abs(stage.outcome.altered[0, : len(ports)]).tolist()
    if contact is not None:
        edges.append((*fault.port, port_a[0], None, "fault"))
    ends = contact.port if contact else fault.port
    way = widest(edges, *ends)
    if way is None:
        return None
    closing = Step("person", "") if contact else Step("fault", "")
    steps = [closing, *(_step(edge) for edge in way)]
    start = next((n for n, step in enumerate(steps) if step.part == "source"), None)
    if start is None:
        return None
    return Route(_merged([*steps[start:], *steps[:start]]), port_a[-1], contact is not None)


def widest(edges: Iterable[Edge], start: str, end: str) -> list[Edge] | None:
    """Return the edges from `start` to `end` whose smallest current is greatest; the fewest of several such."""
    around: dict[str, list[tuple[str, Edge]]] = {}
    for edge in edges:
        around.setdefault(edge[0], []).append((edge[1], edge))
        around.setdefault(edge[1], []).append((edge[0], edge))
    waiting: list[tuple[float, int, int, str, list[Edge]]] = [(-float("inf"), 0, 0, start, [])]
    seen: set[str] = set()
    number = 0
    while waiting:
        least, length, _, node, way = heappop(waiting)
        if node == end:
            return way
        if node in seen:
            continue
        seen.add(node)
        for other, edge in around.get(node, ()):
            number += 1
            heappush(waiting, (max(least, -edge[2]), length + 1, number, other, [*way, edge]))
    return None


def _name(sites: Sequence[object]) -> str:
    return "; ".join(id_ for site in sites if (id_ := getattr(site, "id", "")))


def _contact(circuit: Equivalent, state: State, result: FaultResult) -> Contact | None:
    """Return who touches what in a result that does not end without a touch."""
    metal = metalwork(circuit, state)
    if metal is None or result.verdict not in ("only when touched", "stays") or not result.touch:
        return None
    known = {(c.from_.name, c.to.name): c for c in metal.contacts()}
    # the one that was played to its end first
    touches = sorted(result.touch, key=lambda touch: (touch.time_s, -touch.across_v))
    return next((c for t in touches if t.time_s > 0 and (c := known.get((t.from_, t.to)))), None)


def _part(circuit: Equivalent, branch: Branch) -> Part:
    supplies = {site.supply for site in circuit.sites}
    if branch.kind == "source" or branch.of in supplies or branch.of.removesuffix(" upstream") in supplies:
        return "source"
    if branch.kind == "core":
        return "cable"
    if branch.kind == "bond":
        return "bond"
    return "ground" if branch.kind in ("electrode", "water") else "device"


def _step(edge: Edge) -> Step:
    _, _, _, branch, part = edge
    if branch is None:
        return Step(part, "")
    conductor = branch.id.rsplit(".", 1)[-1].split()[0] if part in ("cable", "device") else ""
    return Step(part, branch.of.removesuffix(" upstream"), conductor)


def _merged(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the way with neighbours that are one thing joined, also across the end; its line side first."""
    found: list[Step] = []
    for step in steps:
        if not found or (found[-1].part, found[-1].of) != (step.part, step.of):
            found.append(step)
    if len(found) > 1 and (found[0].part, found[0].of) == (found[-1].part, found[-1].of):
        found.pop()
    ahead = found[1:2]
    if ahead and (ahead[0].conductor.startswith("L") or ahead[0].part == "fault"):
        return tuple(found)
    return (found[0], *reversed(found[1:]))
