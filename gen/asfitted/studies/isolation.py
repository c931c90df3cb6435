"""What stays live: after one device has opened, and after everything that can be switched off has been."""

from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import Inline, Isolator
from asfitted.network.build import output_terminals
from asfitted.network.model import Item, Network
from asfitted.network.potentials import Potentials
from asfitted.network.states import State, carries_load
from asfitted.studies.results import Finding, Grade

Action = Literal[
    "unplug", "switch off supply", "stop generator", "switch off inverter", "stop engine", "open isolator"
]


@dataclass(frozen=True)
class Opened:
    """What a device leaves live in one state: on its `in` side, on its `out` side, from which sources."""

    device: str
    state: str
    live_in: tuple[str, ...]
    live_out: tuple[str, ...]


@dataclass(frozen=True)
class Isolation:
    """The acts that make a build as dead as it can be made by switching, and what stays live after them."""

    actions: tuple[tuple[Action, str], ...]
    stays_live: tuple[tuple[str, tuple[str, ...]], ...]


def potentials_without(state: State, opened: frozenset[str]) -> Potentials:
    """Return the live potentials of a state with the contacts of some equipment open."""
    network = state.network
    pairs = [(core.a, core.b) for core in network.cores.values() if carries_load(network, core)]
    pairs += [(j.a, j.b) for j in network.joins if not _crosses(network, j.a, j.b)]
    pairs += [(c.a, c.b) for c in state.closed if c.equipment not in opened and c.conductor != "PE"]
    return Potentials(pairs)


def _crosses(network: Network, a: str, b: str) -> bool:
    return a.endswith(".PE") or b.endswith(".PE")


def live_terminals(state: State) -> dict[str, str]:
    """Return the terminal of each energised source -> the source: lines of a.c., plus poles of batteries and chargers."""
    network = state.network
    found: dict[str, str] = {}
    for source in state.sources:
        ends = output_terminals(network.items[source])
        if ends:
            found[ends[0]] = source
    for item in network.items.values():
        charging = item.kind == "battery charger" and state.energised.get(f"{item.id}.L")
        if charging or item.kind in ("battery", "dc supply", "alternator", "solar array"):
            found[f"{item.id}.plus"] = item.id
        elif item.kind == "solar controller":
            found[f"{item.id}.battery.plus"] = item.id
        elif item.kind == "DC-DC charger":
            found[f"{item.id}.out.plus"] = item.id
    return found


def opened(network: Network, states: tuple[State, ...]) -> tuple[Opened, ...]:
    """Return for every in-line device and every state what stays live on its two sides when it has opened."""
    devices = [
        item for item in network.items.values() if isinstance(item.spec, Inline) and item.kind != "meter"
    ]
    return tuple(_opened(state, device) for device in devices for state in states)


def _opened(state: State, device: Item) -> Opened:
    potentials = potentials_without(state, frozenset({device.id}))
    sides: dict[str, list[str]] = {"in": [], "out": []}
    for side, sources in sides.items():
        roots = {
            potentials.find(t)
            for t in device.terminals
            if t.startswith(f"{device.id}.{side}.") and not t.endswith("N")
        }
        sources += [s for t, s in live_terminals(state).items() if potentials.find(t) in roots]
    return Opened(device.id, state.id, tuple(sides["in"]), tuple(sides["out"]))


def isolation(network: Network, states: tuple[State, ...]) -> Isolation:
    """Return the order of isolation, worst source first, and what each remaining source still holds live after it."""
    actions: list[tuple[Action, str]] = []
    for supply in network.of_kind("ac supply"):
        inlet = next(iter(network.of_kind("supply inlet")), None)
        actions.append(("unplug", inlet.id) if inlet else ("switch off supply", supply.id))
    actions += [("unplug", item.id) for item in network.of_kind("dc inlet")]
    actions += [("stop generator", item.id) for item in network.of_kind("generator")]
    actions += [("switch off inverter", item.id) for item in network.of_kind("inverter", "inverter charger")]
    actions += [("stop engine", item.id) for item in network.of_kind("alternator")]
    isolators = [item for item in network.items.values() if isinstance(item.spec, Isolator)]
    actions += [("open isolator", item.id) for item in isolators]
    dead = min(states, key=lambda state: len(state.sources))
    potentials = potentials_without(dead, frozenset(item.id for item in isolators))
    stays: list[tuple[str, tuple[str, ...]]] = []
    for source in network.of_kind("battery", "solar array"):
        root = potentials.find(f"{source.id}.plus")
        held = [
            item.id
            for item in network.items.values()
            if item.id != source.id and any(potentials.find(t) == root for t in item.terminals)
        ]
        stays.append((source.id, tuple(held)))
    return Isolation(tuple(actions), tuple(stays))


def isolator_findings(network: Network, states: tuple[State, ...]) -> tuple[Finding, ...]:
    """Return the house batteries and solar arrays that no isolator parts from what they feed or charge."""
    found: list[Finding] = []
    isolators = frozenset(i.id for i in network.items.values() if isinstance(i.spec, Isolator))
    potentials = potentials_without(states[0], isolators)
    for source in network.of_kind("battery", "solar array"):
        root = potentials.find(f"{source.id}.plus")
        wanted = (
            ("solar controller",)
            if source.kind == "solar array"
            else ("inverter", "inverter charger", "load")
        )
        reached = [
            item
            for item in network.of_kind(*wanted)
            if any(potentials.find(t) == root for t in item.terminals if t.endswith("plus"))
        ]
        # What hangs before the isolator on purpose, such as an alarm, is no reason to call the battery unswitched.
        switched = any(
            network.owner[t] in isolators
            for t in network.owner
            if potentials.find(t) == root and t.endswith(("in.plus", "out.plus"))
        )
        if reached and not switched and getattr(source.spec, "use", "house") == "house":
            code = "array-without-isolator" if source.kind == "solar array" else "battery-without-isolator"
            fields: dict[str, object] = {"battery": source.id}
            found.append(Finding(code, Grade.IMPROVEMENT, (source.id,), source.mark, fields=fields))
    return tuple(found)
