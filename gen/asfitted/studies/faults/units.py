"""Everything in a build that can open, stop or move when a fault flows, as arrays over which all cases are
judged at once.

A unit is a protective device, a source's own limit, or a transfer switch.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from asfitted.description.kinds import (
    Breaker,
    Fuse,
    GfciBreaker,
    GfciReceptacle,
    InverterCharger,
    Rcbo,
    Rcd,
    SelectorSwitch,
    TransferSwitch,
)
from asfitted.network.equivalent import Equivalent
from asfitted.network.model import Item
from asfitted.network.supply_parts import upstream_device
from asfitted.studies.faults.curves import Pair, Residual, breaker, fuse, gfci, rcd
from asfitted.tables.circuit_defaults import circuit_default


@dataclass(frozen=True)
class Device:
    """A protective device: the branches it senses, those it opens, and its releases.

    Sensed and opened are two lists: a 1P+N breaker senses one conductor and opens two. `supply` are the nodes
    between which it needs voltage to trip. `rated_a` is its rated current.
    """

    id: str
    sensed: tuple[int, ...]
    summed: tuple[int, ...]
    opens: tuple[int, ...]
    overcurrent: Pair | None
    residual: Residual | None
    direct: bool = False
    supply: tuple[str, str] | None = None
    rated_a: float = 0.0


@dataclass(frozen=True)
class Transfer:
    """A transfer switch that moves by itself: where its two sides are, and its times in s."""

    id: str
    sides: tuple[tuple[str, str], tuple[str, str]]
    preferred: int
    away_s: tuple[float, float]
    back_s: tuple[float, float]
    inverts: bool

    @property
    def name(self) -> str:
        """The name of the switch as a unit: an inverter charger is a source under its own."""
        return f"{self.id} transfer" if self.inverts else self.id


@dataclass(frozen=True)
class Units:
    """The devices, source limits and transfer switches of an equivalent circuit, in this order."""

    equivalent: Equivalent

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        """Every protective device, those of the sites included."""
        items = [_device(self.equivalent, item) for item in self.equivalent.network.items.values()]
        return (*(device for device in items if device), *_upstream(self.equivalent))

    @cached_property
    def transfers(self) -> tuple[Transfer, ...]:
        """Every transfer switch that is not moved by hand."""
        found = [_transfer(self.equivalent, item) for item in self.equivalent.network.items.values()]
        return tuple(transfer for transfer in found if transfer)

    @cached_property
    def sensed(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """The sensed branches of all devices with overcurrent release, and where each device's begin."""
        return _ranges([device.sensed if device.overcurrent else () for device in self.devices])

    @cached_property
    def summed(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """The branches whose currents each residual release adds up, and where each device's begin."""
        return _ranges([device.summed if device.residual else () for device in self.devices])


def _ranges(lists: list[tuple[int, ...]]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    flat = [branch for branches in lists for branch in branches]
    owner = [number for number, branches in enumerate(lists) for _ in branches]
    return np.array(flat, dtype=np.int64), np.array(owner, dtype=np.int64)


def _device(equivalent: Equivalent, item: Item) -> Device | None:
    spec = item.spec
    contacts = [
        (equivalent.contact_of[number], contact.conductor)
        for number, contact in enumerate(equivalent.network.contacts)
        if contact.equipment == item.id
    ]
    poles = tuple(branch for branch, _ in contacts)
    passes = equivalent.passes.get(item.id, ())
    direct = any(conductor in ("plus", "minus") for _, conductor in contacts)
    sensed = poles
    if getattr(spec, "poles", None) == "1P+N":
        sensed = tuple(branch for branch, conductor in contacts if conductor != "N")
    overcurrent = None
    if isinstance(spec, Breaker):
        overcurrent = breaker(spec.curve, spec.rating_a, direct)
    elif isinstance(spec, Fuse):
        overcurrent = fuse(spec.type, spec.rating_a)
    residual = None
    supply = None
    if isinstance(spec, Rcd | Rcbo):
        residual = rcd(spec.residual_a, spec.residual_type, spec.delay)
    elif isinstance(spec, GfciBreaker | GfciReceptacle):
        residual = gfci()
        supply = _supply(equivalent, item)
    if overcurrent is None and residual is None:
        return None
    opens = poles or passes  # the contacts of a receptacle are those of its sensor
    return Device(
        item.id, sensed, (*poles, *passes), opens, overcurrent, residual, direct, supply,
        float(getattr(spec, "rating_a", 0) or 0),
    )  # fmt: skip


def _supply(equivalent: Equivalent, item: Item) -> tuple[str, str] | None:
    port = "" if isinstance(item.spec, GfciReceptacle) else "in."
    ends = [equivalent.node_of.get(f"{item.id}.{port}{c}") for c in ("L", "N")]
    return (ends[0], ends[1]) if ends[0] and ends[1] else None


def _upstream(equivalent: Equivalent) -> list[Device]:
    found = []
    for site in equivalent.sites:
        name, spec = upstream_device(site.supply), site.spec.upstream
        poles = {
            branch.id.rsplit(".", 1)[-1]: number
            for number, branch in enumerate(equivalent.circuit.branches)
            if branch.of == name
        }
        lines = tuple(number for conductor, number in poles.items() if conductor != "N")
        sides = tuple(poles.values())
        # with the conductors crossed before it the device stands in the line of the site all the same
        crossed = site.reversed_ and "N" in poles and len(lines) == 1
        line = (poles["N"],) if crossed else lines
        residual = rcd(spec.residual_a, spec.residual_type or "A", "none") if spec.residual_a else None
        opens = sides if residual or site.line_to_line else line
        pair = breaker(spec.curve, spec.rating_a)
        sensed = sides if site.line_to_line else line
        found.append(Device(name, sensed, sides, opens, pair, residual, rated_a=spec.rating_a))
    return found


def _transfer(equivalent: Equivalent, item: Item) -> Transfer | None:
    spec = item.spec
    node = equivalent.node_of
    if isinstance(spec, InverterCharger):
        ports = ("ac in", "ac out")
        preferred = 0
    elif isinstance(spec, TransferSwitch) and not isinstance(spec, SelectorSwitch):
        ports = ("source 1", "source 2")
        preferred = 0 if spec.preferred == "source 1" else 1
    else:
        return None
    sides = tuple((node[f"{item.id}.{port}.L"], node[f"{item.id}.{port}.N"]) for port in ports)
    ways = [_times(claims) for claims in (spec.to_source_1, spec.to_source_2)]
    away, back = ways[1 - preferred], ways[preferred]
    wait = circuit_default("return delay", "least").value
    return Transfer(
        item.id, (sides[0], sides[1]), preferred, away, (back[0] + wait, back[1] + wait),
        isinstance(spec, InverterCharger),
    )  # fmt: skip


def _times(claims: object) -> tuple[float, float]:
    """Return the longest and the shortest time of what is claimed or measured of a transfer switch."""
    values = [claim.value for claim in claims] if isinstance(claims, tuple) else []
    if not values:
        quantity = "transfer time"
        return circuit_default(quantity, "least").value, circuit_default(quantity, "greatest").value
    return max(values), min(values)
