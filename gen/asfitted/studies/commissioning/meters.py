"""What an instrument reads: a branch across two terminals of the equivalent circuit, solved with it.

A voltmeter of 10 MΩ and 100 pF takes so little that whatever leaks across filters and insulation holds up a
voltage; one of a few kΩ makes that collapse. The pair tells a ghost from a source.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from asfitted.description.values import Size
from asfitted.network.circuit import Branch, Circuit
from asfitted.network.equivalent import Equivalent, contact_id, equivalent
from asfitted.network.mna import Complex, Equations, System
from asfitted.network.model import Network
from asfitted.network.sites import Site, described_sites
from asfitted.network.states import State
from asfitted.studies.faults.units import Units
from asfitted.tables.circuit_defaults import Bound, circuit_default

Pair = tuple[str, str]
#: an instrument is read with the supply at its nominal voltage
NOMINAL = {"voltage factor": 1.0}


@dataclass(frozen=True)
class Meter:
    """A voltmeter as a load: resistance in ohms, in parallel with a capacitance in farads."""

    name: str
    r_ohm: float
    c_f: float = 0.0

    def impedance_ohm(self, frequency_hz: float) -> complex:
        """Return the impedance between its leads."""
        return 1 / complex(1 / self.r_ohm, 2 * np.pi * frequency_hz * self.c_f)


VOLTMETER = Meter("voltmeter", 10e6, 100e-12)
LOW_IMPEDANCE = Meter("low impedance", 3e3)


@dataclass(frozen=True)
class Instruments:
    """Reads voltages, resistances and leakage in one build; supplies as at `sites`, as described if not
    given. `ground` says how well tyres and the like conduct: dry for the least currents, wet for the greatest.
    """

    network: Network
    sizes: Mapping[str, Size]
    sites: tuple[Site, ...] = ()
    ground: Bound = "greatest"

    @cached_property
    def circuit(self) -> Equivalent:
        """The equivalent circuit with the small capacitances that only a voltmeter notices."""
        sites = self.sites or usual_sites(self.network)
        tyres = circuit_default("tyres", self.ground).value
        plain = equivalent(self.network, sites, "greatest", {**NOMINAL, "tyres": tyres}, self.sizes)
        more = tuple(_small_capacitances(plain))
        return replace(plain, circuit=Circuit((*plain.circuit.branches, *more), plain.circuit.frequency_hz))

    @cached_property
    def loads(self) -> frozenset[str]:
        """The branches of everything that consumes."""
        return frozenset(b.id for b in self.circuit.circuit.branches if b.kind == "load")

    def volts(
        self, state: State, pairs: Sequence[Pair], meter: Meter, broken: Iterable[str] = ()
    ) -> tuple[float, ...]:
        """Return what a meter reads between two terminals of each pair, everything that consumes switched
        off; `broken` names branches that are open besides.

        Two terminals that nothing joins, not even a capacitance, read 0 V.
        """
        system = self._system(state, self.circuit.ac, self.loads | frozenset(broken))
        node, hz = self.circuit.node_of, self.circuit.circuit.frequency_hz
        ports = [(node[a], node[b]) for a, b in pairs]
        driven, unit = self._driven(system, state), system.of_ports(ports)
        return tuple(
            reading(system.voltage(driven, *port)[0], system.voltage(unit, *port)[n], meter.impedance_ohm(hz))
            for n, port in enumerate(ports)
        )

    def _system(self, state: State, equations: Equations, broken: frozenset[str]) -> System:
        """Return the circuit of a state without some branches; the diodes of an isolator count as bridged."""
        on = self.circuit.closed(state).copy()
        index = self.circuit.circuit.index
        on[[index[id_] for id_ in broken]] = False
        return System(equations, on)

    def _driven(self, system: System, state: State) -> Complex:
        """Return the unknowns with every source of the state at its voltage: no meter makes one limit itself."""
        index, branches = self.circuit.circuit.index, self.circuit.circuit.branches
        alive = zip(self.circuit.sources, self.circuit.energised(state), strict=True)
        group = [
            (index[id_], complex(branches[index[id_]].emf_v))
            for source, on in alive
            if on and source.kind != "diodes"
            for id_ in source.branches
        ]
        return system.of_sources([group])

    def ohms(self, state: State, a: str, b: str, broken: Iterable[str] = ()) -> float:
        """Return the d.c. resistance between two terminals at 20 °C, parallel paths included; infinite if
        nothing joins them. `broken` names branches that are taken off.
        """
        node = self.circuit.node_of
        system = self._system(state, self.circuit.dc, self.loads | frozenset(broken))
        port = (node[a], node[b])
        if port[0] == port[1]:
            return 0.0
        ohm = system.voltage(system.of_ports([port]), *port)[0]
        return float("inf") if np.isnan(ohm) else float(ohm.real)

    def leakage(self, state: State) -> tuple[dict[str, float], dict[str, float]]:
        """Return in A, with everything switched on: the residual current of each device, and the current in
        each protective core.
        """
        system = self._system(state, self.circuit.ac, frozenset())
        x, index = self._driven(system, state), self.circuit.circuit.index
        devices = {
            device.id: abs(sum(system.current(x, branch)[0] for branch in device.summed))
            for device in Units(self.circuit).devices
            if device.residual is not None
        }
        cores = [c.id for c in self.network.cores.values() if c.conductor == "PE" and c.id in index]
        return devices, {core: float(abs(system.current(x, index[core])[0])) for core in cores}


def reading(open_v: complex, behind_ohm: complex, meter_ohm: complex) -> float:
    """Return the voltage in V across a meter; nothing where nothing joins its two terminals."""
    if np.isnan(open_v):
        return 0.0
    return float(abs(open_v * meter_ohm / (meter_ohm + behind_ohm)))


def usual_sites(network: Network) -> tuple[Site, ...]:
    """Return each supply as it is described, without its other places."""
    return tuple({site.supply: site for site in reversed(described_sites(network))}.values())


def _small_capacitances(plain: Equivalent) -> Iterable[Branch]:
    """Yield the capacitance across each pole of a changeover, and that of cables too short to matter to a
    fault.
    """
    network, node, known = plain.network, plain.node_of, plain.circuit.index
    across = circuit_default("open contact", "greatest").value
    for contact in network.contacts:
        ends = node[contact.a], node[contact.b]
        if contact.position.startswith("source") and ends[0] != ends[1]:
            yield Branch(f"{contact_id(contact)}#open", *ends, "capacitor", c_f=across, of=contact.equipment)
    per_m = circuit_default("cable capacitance", "greatest").value
    for cable in network.cables.values():
        earth = next((core for core in cable.cores if core.conductor == "PE"), None)
        for core in cable.live if earth is not None and cable.kind == "ac" else ():
            assert earth is not None  # noqa: S101  (asked one line before)
            name, ends = f"{core.id}#capacitance", (node[core.b], node[earth.b])
            if name not in known and ends[0] != ends[1]:
                yield Branch(name, *ends, "capacitor", c_f=per_m * cable.length_m, of=cable.id)
