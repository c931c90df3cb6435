"""Ways through the network: from a source to a terminal, element by element, in one operating state."""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.network.model import Contact, Core
from asfitted.network.states import State


@dataclass(frozen=True)
class Step:
    """One element passed: a core or a contact (None for a join), and the terminal reached."""

    element: Core | Contact | None
    terminal: str


def path(state: State, start: str, end: str, without: str = "") -> tuple[Step, ...] | None:
    """Return the way with the fewest elements through live conductors and closed contacts, or None if there is none.

    `without` names a piece of equipment whose contacts count as open, or a cable that counts as cut.
    """
    came: dict[str, tuple[str, Core | Contact | None]] = {start: ("", None)}
    waiting = deque([start])
    while waiting:
        terminal = waiting.popleft()
        if terminal == end:
            return tuple(_trace(came, start, end))
        for element, other in state.live_ways.get(terminal, ()):
            if other not in came and not (without and _belongs(element, without)):
                came[other] = (terminal, element)
                waiting.append(other)
    return None


def _belongs(element: Core | Contact | None, id_: str) -> bool:
    """Tell whether an element is a core of the cable, or a contact of the equipment, of that id."""
    return element is not None and id_ == (element.cable if isinstance(element, Core) else element.equipment)


def _trace(came: dict[str, tuple[str, Core | Contact | None]], start: str, end: str) -> Iterator[Step]:
    steps: list[Step] = []
    terminal = end
    while terminal != start:
        previous, element = came[terminal]
        steps.append(Step(element, terminal))
        terminal = previous
    yield from reversed(steps)
