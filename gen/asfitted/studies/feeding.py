"""From one source outwards: by which way each terminal is fed, and which overcurrent devices lie on it."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from asfitted.description.kinds import Breaker, Fuse
from asfitted.network.model import Contact, Core, Network
from asfitted.network.states import State, carries_load, is_earth

Element = Core | Contact
PROTECTIVE = ("breaker", "RCBO", "GFCI breaker", "fuse")


def overcurrent_device(network: Network, element: Element | None) -> Breaker | Fuse | None:
    """Return the device whose pole `element` is, if it protects against overcurrent."""
    if isinstance(element, Contact):
        spec = network.items[element.equipment].spec
        if isinstance(spec, Breaker | Fuse):
            return spec
    return None


@dataclass(frozen=True)
class Tree:
    """The ways with the fewest elements from the terminal `root` to every terminal it feeds in one state.

    `came` maps a terminal to the one before it and the element between them (None for a join).
    """

    network: Network
    root: str
    came: dict[str, tuple[str, Element | None]]

    def way(self, terminal: str) -> tuple[Element, ...]:
        """Return the cores and contacts from the root to `terminal`, which must be fed."""
        found: list[Element] = []
        while terminal != self.root:
            terminal, element = self.came[terminal]
            if element is not None:
                found.append(element)
        return tuple(reversed(found))

    def fed_end(self, core: Core) -> str | None:
        """Return the end at which the source feeds a core, or None if it does not reach it."""
        if core.a not in self.came or core.b not in self.came:
            return None
        return core.b if self.came[core.a][1] is core else core.a

    @cached_property
    def _after(self) -> dict[str, list[str]]:
        after: dict[str, list[str]] = {}
        for terminal, (previous, _) in self.came.items():
            if terminal != self.root:
                after.setdefault(previous, []).append(terminal)
        return after

    def terminals(self, terminal: str) -> tuple[str, ...]:
        """Return every terminal on the way from the root to `terminal`, both included."""
        found = [terminal]
        while terminal != self.root:
            terminal = self.came[terminal][0]
            found.append(terminal)
        return tuple(reversed(found))

    def far_end(self, core: Core) -> str:
        """Return the end of a core at which the source feeds on; the core must be fed."""
        return core.b if self.fed_end(core) == core.a else core.a

    def first_devices(self, terminal: str) -> tuple[str, ...]:
        """Return the first overcurrent device on each branch that leads on from `terminal`."""
        return tuple(dict.fromkeys(id_ for id_, _ in self._beyond(terminal) if id_))

    def unprotected_terminals(self, terminal: str) -> tuple[str, ...]:
        """Return the terminals fed through `terminal` without an overcurrent device in between."""
        return tuple(reached for id_, reached in self._beyond(terminal) if not id_)

    def _beyond(self, terminal: str) -> Iterator[tuple[str, str]]:
        waiting = [terminal]
        while waiting:
            reached = waiting.pop()
            element = self.came[reached][1]
            if (
                reached != terminal
                and isinstance(element, Contact)
                and overcurrent_device(self.network, element)
            ):
                yield element.equipment, reached
            else:
                yield "", reached
                waiting += self._after.get(reached, [])


def tree(state: State, root: str) -> Tree:
    """Return the ways from `root` through live conductors and the contacts closed in `state`."""
    network = state.network
    edges: dict[str, list[tuple[Element | None, str]]] = {}

    def add(element: Element | None, a: str, b: str) -> None:
        edges.setdefault(a, []).append((element, b))
        edges.setdefault(b, []).append((element, a))

    for core in network.cores.values():
        if carries_load(network, core):
            add(core, core.a, core.b)
    for join in network.joins:
        if not (is_earth(network, join.a) or is_earth(network, join.b)):
            add(None, join.a, join.b)
    for contact in state.closed:
        if contact.conductor != "PE":
            add(contact, contact.a, contact.b)
    came: dict[str, tuple[str, Element | None]] = {root: ("", None)}
    waiting = deque([root])
    while waiting:
        terminal = waiting.popleft()
        for element, other in edges.get(terminal, ()):
            if other not in came:
                came[other] = (terminal, element)
                waiting.append(other)
    return Tree(network, root, came)
