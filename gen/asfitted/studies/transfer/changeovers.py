"""Each changeover of a build: what stands on its two sides, and every load that waits behind it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from asfitted.description.kinds import InverterCharger, Load, LoadItem, Sockets, TransferSwitch
from asfitted.network.build import input_terminals
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.transfer.ways import SIDES, Side, Way, other, way


@dataclass(frozen=True)
class Behind:
    """A load that is fed through a changeover: the outlet it hangs on, its name, what is said of it."""

    outlet: str
    name: str
    load: LoadItem

    @property
    def heats(self) -> bool:
        """Whether it makes heat on purpose: nobody may be surprised by it."""
        return self.load.duty == "heater"

    @property
    def turns(self) -> bool:
        """Whether it is a motor, or takes a starting current for another reason."""
        return self.load.duty in ("motor", "machine", "compressor") or self.load.starting is not None


@dataclass(frozen=True)
class Changeover:
    """A transfer switch or the transfer of an inverter charger. `sources` has for each side what feeds it."""

    item: Item
    preferred: Side
    ways: tuple[Way, Way]
    sources: tuple[tuple[str, ...], tuple[str, ...]]
    outlets: tuple[str, ...]
    loads: tuple[Behind, ...]

    def to(self, side: Side) -> Way:
        """Return the change to one side."""
        return self.ways[SIDES.index(side)]

    def feeding(self, side: Side) -> tuple[str, ...]:
        """Return the sources that may feed one side."""
        return self.sources[SIDES.index(side)]

    @property
    def crossings(self) -> tuple[tuple[str, str], ...]:
        """Every pair of a source that may be lost and one that then takes over."""
        away = self.feeding(other(self.preferred))
        return tuple(
            (lost, taken) for lost in self.feeding(self.preferred) for taken in away if lost != taken
        )


def changeovers(network: Network, states: tuple[State, ...]) -> tuple[Changeover, ...]:
    """Return every changeover that acts by itself, in the order of the description."""
    return tuple(
        _changeover(network, states, item) for item in network.of_kind("transfer switch", "inverter charger")
    )


def output(item: Item) -> str:
    """Return the line terminal at which a changeover feeds."""
    return f"{item.id}.ac out.L" if isinstance(item.spec, InverterCharger) else f"{item.id}.out.L"


def inputs(item: Item, side: Side) -> tuple[str, str]:
    """Return line and neutral terminal of one side of a changeover."""
    port = "ac in" if isinstance(item.spec, InverterCharger) else side
    return f"{item.id}.{port}.L", f"{item.id}.{port}.N"


def _changeover(network: Network, states: tuple[State, ...], item: Item) -> Changeover:
    spec = item.spec
    preferred: Side = spec.preferred if isinstance(spec, TransferSwitch) else "source 1"
    settled = tuple(state for state in states if not state.in_transit)
    sources = tuple(
        tuple(
            dict.fromkeys(
                source
                for state in settled
                if state.position(item.id) == side
                for source in state.sources
                if state.reaches(source, output(item))
            )
        )
        for side in SIDES
    )
    outlets = tuple(
        dict.fromkeys(
            outlet
            for state in settled
            if state.position(item.id) == preferred
            for outlet in _behind(state, item)
        )
    )
    loads = tuple(
        Behind(outlet, name, load)
        for outlet in outlets
        if isinstance(spec_ := network.items[outlet].spec, Load | Sockets)
        for name, load in spec_.loads.items()
    )
    ways = (way(item, "source 1"), way(item, "source 2"))
    return Changeover(item, preferred, ways, (sources[0], sources[1]), outlets, loads)


def _behind(state: State, item: Item) -> Iterator[str]:
    """Yield what hangs on the output of a changeover: what it still reaches while it stands between its sources."""
    positions = {**dict(state.positions), item.id: "in transit"}
    between = replace(state, positions=tuple(positions.items()))
    for other_item in state.network.items.values():
        ends = input_terminals(other_item)
        if ends and other_item.id != item.id and between.live_potentials.same(output(item), ends[0]):
            yield other_item.id
