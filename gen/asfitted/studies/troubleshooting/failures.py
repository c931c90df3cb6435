"""The single failures that a reader may have before them, each as branches of the circuit opened or closed.

Two failures at once are not among them: whoever finds a reading that no single one explains is told so.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from asfitted.description.kinds import Battery, SelectorSwitch
from asfitted.network.circuit import Branch, Circuit
from asfitted.network.equivalent import Equivalent, bond_id
from asfitted.network.mna import System
from asfitted.network.model import Core
from asfitted.network.supply_parts import upstream_device
from asfitted.studies.coverage import residual_a
from asfitted.studies.faults.cases import Places, Position
from asfitted.studies.faults.units import Device, Units

FailureKind = Literal[
    "sound",
    "protective conductor open",
    "neutral open",
    "line open",
    "direct conductor open",
    "loose terminal",
    "bond missing",
    "second bond",
    "earth fault in an appliance",
    "earth fault in a circuit",
    "transfer stays",
    "device open",
    "supply reversed",
    "source stopped",
    "battery dead",
]
#: a tie of neutral and earth that nobody meant, and an earth fault that any residual current device sees
TIE_OHM, EARTH_FAULT_OHM = 0.05, 100.0
#: a loose terminal takes this share of the voltage at a usual current (house rule): warm, and not yet dark
LOOSE_SHARE, LOOSE_DIRECT_SHARE, USUAL_A = 0.05, 0.1, 10.0
#: a conductor of the d.c. side may be loose where it bears at least this share of what the inverter draws
MAIN_SHARE = 0.5
#: a tester sends a little more than the rated residual current (house rule)
TESTER_SHARE = 1.1
OUTLETS = ("sockets", "GFCI receptacle")
SWITCHES = ("transfer switch", "inverter charger")
PROTECTS = ("breaker", "RCBO", "RCD", "GFCI breaker", "GFCI receptacle", "fuse")
TIED_AT = ("sockets", "GFCI receptacle", "load", "battery charger", "busbar", "supply inlet", *SWITCHES)


@dataclass(frozen=True)
class Failure:
    """One failure: which branches of the circuit it opens and closes, besides what the state says.

    `at` is the cable, terminal or equipment concerned, `conductor` that of a cable. `stays` is where a
    transfer switch is stuck, `plugged_in` says that it goes when everything is unplugged, `found_by` are the
    interrupters that find the neutral `tied` to earth behind them without any load.
    """

    kind: FailureKind
    at: str = ""
    conductor: str = ""
    opens: frozenset[str] = frozenset()
    closes: frozenset[str] = frozenset()
    stays: tuple[str, str] | None = None
    stopped: str = ""
    plugged_in: bool = False
    found_by: tuple[str, ...] = ()
    tied: str = ""

    @property
    def id(self) -> str:
        """`kind: place conductor position`, without what it does not have."""
        parts = (self.at, self.conductor, self.stays[1] if self.stays else "")
        return f"{self.kind}: " + " ".join(part for part in parts if part)


SOUND = Failure("sound")


@dataclass(frozen=True)
class Bench:
    """A build's circuit with a branch for everything that can go wrong in it, open until a failure closes
    it.
    """

    plain: Equivalent

    @cached_property
    def circuit(self) -> Equivalent:
        """The equivalent circuit with those branches in it."""
        more = (*(branch for _, branches in self._made for branch in branches), *_tests(self))
        whole = self.plain.circuit
        return replace(self.plain, circuit=Circuit((*whole.branches, *more), whole.frequency_hz), _closed={})

    @cached_property
    def added(self) -> tuple[int, ...]:
        """The numbers of the branches that failures close."""
        return tuple(range(len(self.plain.circuit.branches), len(self.circuit.circuit.branches)))

    @cached_property
    def failures(self) -> tuple[Failure, ...]:
        """Every failure, the sound build first."""
        return (SOUND, *(failure for failure, _ in self._made))

    @cached_property
    def nominal_v(self) -> float:
        """The voltage of the alternating side, line to neutral."""
        found = [abs(b.emf_v) for b in self.plain.circuit.branches if b.emf_v and b.kind == "source"]
        return max(found, default=230.0)

    @cached_property
    def _made(self) -> tuple[tuple[Failure, tuple[Branch, ...]], ...]:
        ways = (_conductors, _loose, _bonds, _ties, _earth_faults, _switches, _devices, _supplies, _sources)
        return tuple(made for way in ways for made in way(self))

    @cached_property
    def places(self) -> Places:
        """Where conductors lie side by side."""
        return Places(self.plain)

    @cached_property
    def units(self) -> Units:
        """Everything that opens by itself."""
        return Units(self.plain)

    @cached_property
    def cores(self) -> tuple[Core, ...]:
        """The conductors of all cables that are there."""
        index, cables = self.plain.circuit.index, self.plain.network.cables
        cores = self.plain.network.cores.values()
        return tuple(c for c in cores if c.id in index and not cables[c.cable].planned)

    @cached_property
    def device(self) -> dict[str, Device]:
        """Protective devices by id, those of the supplies included."""
        return {device.id: device for device in self.units.devices}


Made = Iterator[tuple[Failure, tuple[Branch, ...]]]
_OPEN: dict[str, FailureKind] = {
    "PE": "protective conductor open", "N": "neutral open", "L": "line open", "L1": "line open",
    "L2": "line open", "plus": "direct conductor open", "minus": "direct conductor open",
    "bond": "bond missing",
}  # fmt: skip


def _conductors(bench: Bench) -> Made:
    for core in bench.cores:
        yield Failure(_OPEN[core.conductor], core.cable, core.conductor, frozenset({core.id})), ()


def _loose(bench: Bench) -> Made:
    direct = dict(_main_direct(bench))
    for core in bench.cores:
        ohm = LOOSE_SHARE * bench.nominal_v / USUAL_A
        if core.conductor in ("plus", "minus"):
            if core.id not in direct:
                continue
            ohm = direct[core.id]
        branch = bench.plain.circuit.branches[bench.plain.circuit.index[core.id]]
        loose = replace(branch, id=f"{core.id}#loose", r_ohm=branch.r_ohm + ohm)
        closes, opens = frozenset({loose.id}), frozenset({core.id})
        yield Failure("loose terminal", core.cable, core.conductor, opens, closes), (loose,)


def _main_direct(bench: Bench) -> Iterator[tuple[str, float]]:
    """Yield each conductor between a battery and an inverter, and the resistance in ohms that takes a tenth
    of the voltage at half the inverter's power.
    """
    plain, index = bench.plain, bench.plain.circuit.index
    for name in [b.id for b in plain.circuit.branches if b.id.endswith("#draw")]:
        draw = plain.circuit.branches[index[name]]
        loads = [n for n, b in enumerate(plain.circuit.branches) if b.kind == "load" and b.id != name]
        on = np.ones(len(plain.circuit.branches), dtype=bool)
        on[loads] = False
        system = System(plain.dc, on)
        cells = [
            (index[f"{i.id}#cells"], complex(plain.circuit.branches[index[f"{i.id}#cells"]].emf_dc_v))
            for i in plain.network.of_kind("battery")
        ]
        x = system.of_sources([cells])
        drawn = abs(system.current(x, index[name])[0])
        for core in bench.cores:
            if core.conductor in ("plus", "minus") and drawn:
                own = abs(system.current(x, index[core.id])[0])
                if own >= MAIN_SHARE * drawn:
                    yield core.id, LOOSE_DIRECT_SHARE * draw.r_ohm


def _bonds(bench: Bench) -> Made:
    for number in bench.plain.bond_of:
        bond = bench.plain.network.bonds[number]
        if bond_id(bond) not in bench.plain.network.cores:
            yield Failure("bond missing", bond.equipment, opens=frozenset({bond_id(bond)})), ()


def _ties(bench: Bench) -> Made:
    network, seen = bench.plain.network, set(_bonded(bench))
    for place in _consumers(bench, TIED_AT):
        port = bench.places.port(place.neutral, place.case)
        if port is None or port[0] in seen or network.items[place.owner].planned:
            continue
        seen.add(port[0])
        name = f"{place.neutral}#tie"
        branch = Branch(name, *port, "leakage", r_ohm=TIE_OHM)
        yield (
            Failure(
                "second bond", *_port(bench, place.neutral), closes=frozenset({name}),
                found_by=bench.places.behind(place), tied=place.neutral,
            ),
            (branch,),
        )  # fmt: skip


def _port(bench: Bench, terminal: str) -> tuple[str, str]:
    """Return the equipment of a terminal and the name of the port that it is in: `source 1`, or nothing."""
    owner = bench.plain.network.owner[terminal]
    return owner, terminal.removeprefix(owner).strip(".").rpartition(".")[0]


def _bonded(bench: Bench) -> Iterator[str]:
    """Yield the neutrals that are tied to earth as they should be."""
    node = bench.plain.node_of
    for bond in bench.plain.network.bonds:
        if bond.neutral in node and bond.earth in node:
            yield node[bond.neutral]


def _consumers(bench: Bench, kinds: tuple[str, ...]) -> Iterator[Position]:
    items = bench.plain.network.items
    for place in bench.places.positions:
        if place.case and place.neutral and items[place.owner].kind in kinds:
            yield place


def _earth_faults(bench: Bench) -> Made:
    items, seen = bench.plain.network.items, set()
    for place in _consumers(bench, ("sockets", "GFCI receptacle", "load", "battery charger")):
        port = bench.places.port(place.line, place.case)
        item = items[place.owner]
        if port is None or place.owner in seen or item.planned:
            continue
        seen.add(place.owner)
        name = f"{place.line}#earth fault"
        outlet = item.kind in ("sockets", "GFCI receptacle")
        if outlet:
            plugged = f"{place.line}#earth fault plugged in"
            line = outlet_end(bench.plain, place.owner, place.line.rsplit(".", 1)[-1])
            node = bench.plain.node_of.get(line, port[0])
            yield (
                Failure(
                    "earth fault in an appliance", place.owner, closes=frozenset({plugged}), plugged_in=True
                ),
                (Branch(plugged, node, port[1], "leakage", r_ohm=EARTH_FAULT_OHM),),
            )
        yield (
            Failure("earth fault in a circuit", place.owner, closes=frozenset({name})),
            (Branch(name, *port, "leakage", r_ohm=EARTH_FAULT_OHM),),
        )


def _tests(bench: Bench) -> Iterator[Branch]:
    """Yield the resistor of a residual current tester at each socket-outlet."""
    rated = [residual_a(item) for item in bench.plain.network.items.values()]
    least = min((a for a in rated if a), default=None)
    for place in _consumers(bench, OUTLETS) if least else ():
        line = outlet_end(bench.plain, place.owner, place.line.rsplit(".", 1)[-1])
        port = bench.places.port(line, place.case)
        if port is not None and least is not None:
            ohm = bench.nominal_v / (least * TESTER_SHARE)
            yield Branch(f"{place.owner}#test", *port, "leakage", r_ohm=ohm)


def outlet_end(plain: Equivalent, outlet: str, conductor: str) -> str:
    """Return the terminal at which somebody meets a conductor of an outlet: behind its own sensor where it
    has one. It may not be there.
    """
    behind = f"{outlet}.load.{conductor}"
    return behind if behind in plain.node_of else f"{outlet}.{conductor}"


def _switches(bench: Bench) -> Made:
    for item in bench.plain.network.of_kind(*SWITCHES):
        if not isinstance(item.spec, SelectorSwitch):
            for position in ("source 1", "source 2"):
                yield Failure("transfer stays", item.id, stays=(item.id, position)), ()


def _devices(bench: Bench) -> Made:
    branches, items = bench.plain.circuit.branches, bench.plain.network.items
    for device in bench.device.values():
        if device.id not in items or not items[device.id].planned:
            opens = frozenset(branches[n].id for n in device.opens)
            yield Failure("device open", device.id, opens=opens), ()


def _supplies(bench: Bench) -> Made:
    index = bench.plain.circuit.index
    for supply in bench.plain.network.of_kind("ac supply"):
        device = upstream_device(supply.id)
        poles = (f"{device}.L", f"{device}.N")
        if all(pole in index for pole in poles):
            line, neutral = (bench.plain.circuit.branches[index[pole]] for pole in poles)
            crossed = (
                replace(line, id=f"{device}#crossed L", b=neutral.b),
                replace(neutral, id=f"{device}#crossed N", b=line.b),
            )
            closes = frozenset(branch.id for branch in crossed)
            yield Failure("supply reversed", supply.id, opens=frozenset(poles), closes=closes), crossed


def _sources(bench: Bench) -> Made:
    network = bench.plain.network
    for item in network.of_kind("inverter", "inverter charger", "generator"):
        yield Failure("source stopped", item.id, stopped=item.id), ()
    for item in network.of_kind("battery"):
        assert isinstance(item.spec, Battery)  # noqa: S101  (asked for by kind)
        yield Failure("battery dead", item.id, opens=frozenset({f"{item.id}#cells"})), ()
