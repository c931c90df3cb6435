"""Ways through the network: from a source to a terminal, element by element, in one operating state."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.network.model import Contact, Core
from asfitted.network.states import State, carries_load, is_earth


@dataclass(frozen=True)
class Step:
    """One element passed: a core or a contact (None for a join), and the terminal reached."""

    element: Core | Contact | None
    terminal: str


def path(state: State, start: str, end: str, without: str = "") -> tuple[Step, ...] | None:
    """Return the way with the fewest elements through live conductors and closed contacts, or None if there is none.

    `without` names a piece of equipment whose contacts count as open, or a cable that counts as cut.
    """
    edges = _edges(state, without)
    came: dict[str, tuple[str, Core | Contact | None]] = {start: ("", None)}
    waiting = deque([start])
    while waiting:
        terminal = waiting.popleft()
        if terminal == end:
            return tuple(_trace(came, start, end))
        for element, other in edges.get(terminal, ()):
            if other not in came:
                came[other] = (terminal, element)
                waiting.append(other)
    return None


def _edges(state: State, without: str) -> dict[str, list[tuple[Core | Contact | None, str]]]:
    edges: dict[str, list[tuple[Core | Contact | None, str]]] = {}

    def add(element: Core | Contact | None, a: str, b: str) -> None:
        edges.setdefault(a, []).append((element, b))
        edges.setdefault(b, []).append((element, a))

    network = state.network
    for core in network.cores.values():
        if core.cable != without and carries_load(network, core):
            add(core, core.a, core.b)
    for join in network.joins:
        if not (is_earth(network, join.a) or is_earth(network, join.b)):
            add(None, join.a, join.b)
    for contact in state.closed:
        if contact.equipment != without and contact.conductor != "PE":
            add(contact, contact.a, contact.b)
    return edges


def _trace(came: dict[str, tuple[str, Core | Contact | None]], start: str, end: str) -> Iterator[Step]:
    steps: list[Step] = []
    terminal = end
    while terminal != start:
        previous, element = came[terminal]
        steps.append(Step(element, terminal))
        terminal = previous
    yield from reversed(steps)
