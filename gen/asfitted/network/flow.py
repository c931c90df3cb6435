"""Division of load current over the conductors: nodal analysis with the loads as current injections.

Contacts and bars are one potential here (their few milliohms matter to fault currents, not to load currents).
Each side of a circuit (line and neutral, plus and minus) is a network of its own, fed at its source terminal.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from asfitted.network.model import Core, Network
from asfitted.network.potentials import Potentials
from asfitted.network.states import State


@dataclass(frozen=True)
class Injection:
    """A load: it takes `current_a` (a phasor for a.c.) out at terminal `out` and returns it at terminal `back`.

    A source that feeds in, such as a charger, is a negative load.
    """

    item: str
    out: str
    back: str
    current_a: complex


@dataclass(frozen=True)
class Flow:
    """The current in each core (from its end a to its end b) and the drop from the source to each load, out and back."""

    core_a: dict[str, complex]
    drop_v: dict[str, complex]
    unreached: tuple[str, ...]


def solve(
    state: State,
    source: tuple[str, str],
    injections: Iterable[Injection],
    resistance_ohm: Callable[[Core], complex],
) -> Flow:
    """Return how the currents of `injections` divide over the cores between them and the terminals of `source`.

    `resistance_ohm` gives the impedance of a core at its operating temperature. Loads that the source does not reach
    are returned in `unreached` and carry nothing. Result: amperes and volts, phasors for a.c.
    """
    injections = tuple(injections)
    nodes = _nodes(state)
    out = _side(
        state.network, nodes, source[0], [(i.item, i.out, i.current_a) for i in injections], resistance_ohm
    )
    back = _side(
        state.network, nodes, source[1], [(i.item, i.back, -i.current_a) for i in injections], resistance_ohm
    )
    unreached = tuple(i.item for i in injections if i.item not in out.drop_v or i.item not in back.drop_v)
    drops = {i.item: out.drop_v[i.item] - back.drop_v[i.item] for i in injections if i.item not in unreached}
    return Flow({**out.core_a, **back.core_a}, drops, unreached)


def _nodes(state: State) -> Potentials:
    """Return the potentials of the network with its contacts closed as in the state, cores left out."""
    pairs = [(join.a, join.b) for join in state.network.joins]
    pairs += [(contact.a, contact.b) for contact in state.closed]
    return Potentials(pairs)


@dataclass(frozen=True)
class _Side:
    core_a: dict[str, complex]
    drop_v: dict[str, complex]


def _side(
    network: Network,
    nodes: Potentials,
    source: str,
    loads: list[tuple[str, str, complex]],
    resistance_ohm: Callable[[Core], complex],
) -> _Side:
    """Solve one side: the source terminal is the reference, each load draws its current out of its terminal's node."""
    cores = [core for core in network.cores.values() if core.conductor not in ("PE", "bond")]
    branches = [(core, nodes.find(core.a), nodes.find(core.b)) for core in cores]
    reference = nodes.find(source)
    reached = _reached(reference, [(a, b) for _, a, b in branches])
    index = {node: number for number, node in enumerate(sorted(reached - {reference}))}
    branches = [branch for branch in branches if branch[1] in reached and branch[1] != branch[2]]
    admittance = np.zeros((len(index), len(index)), dtype=complex)
    for core, a, b in branches:
        y = 1 / resistance_ohm(core)
        for node, other in ((a, b), (b, a)):
            if node in index:
                admittance[index[node], index[node]] += y
                if other in index:
                    admittance[index[node], index[other]] -= y
    drawn = np.zeros(len(index), dtype=complex)
    placed = [(item, nodes.find(terminal), current) for item, terminal, current in loads]
    for _, node, current in placed:
        if node in index:
            drawn[index[node]] -= current
    potential = np.linalg.solve(admittance, drawn) if len(index) else drawn
    volts = {node: complex(potential[number]) for node, number in index.items()} | {reference: 0j}
    core_a = {core.id: (volts[a] - volts[b]) / resistance_ohm(core) for core, a, b in branches}
    return _Side(core_a, {item: -volts[node] for item, node, _ in placed if node in volts})


def _reached(start: str, pairs: list[tuple[str, str]]) -> set[str]:
    """Return the nodes that can be walked to from `start`."""
    neighbours: dict[str, list[str]] = {}
    for a, b in pairs:
        neighbours.setdefault(a, []).append(b)
        neighbours.setdefault(b, []).append(a)
    reached, open_nodes = {start}, [start]
    while open_nodes:
        for node in neighbours.get(open_nodes.pop(), ()):
            if node not in reached:
                reached.add(node)
                open_nodes.append(node)
    return reached
