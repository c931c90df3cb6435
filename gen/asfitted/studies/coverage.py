"""Which residual current devices see which outlet in which state, found by opening each device in turn."""

from dataclasses import dataclass

from asfitted.description.kinds import AcSupply, GfciBreaker, GfciReceptacle, Rcbo, Rcd
from asfitted.network.build import input_terminals
from asfitted.network.model import Item
from asfitted.network.paths import path
from asfitted.network.states import State
from asfitted.studies.bonding import Island

#: Class A ground-fault circuit interrupter, UL 943: trips between 4 and 6 mA
GFCI_A = 0.006


@dataclass(frozen=True)
class Coverage:
    """One outlet or fixed appliance in one state: what feeds it and which residual current devices see its faults.

    `line_through` and `neutral_through` are the devices that the one and the other pass on their way from the
    source, `aboard` those that both pass; `neutral_through` is None where the neutral does not lead to the source.
    """

    state: str
    outlet: str
    source: str
    aboard: tuple[str, ...]
    at_site: bool
    can_trip: bool
    line_through: tuple[str, ...]
    neutral_through: tuple[str, ...] | None

    @property
    def protected(self) -> bool:
        """Whether a device aboard sees a fault to earth and the island's tie lets its current flow."""
        return bool(self.aboard) and self.can_trip


def residual_a(item: Item) -> float | None:
    """Return the rated residual operating current of a device in amperes, or None."""
    spec = item.spec
    if isinstance(spec, Rcd | Rcbo):
        return float(spec.residual_a)
    return GFCI_A if isinstance(spec, GfciBreaker | GfciReceptacle) else None


def coverage(state: State, islands: tuple[Island, ...]) -> tuple[Coverage, ...]:
    """Return the coverage of every consumer that is fed in a state."""
    found: list[Coverage] = []
    for source in state.sources:
        item = state.network.items[source]
        at_site = isinstance(item.spec, AcSupply) and item.spec.upstream.residual_a is not None
        ties = next((i.effective for i in islands if source in i.sources), ())
        for outlet in state.feeding[source]:
            line, neutral = _devices(state, source, outlet)
            aboard = tuple(device for device in line if device in (neutral or ()))
            # A device sees a fault only if the current returns outside it: by a tie on its source side.
            sees = any(device not in tie.load_side_of for tie in ties for device in aboard)
            can_trip = sees or (bool(ties) and not aboard)
            found.append(Coverage(state.id, outlet, source, aboard, at_site, can_trip, line, neutral))
    return tuple(found)


def _devices(state: State, source: str, outlet: str) -> tuple[tuple[str, ...], tuple[str, ...] | None]:
    """Return the devices that the line of an outlet passes, and those of its neutral: None if that does not lead
    to the source.
    """
    consumer = input_terminals(state.network.items[outlet])
    ends = state.ends(source, consumer[0]) if consumer else None
    if ends is None or consumer is None:
        return (), ()
    item = state.network.items[outlet]
    own = (outlet,) if isinstance(item.spec, GfciReceptacle) else ()
    others = [i for i in state.network.items.values() if i.id != outlet and residual_a(i) is not None]
    line, neutral = (
        tuple(item.id for item in others if _passes(state, end, terminal, item))
        for end, terminal in zip(ends, consumer, strict=True)
    )
    returns = state.live_potentials.same(ends[1], consumer[1]) or not consumer[1].endswith("N")
    return (*line, *own), (*neutral, *own) if returns else None


def _passes(state: State, start: str, end: str, device: Item) -> bool:
    """Tell whether every way from start to end goes through the device's sensor.

    A single-pole residual device passes its neutral through the sensor unswitched, so its own metal counts as well.
    """
    way = path(state, start, end)
    if way is None:
        return False
    if path(state, start, end, without=device.id) is None:
        return True
    terminals = {start, *(step.terminal for step in way)}
    return any(terminal.startswith(f"{device.id}.in.") for terminal in terminals) and any(
        terminal.startswith(f"{device.id}.out.") for terminal in terminals
    )
