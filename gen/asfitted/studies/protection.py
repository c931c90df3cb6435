"""Which device protects a cable against overcurrent from one source, and whether its place is allowed.

For each way in which a source feeds a cable: the nearest device before it, the first devices behind it, the
length that lies before any device. IEC 60364-4-43: 433.1 coordination, 433.2.2 and 433.3.1 place of the
overload device, 434.2.1 length without short-circuit protection, 436 sources that cannot deliver more than
the cable carries.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import AcSupply, Fuse, Isolator, Rcd
from asfitted.network.model import Cable, Contact, Core, Network
from asfitted.studies.feeding import Tree, overcurrent_device
from asfitted.studies.scenario import Scenario
from asfitted.tables.devices import conventional_currents
from asfitted.tables.looked import Looked, NoRowError, Verified, weakest

#: by a device before it, by what lies behind it, by what its source can deliver, or not
Manner = Literal["before", "behind", "source", "too large", "none"]
#: I2 of a device that no table lists, as a multiple of its rating
ASSUMED_I2 = 1.45


@dataclass(frozen=True)
class Device:
    """An overcurrent device as seen by a cable: its id (that of the supply for the site's own), rating and
    I2.
    """

    id: str
    rating_a: float
    i2_a: float
    source: str
    verified: Verified


@dataclass(frozen=True)
class Protection:
    """How a cable is protected while one source feeds it.

    `device` limits the current for long, several behind the cable as one (None if only the source or the
    loads do); `limit_a` is the current that may flow for long. `before` is the nearest device on the source
    side: it clears a short-circuit in the cable. `unprotected_m` is the length to the end of the cable from
    the source, or from where cables became too thin for `before`. `dead_end`: nothing is connected behind
    the cable. `open_way` names the cables of that length. `shared`: it is the
    neutral of several lines that is meant.
    """

    cable: str
    source: str
    manner: Manner
    device: Device | None
    limit_a: float
    before: Device | None
    unprotected_m: float
    dead_end: bool = False
    open_way: tuple[str, ...] = ()
    shared: bool = False


def device_name(spec: object) -> str:
    """Return the name under which the tables list a device."""
    if isinstance(spec, Fuse):
        return f"fuse {spec.type}"
    return spec.KIND if isinstance(spec, Isolator | Rcd) else "breaker"


def device(network: Network, id_: str) -> Device:
    """Return an overcurrent device, or the protective device of the site for an a.c. supply."""
    spec = network.items[id_].spec
    rating = float(spec.upstream.rating_a if isinstance(spec, AcSupply) else getattr(spec, "rating_a", 0.0))
    name = "breaker" if isinstance(spec, AcSupply) else device_name(spec)
    try:
        i2 = conventional_currents(name, rating)[1]
    except NoRowError:
        i2 = Looked(ASSUMED_I2 * rating, "", "assumed")
    return Device(id_, rating, i2.value, i2.source, i2.verified)


def devices_before(tree: Tree, terminal: str, source: str) -> tuple[Device, ...]:
    """Return the overcurrent devices on the way from a source to a terminal, the nearest to the terminal
    first.
    """
    network = tree.network
    found = [
        device(network, element.equipment)
        for element in reversed(tree.way(terminal))
        if isinstance(element, Contact) and overcurrent_device(network, element)
    ]
    if isinstance(network.items[source].spec, AcSupply):
        found.append(device(network, source))
    return tuple(found)


@dataclass(frozen=True)
class Feed:
    """A source as it feeds: its tree, what it can deliver for long, and what each unprotected consumer
    behind may draw.

    `drawn_a` maps a terminal to the largest current that fixed equipment takes there; sockets have none.
    """

    source: str
    tree: Tree
    limit_a: float
    drawn_a: Callable[[str], float]


@dataclass(frozen=True)
class Abilities:
    """What cables carry for long, and the largest device that the rules let protect them, in A by
    cable id.
    """

    carries_a: Callable[[str], float]
    device_a: Callable[[str], float]


def protect(feed: Feed, cable: Cable, core: Core, able: Abilities) -> Protection | None:
    """Return how `core` of `cable` is protected while `feed` feeds it; None if it does not."""
    near = feed.tree.fed_end(core)
    if near is None:
        return None
    limit = able.carries_a(cable.id)
    before = devices_before(feed.tree, near, feed.source)
    nearest = before[0] if before else None
    behind = feed.tree.first_devices(feed.tree.far_end(core))
    foreseeable, open_a = foreseeable_a(feed, feed.tree.far_end(core))
    unprotected = unprotected_cables(feed.tree, cable, near, able.device_a, nearest)

    def result(manner: Manner, chosen: Device | None, limit_a: float, length_m: float = 0.0) -> Protection:
        dead_end = manner in ("too large", "none") and not behind and not open_a
        open_way = tuple(unprotected) if length_m else ()
        return Protection(
            cable.id, feed.source, manner, chosen, limit_a, nearest, length_m, dead_end, open_way
        )

    if nearest and nearest.rating_a <= able.device_a(cable.id):
        return result("before", nearest, nearest.rating_a)
    if feed.limit_a <= limit:
        return result("source", None, feed.limit_a)
    length = sum(feed.tree.network.cables[id_].length_m for id_ in unprotected)
    together = _together([device(feed.tree.network, id_) for id_ in behind]) if not open_a else None
    # several devices together are held against what the cable carries, one alone against what may protect it
    bound = able.device_a(cable.id) if len(behind) == 1 and not open_a else limit
    if behind and foreseeable <= bound:
        return result("behind", together, foreseeable, length)
    if nearest:
        return result("too large", nearest, nearest.rating_a, length)
    if together is None and math.isfinite(feed.limit_a):
        return result("too large", None, feed.limit_a, length)
    return result("none", together, foreseeable, length)


def _together(found: Sequence[Device]) -> Device | None:
    """Return several devices as one that lets through what they let through together."""
    if not found:
        return None
    names = " + ".join(d.id for d in found)
    source = "; ".join(dict.fromkeys(d.source for d in found))
    verified = weakest(*(d.verified for d in found))
    return Device(names, sum(d.rating_a for d in found), sum(d.i2_a for d in found), source, verified)


def foreseeable_a(feed: Feed, terminal: str) -> tuple[float, float]:
    """Return the most that devices and equipment beyond a terminal let through for long, and the part
    without device.
    """
    rated = sum(device(feed.tree.network, id_).rating_a for id_ in feed.tree.first_devices(terminal))
    open_a = sum(feed.drawn_a(reached) for reached in feed.tree.unprotected_terminals(terminal))
    return rated + open_a, open_a


def protect_return(
    scenario: Scenario, trees: tuple[Tree, Tree], cable: Cable, core: Core, able: Abilities
) -> Protection | None:
    """Return how a conductor that only returns current is protected in a scenario; None if it carries
    nothing there.

    Its current is that of the consumers behind it: a device through which all of them are fed limits it, or
    the nearest devices of each together, whichever is less.
    """
    out, back = trees
    behind = [
        i
        for i in scenario.injections
        if i.back in back.came and i.out in out.came and core in back.way(i.back)
    ]
    if not behind:
        return None
    chains = [devices_before(out, i.out, scenario.source) for i in behind]
    common = [d for d in chains[0] if all(d in chain for chain in chains)]
    nearest = list(dict.fromkeys(chain[0] for chain in chains if chain))
    open_a = sum(abs(i.current_a) for i, chain in zip(behind, chains, strict=True) if not chain)
    limiting = None if open_a else _together(nearest)
    let_through = sum(d.rating_a for d in nearest) + open_a
    smallest = min(common, key=lambda d: d.rating_a, default=None)
    if smallest and smallest.rating_a <= let_through:
        limiting, let_through = smallest, smallest.rating_a
    bound = able.device_a if limiting and " + " not in limiting.id else able.carries_a
    manner: Manner = "too large" if let_through > bound(cable.id) else "before" if common else "behind"
    return Protection(cable.id, scenario.source, manner, limiting, let_through, limiting, 0)


def unprotected_cables(
    tree: Tree, cable: Cable, near: str, device_a: Callable[[str], float], nearest: Device | None
) -> tuple[str, ...]:
    """Return the cables to the end of `cable` from the source, or from where they became too thin for
    `nearest`.
    """
    found = [cable.id]
    for element in reversed(tree.way(near)):
        if isinstance(element, Contact):
            if overcurrent_device(tree.network, element):
                break
            continue
        if nearest and device_a(element.cable) >= nearest.rating_a:
            break
        found.append(element.cable)
    return tuple(dict.fromkeys(found))
