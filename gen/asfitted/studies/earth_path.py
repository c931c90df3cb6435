"""The way of an earth-fault current back: protective conductors from metalwork to the neutral of
its source.
"""

from collections import deque

from asfitted.network.build import output_terminals
from asfitted.network.model import Core
from asfitted.network.states import State, is_earth


def protective_way(state: State, start: str, end: str) -> tuple[Core, ...] | None:
    """Return the protective cores with the fewest steps from one earth terminal to another; None if
    not joined.
    """
    network = state.network
    edges: dict[str, list[tuple[Core | None, str]]] = {}

    def add(core: Core | None, a: str, b: str) -> None:
        edges.setdefault(a, []).append((core, b))
        edges.setdefault(b, []).append((core, a))

    for core in network.cores.values():
        if core.conductor == "PE" or (is_earth(network, core.a) and is_earth(network, core.b)):
            add(core, core.a, core.b)
    for join in network.joins:
        if is_earth(network, join.a) and is_earth(network, join.b):
            add(None, join.a, join.b)
    for contact in state.closed:
        if contact.conductor == "PE":
            add(None, contact.a, contact.b)
    came: dict[str, tuple[str, Core | None]] = {start: ("", None)}
    waiting = deque([start])
    while waiting and end not in came:
        terminal = waiting.popleft()
        for step, other in edges.get(terminal, ()):
            if other not in came:
                came[other] = (terminal, step)
                waiting.append(other)
    if end not in came:
        return None
    found: list[Core] = []
    while end != start:
        end, passed = came[end]
        if passed:
            found.append(passed)
    return tuple(found)


def return_terminal(state: State, source: str) -> str | None:
    """Return the earth terminal at which a source's neutral is tied to earth in a state, its own
    one first.
    """
    ends = output_terminals(state.network.items[source])
    if ends is None:
        return None
    ties = [
        bond
        for bond in state.network.bonds
        if state.bond_closed(bond) and state.live_potentials.same(bond.neutral, ends[1])
    ]
    ties.sort(key=lambda bond: bond.equipment != source)
    return ties[0].earth if ties else None
