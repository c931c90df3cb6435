"""What a person can touch at once, which voltage lies across the body, and what it does there."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfitted.network.circuit import EARTH
from asfitted.network.equivalent import Equivalent, cases_of
from asfitted.network.settle import Complex, Real
from asfitted.network.states import State
from asfitted.tables.body import Percentile, Way, Zone, body_impedance_ohm, body_ohm, zone

Person = Literal["inside", "outside", "in the water"]

#: conventional touch voltage limits, a.c. and d.c. (IEC 60364-4-41)
LIMIT_V = 50.0
LIMIT_WET_V = 25.0
LIMIT_DC_V = 120.0
#: two voltages across a body that differ by less are the same
STILL = 1e-6


@dataclass(frozen=True)
class Part:
    """Something that can be touched: a case, the structure, a bare pin."""

    name: str
    node: str


@dataclass(frozen=True)
class Contact:
    """Two things touched at once by a person; `to` is true earth for somebody outside or in the water.

    The feet stand on earth, in the water or on the structure; between two other parts the way is from hand to hand.
    """

    person: Person
    from_: Part
    to: Part
    way: Way = "hand to feet"

    @property
    def port(self) -> tuple[str, str]:
        """The nodes between which the body lies."""
        return self.from_.node, self.to.node

    @property
    def limit_v(self) -> float:
        """The touch voltage that may last."""
        return LIMIT_WET_V if self.person == "in the water" else LIMIT_V


GROUND = Part("the ground", EARTH)
WATER = Part("the water", EARTH)


@dataclass(frozen=True)
class Felt:
    """What a body between two parts feels: voltage before it is there, across it, current through it.

    The body is one that bears least, of five in a hundred people; `typical_a` flows through that of the median.
    """

    prospective_v: float
    across_v: float
    current_a: float
    impedance_ohm: float
    typical_a: float = 0.0


@dataclass(frozen=True)
class Worst:
    """The greatest voltage in each case and the numbers of the parts between which it lies (−1: true
    earth).
    """

    volts: Real
    a: NDArray[np.int64]
    b: NDArray[np.int64]


@dataclass(frozen=True)
class Metalwork:
    """Everything that can be touched in a state; `structure` is the number of the structure among the
    parts.
    """

    parts: tuple[Part, ...]
    structure: int | None
    boat: bool
    numbers: NDArray[np.int64]

    def worst(self, x: Complex, islands: NDArray[np.int64]) -> tuple[Worst, Worst]:
        """Return in each case the greatest prospective voltage to true earth, and between two parts.

        islands: (cases × nodes, true earth last); two nodes of different islands have no voltage.
        """
        v = x[self.numbers]
        island = islands[:, self.numbers].T
        grounded = island == islands[:, -1]
        count = np.arange(x.shape[1])
        to_earth = np.where(grounded, np.abs(v), 0)
        first = to_earth.round(3).argmax(axis=0)  # the first of those alike but for rounding
        outside = Worst(to_earth[first, count], first, np.full(len(count), -1))
        # farthest point from the structure, then farthest from that one: the widest pair of the metalwork
        centre = self.structure if self.structure is not None else 0
        from_centre = np.where(island == island[centre], np.abs(v - v[centre]), 0)
        a = from_centre.round(3).argmax(axis=0)
        from_a = np.where(island == island[a, count], np.abs(v - v[a, count]), 0)
        b = from_a.round(3).argmax(axis=0)
        return outside, Worst(from_a[b, count], a, b)

    def contact(self, outside: bool, a: int, b: int) -> Contact:
        """Return who touches what: part `a` and the ground, or parts `a` and `b`."""
        if outside:
            wet = self.boat and a == self.structure
            return Contact("in the water" if wet else "outside", self.parts[a], WATER if wet else GROUND)
        if self.structure not in (a, b):
            return Contact("inside", self.parts[a], self.parts[b], "hand to hand")
        if b == self.structure:
            return Contact("inside", self.parts[a], self.parts[b])
        return Contact("inside", self.parts[b], self.parts[a])

    def contacts(self) -> Iterator[Contact]:
        """Yield every part with the ground, with the structure, and a structure afloat with the water."""
        for number in range(len(self.parts)):
            yield self.contact(True, number, -1)
            if self.structure is not None and number != self.structure:
                yield self.contact(False, number, self.structure)


def metalwork(equivalent: Equivalent, state: State) -> Metalwork | None:
    """Return what can be touched in a state: cases, structure, and the pins of an inlet that is not plugged
    in.
    """
    network, node_of = equivalent.network, equivalent.node_of
    found: dict[str, Part] = {}
    structure = next((item.id for item in network.of_kind("structure") if item.id in node_of), None)
    if structure is not None:
        found[node_of[structure]] = Part(structure, node_of[structure])
    unplugged = {id_ for id_, condition in state.conditions if condition == "unplugged"}
    for item in network.items.values():
        if item.kind == "ac supply":
            continue
        for terminal in cases_of(item, node_of):
            ashore = terminal.startswith(f"{item.id}.coupler.") and unplugged
            if not ashore:
                found.setdefault(node_of[terminal], Part(item.id, node_of[terminal]))
        if item.kind == "supply inlet" and unplugged:
            for conductor in ("L", "L1", "L2", "N"):
                pin = f"{item.id}.pins.{conductor}"
                if pin in node_of:
                    found.setdefault(node_of[pin], Part(pin, node_of[pin]))
    parts = tuple(part for part in found.values() if part.node in equivalent.circuit.node_index)
    if not parts:
        return None
    numbers = np.array([equivalent.circuit.node_index[part.node] for part in parts])
    dry = any(site.ashore for site in equivalent.sites)
    afloat = network.description.build.setting == "boat" and not dry
    return Metalwork(parts, 0 if structure is not None else None, afloat, numbers)


def felt(
    prospective_v: complex, impedance_ohm: complex, percentile: Percentile = 5, floor_ohm: float = 0
) -> Felt:
    """Return what a body feels at a port with this open-circuit voltage and inner impedance.

    The impedance of the body falls with the voltage across it (IEC 60479-1): iterated until both agree.
    """
    open_v = across = abs(prospective_v)
    while True:
        body = body_ohm(across, percentile)
        current = open_v / abs(impedance_ohm + floor_ohm + body)
        nearer = current * body
        if abs(nearer - across) <= STILL * (1 + across):
            return Felt(open_v, nearer, current, body + floor_ohm)
        across = nearer


def bodies(open_v: Complex, inner_ohm: Complex, percentile: Percentile = 5) -> tuple[Real, Real]:
    """Return for arrays of ports the voltage across a body there and the current through it, as `felt`
    does.
    """
    driving = np.abs(open_v)
    across = driving
    while True:
        body = body_impedance_ohm(across, percentile)
        current = driving / np.abs(inner_ohm + body)
        nearer = current * body
        if np.all(np.abs(nearer - across) <= STILL * (1 + across)):
            return nearer, current
        across = nearer


def zone_of(current_a: float, time_s: float, way: Way = "hand to feet") -> Zone:
    """Return the zone of IEC 60479-1 for a body current that flows for `time_s`, by its way through the body."""
    return zone(1000 * current_a, time_s, way)
