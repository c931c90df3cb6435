"""Where the a.c. devices of a build stand: behind a supply, before outlets, first to open on leakage."""

from collections.abc import Mapping
from dataclasses import dataclass

from asfitted.description.kinds import AcSupply, GfciBreaker, Rcbo
from asfitted.network.build import output_lines
from asfitted.network.model import Contact, Item, Network
from asfitted.network.states import State
from asfitted.studies.feeding import Tree, overcurrent_device, tree


@dataclass(frozen=True)
class Places:
    """Where devices stand: `mains` maps the first device behind a supply to that supply, `outlets` each group of
    socket-outlets to the device nearest before it. `first_residual` are the devices with a residual current release
    that are the first on some way from a source.
    """

    mains: Mapping[str, str]
    outlets: Mapping[str, str]
    first_residual: frozenset[str]


def places(network: Network, states: tuple[State, ...]) -> Places:
    """Return where the a.c. devices of a build stand."""
    mains: dict[str, str] = {}
    outlets: dict[str, str] = {}
    first: set[str] = set()
    for state in states:
        for source in state.sources:
            for root in output_lines(network.items[source]):
                ways = tree(state, root)
                if isinstance(network.items[source].spec, AcSupply):
                    mains |= dict.fromkeys(ways.first_devices(root), source)
                for item in network.items.values():
                    passed = _passed(ways, item)
                    if passed and item.kind in ("sockets", "GFCI receptacle"):
                        outlets[item.id] = passed[-1]
                    residual = [
                        id_ for id_ in passed if isinstance(network.items[id_].spec, Rcbo | GfciBreaker)
                    ]
                    first |= set(residual[:1])
    return Places(mains, outlets, frozenset(first))


def _passed(ways: Tree, item: Item) -> tuple[str, ...]:
    """Return the overcurrent devices on the way to a piece of equipment, in the order in which they are passed."""
    line = next((t for t in item.terminals if t in ways.came), None)
    way = ways.way(line) if line else ()
    return tuple(e.equipment for e in way if isinstance(e, Contact) and overcurrent_device(ways.network, e))
