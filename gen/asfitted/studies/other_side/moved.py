"""A build moved to the other side: what each a.c. circuit is here, what it would be there, and why."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from asfitted.description.kinds import AcSupply, Breaker, Generator, Inverter, Sockets
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.auto_device import choose_devices
from asfitted.studies.other_side.crossing import appliance_a, crossed
from asfitted.studies.other_side.ends import End, Part, consumers, ends, parts
from asfitted.studies.other_side.places import places
from asfitted.studies.other_side.reasons import Why, device_reasons, outlet_reasons, size_reasons
from asfitted.studies.settled import settle
from asfitted.tables.looked import Looked
from asfitted.tables.rules import rule_set
from asfitted.tables.rules.rule_set import RuleSet
from asfitted.tables.sides import SAME_POWER, Side, rules_there, side, side_of


@dataclass(frozen=True)
class MovedDevice:
    """An a.c. circuit-breaker on both sides, and why it changes."""

    here: Item
    there: Item
    why: tuple[Why, ...]


@dataclass(frozen=True)
class MovedCable:
    """An a.c. cable on both sides, the consumers at its end, and why its size is there what it is."""

    cable: str
    consumers: tuple[str, ...]
    here: End
    there: End
    why: tuple[Why, ...]


@dataclass(frozen=True)
class Moved:
    """A build on both sides; `network` is that of there, `supply` the rating of its strongest supply.

    `parts` has what stands before the circuits, here and there. `too_large` names appliances that no outlet there
    may feed, with their current in A; `weaker` supplies that give less power there; `sites` the places that are
    described and have no counterpart.
    """

    here: Side
    there: Side
    rules: RuleSet
    other: RuleSet
    network: Network
    supply: Looked | None
    parts: tuple[tuple[str, Part, Part], ...]
    devices: tuple[MovedDevice, ...]
    cables: tuple[MovedCable, ...]
    too_large: tuple[tuple[str, float], ...]
    weaker: tuple[str, ...]
    sites: tuple[str, ...]


def moved(network: Network, states: tuple[State, ...], voltage_v: float | None = None) -> Moved | None:
    """Return a sized build with its circuits chosen anew for the other side; None where it has no a.c. source, one
    of a voltage of neither side, or one of two lines, which has no counterpart.

    `voltage_v` is the voltage there, if it is not the nominal one.
    """
    here = _side_here(network)
    if here is None or any(
        isinstance(i.spec, AcSupply) and i.spec.split_phase for i in network.items.values()
    ):
        return None
    there = side("120 V" if here.name == "230 V" else "230 V")
    if voltage_v is not None:
        there = replace(there, voltage=replace(there.voltage, value=voltage_v))
    rules = rule_set(network.description.build.rules)
    other = rule_set(rules_there(rules.name, there))
    stand = places(network, states)
    open_ = crossed(network, stand, here, there, other)
    chosen = choose_devices(open_, tuple(replace(s, network=open_) for s in states), other)
    settled, before = settle(chosen.network, chosen.states, other), settle(network, states, rules)
    was, becomes = ends(before), ends(settled)
    were, become = dict(parts(before)), dict(parts(settled))
    devices = tuple(
        MovedDevice(
            network.items[id_],
            item,
            tuple(device_reasons(settled, chosen.choices, stand, network.items[id_], item)),
        )
        for id_, item in chosen.network.items.items()
        if isinstance(item.spec, Breaker) and item.spec is not network.items[id_].spec
    )
    cables = tuple(
        MovedCable(
            id_,
            consumers(network, network.cables[id_]),
            was[id_],
            end,
            (
                *_of_outlets(network, consumers(network, network.cables[id_]), here, there),
                *size_reasons(settled, chosen.network.cables[id_], end),
            ),
        )
        for id_, end in becomes.items()
    )
    return Moved(
        here,
        there,
        rules,
        other,
        chosen.network,
        _supply(network, here, there),
        tuple((id_, part, become[id_]) for id_, part in were.items()),
        devices,
        cables,
        tuple(_too_large(network, here, there)),
        tuple(id_ for id_, part in were.items() if _weaker(network.items[id_], part, become[id_])),
        tuple(site for i in network.items.values() if isinstance(i.spec, AcSupply) for site in i.spec.at),
    )


def _side_here(network: Network) -> Side | None:
    """Return the side of a build: that of its supply, else of its generator or inverter."""
    for kind, name in ((AcSupply, "voltage_v"), (Generator, "voltage_v"), (Inverter, "ac_voltage_v")):
        for item in network.items.values():
            if isinstance(item.spec, kind) and (volts := getattr(item.spec, name)):
                return side_of(float(volts))
    return None


def _of_outlets(network: Network, ids: tuple[str, ...], here: Side, there: Side) -> Iterator[Why]:
    for id_ in ids:
        spec = network.items[id_].spec
        if isinstance(spec, Sockets):
            yield from outlet_reasons(there, (appliance_a(load, here, there) for load in spec.loads.values()))


def _supply(network: Network, here: Side, there: Side) -> Looked | None:
    """Return the rating of the supply there that stands for the strongest of here."""
    ratings = [float(i.spec.rating_a) for i in network.items.values() if isinstance(i.spec, AcSupply)]
    return there.supply_for(max(ratings) * here.voltage_v) if ratings else None


def _too_large(network: Network, here: Side, there: Side) -> Iterator[tuple[str, float]]:
    """Yield the appliances on outlets of which one alone takes more than any outlet there may feed."""
    for item in network.of_kind("sockets", "GFCI receptacle"):
        assert isinstance(item.spec, Sockets)  # noqa: S101  (asked for by kind)
        for name, load in item.spec.loads.items():
            current_a = appliance_a(load, here, there)
            if there.outlet_for(current_a) is None:
                yield name, current_a


def _weaker(item: Item, here: Part, there: Part) -> bool:
    """Tell whether a supply gives clearly less power there."""
    if not isinstance(item.spec, AcSupply):
        return False
    was, becomes = ((p.voltage_v or 0.0) * (p.rating_a or 0.0) for p in (here, there))
    return becomes < SAME_POWER * was
