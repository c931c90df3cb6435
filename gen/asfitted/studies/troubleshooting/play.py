"""What a build does with a failure in it: which devices open, where its transfer switches go, which
inverters stop; and what can then be read.

Whether a device opens is certain above its rated residual current and excluded below half of it; in between
both ends are played.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from asfitted.description.kinds import AcSupply, Inverter, InverterCharger, SelectorSwitch
from asfitted.network.equivalent import contact_id
from asfitted.network.mna import Complex, System
from asfitted.network.potentials import Potentials
from asfitted.network.states import State, chosen_side, is_earth
from asfitted.network.supply_parts import upstream_device
from asfitted.studies.commissioning.meters import LOW_IMPEDANCE, Meter, reading
from asfitted.studies.coverage import residual_a
from asfitted.studies.faults.units import Device
from asfitted.studies.troubleshooting.failures import PROTECTS, SOUND, Bench, Failure

#: a switch that says nothing of it lets go below this share of the voltage (house rule)
DROPS_OUT_SHARE = 0.7
#: IEC 60898-1: a circuit-breaker surely trips above 1.45 times its rating, and surely not below 1.13 times
SURELY, SURELY_NOT = 1.45, 1.13
#: IEC 61008-1: a residual current device surely trips at its rated current, and surely not at half of it;
#: UL 943 Class A: at 6 mA, and not at 4 mA
HALF, CLASS_A_HOLDS = 0.5, 4 / 6
#: an inverter that does not say when it cuts out does so below this share of its d.c. voltage (house rule)
CUTS_OUT_SHARE = 0.8

#: what is plugged in and switched on: everything, or nothing
ALL, NONE = "*", ""

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Ending:
    """How a failure leaves a state: the state as it then is, and the devices that have opened."""

    state: State
    opened: frozenset[str] = frozenset()

    @property
    def key(self) -> tuple[object, ...]:
        """What tells two of them apart."""
        return self.state.conditions, self.state.positions, self.opened


@dataclass
class Workshop:
    """Plays failures in one build; what was solved once is kept."""

    bench: Bench
    _alternating: dict[object, tuple[System, Complex]] = field(default_factory=dict, repr=False)
    _direct: dict[bytes, tuple[System, Complex]] = field(default_factory=dict, repr=False)
    _joined: dict[object, Potentials] = field(default_factory=dict, repr=False)
    _endings: dict[object, tuple[Ending, ...]] = field(default_factory=dict, repr=False)

    @cached_property
    def _loads(self) -> list[tuple[int, str]]:
        branches = self.bench.circuit.circuit.branches
        consumers = ((n, b) for n, b in enumerate(branches) if b.kind == "load")
        return [(n, b.of) for n, b in consumers if not b.id.endswith("#draw")]

    def mask(
        self,
        failure: Failure,
        ending: Ending,
        on_load: str = ALL,
        closed: tuple[str, ...] = (),
        direct: bool = False,
    ) -> Mask:
        """Return which branches conduct. `on_load` is what is plugged in and switched on: ALL, NONE, or one
        outlet alone. `closed` names branches that are closed besides, for a test.

        Unless `direct` current is asked for, a failure on the d.c. side that touches no metalwork is left
        out: no alternating current passes there, and most of the solving is spared.
        """
        if not direct and self._no_concern_of_alternating(failure):
            failure = SOUND
        circuit, index = self.bench.circuit, self.bench.circuit.circuit.index
        on = circuit.closed(ending.state).copy()
        added = list(self.bench.added)
        there = not failure.plugged_in or on_load in (ALL, failure.at)
        wanted = [index[id_] for id_ in (*(failure.closes if there else ()), *closed)]
        kept = on[wanted]
        on[added] = False
        on[wanted] = kept
        on[[index[id_] for id_ in failure.opens]] = False
        for id_ in ending.opened:
            on[list(self.bench.device[id_].opens)] = False
            on[self._crossed.get(id_, [])] = False
        if on_load != ALL:
            on[[n for n, of in self._loads if of != on_load]] = False
        return on

    @cached_property
    def _crossed(self) -> dict[str, list[int]]:
        branches = self.bench.circuit.circuit.branches
        found: dict[str, list[int]] = {}
        for number in self.bench.added:
            if "#crossed" in branches[number].id:
                found.setdefault(branches[number].of, []).append(number)
        return found

    def alternating(self, state: State, on: Mask) -> tuple[System, Complex]:
        """Return the solution with alternating current: the system, and its unknowns with every source of
        the state at its voltage.
        """
        circuit = self.bench.circuit
        alive = circuit.energised(state)
        key = (alive, on.tobytes())
        if key not in self._alternating:
            system = System(circuit.ac, on)
            index, branches = circuit.circuit.index, circuit.circuit.branches
            group = [
                (index[id_], complex(branches[index[id_]].emf_v))
                for source, runs in zip(circuit.sources, alive, strict=True)
                if runs and source.kind != "diodes"
                for id_ in source.branches
            ]
            self._alternating[key] = system, system.of_sources([group])
        return self._alternating[key]

    def direct(self, on: Mask) -> tuple[System, Complex]:
        """Return the solution with the direct current of the batteries alone."""
        key = on.tobytes()
        if key not in self._direct:
            system = System(self.bench.circuit.dc, on)
            branches = self.bench.circuit.circuit.branches
            cells = [(n, complex(b.emf_dc_v)) for n, b in enumerate(branches) if b.emf_dc_v and not b.source]
            self._direct[key] = system, system.of_sources([cells])
        return self._direct[key]

    def volts(self, state: State, on: Mask, a: str, b: str, meter: Meter | None = None) -> float:
        """Return the alternating voltage between two terminals, with a meter across them if one is given."""
        node, hz = self.bench.circuit.node_of, self.bench.circuit.circuit.frequency_hz
        system, x = self.alternating(state, on)
        port = node[a], node[b]
        if port[0] == port[1]:
            return 0.0
        open_v = system.voltage(x, *port)[0]
        if meter is None:
            return 0.0 if np.isnan(open_v) else float(abs(open_v))
        behind = system.voltage(system.of_ports([port]), *port)[0]
        return reading(open_v, behind, meter.impedance_ohm(hz))

    def direct_volts(self, on: Mask, a: str, b: str) -> float:
        """Return the direct voltage between two terminals; nothing joins them: 0 V."""
        node = self.bench.circuit.node_of
        system, x = self.direct(on)
        found = system.voltage(x, node[a], node[b])[0]
        return 0.0 if np.isnan(found) else abs(float(found.real))

    def endings(self, failure: Failure, state: State, on_load: str = ALL) -> tuple[Ending, ...]:
        """Return every way in which a state can end with a failure in it."""
        key = (failure.id, state.conditions, state.positions, on_load)
        if key not in self._endings:
            self._endings[key] = tuple(self._settle(failure, state, on_load))
        return self._endings[key]

    def _settle(self, failure: Failure, state: State, on_load: str) -> Iterator[Ending]:
        waiting, seen, settled = [self._stopped(failure, Ending(state))], {}, False
        while waiting:
            ending = waiting.pop()
            if ending.key in seen:
                continue
            seen[ending.key] = ending
            moved = self._moved(failure, ending, on_load)
            if moved.key != ending.key:
                waiting.append(moved)
                continue
            surely, maybe = self.trips(failure, ending, on_load)
            waiting += [replace(ending, opened=ending.opened | {id_}) for id_ in (*surely, *maybe)]
            if not surely:
                settled = True
                yield ending
        if not settled:
            yield from seen.values()  # it never comes to rest: it may be met in any of them

    def _stopped(self, failure: Failure, ending: Ending) -> Ending:
        """Return the state with the source stopped that the failure stops."""
        if not failure.stopped:
            return ending
        return _without(ending, failure.stopped)

    def _moved(self, failure: Failure, ending: Ending, on_load: str) -> Ending:
        """Return the state after inverters without direct voltage have stopped and switches have moved."""
        items = self.bench.circuit.network.items
        for id_, condition in ending.state.conditions:
            spec = items[id_].spec
            if condition == "running" and isinstance(spec, Inverter) and self._touches_direct(failure):
                least = spec.cut_out_below_v or CUTS_OUT_SHARE * spec.dc_voltage_v
                on = self.mask(failure, ending, on_load, direct=True)
                if self.direct_volts(on, f"{id_}.plus", f"{id_}.minus") < least:
                    return _without(ending, id_)
        on = self.mask(failure, ending, on_load)
        positions = dict(ending.state.positions)
        for id_ in positions:
            if failure.stays and failure.stays[0] == id_:
                positions[id_] = failure.stays[1]
            elif not isinstance(items[id_].spec, SelectorSwitch):
                sides = tuple(side for side in _sides(items[id_].spec) if self._there(ending, on, id_, side))
                positions[id_] = chosen_side(items[id_], sides)
            if positions[id_] != ending.state.position(id_):
                moved = replace(ending.state, positions=tuple(positions.items()))
                return replace(ending, state=moved)
        return ending

    def _no_concern_of_alternating(self, failure: Failure) -> bool:
        core = self.bench.plain.network.cores.get(f"{failure.at}.{failure.conductor}")
        lands = core is not None and any(is_earth(self.bench.plain.network, end) for end in (core.a, core.b))
        return bool(failure.opens) and failure.opens <= self._direct_branches and not lands

    def _touches_direct(self, failure: Failure) -> bool:
        """Tell whether a failure lies on the d.c. side: any other leaves the voltage at the inverters as it
        is.
        """
        return bool(failure.opens & self._direct_branches)

    @cached_property
    def _direct_branches(self) -> frozenset[str]:
        circuit = self.bench.circuit
        cells = {b.id for b in circuit.circuit.branches if b.emf_dc_v}
        cores = {c.id for c in self.bench.cores if c.conductor in ("plus", "minus")}
        poles = {contact_id(c) for c in circuit.network.contacts if c.conductor in ("plus", "minus")}
        return frozenset(cells | cores | poles)

    def _there(self, ending: Ending, on: Mask, switch: str, side: str) -> bool:
        spec = self.bench.circuit.network.items[switch].spec
        port = f"{switch}.ac in" if isinstance(spec, InverterCharger) else f"{switch}.{side}"
        least = getattr(spec, "drops_out_below_v", None) or DROPS_OUT_SHARE * self.bench.nominal_v
        ends = f"{port}.L", f"{port}.N"
        if any(end not in self.bench.circuit.node_of for end in ends):
            return False
        return self.volts(ending.state, on, *ends, LOW_IMPEDANCE) >= float(least)

    def trips(
        self, failure: Failure, ending: Ending, on_load: str, closed: tuple[str, ...] = ()
    ) -> tuple[list[str], list[str]]:
        """Return the devices that surely open, and those that may; `closed` as of `mask`."""
        on = self.mask(failure, ending, on_load, closed)
        system, x = self.alternating(ending.state, on)
        surely, maybe = [], []
        for device in self.bench.device.values():
            if device.direct or device.id in ending.opened:
                continue
            if not all(on[n] for n in device.opens):
                continue  # it stands open already
            share = self._share(failure, ending, device, system, x)
            if share >= 1:
                surely.append(device.id)
            elif share > 0:
                maybe.append(device.id)
        return surely, maybe

    def _share(self, failure: Failure, ending: Ending, device: Device, system: System, x: Complex) -> float:
        """Return 1 or more where a device surely opens, 0 where it surely does not."""
        powered = device.supply is None or (
            device.supply[0] != device.supply[1]
            and abs(np.nan_to_num(system.voltage(x, *device.supply)[0]))
            > DROPS_OUT_SHARE * self.bench.nominal_v
        )
        found = 0.0
        rated = self.rated_residual_a(device.id)
        if rated and powered:
            if device.id in failure.found_by and self._behind(ending.state, device.id, failure.tied):
                return 1.0
            holds = CLASS_A_HOLDS if device.supply else HALF
            share = abs(sum(system.current(x, n)[0] for n in device.summed)) / rated
            found = share if share > holds else 0.0
        if device.overcurrent is not None and device.rated_a:
            most = max((abs(system.current(x, n)[0]) for n in device.sensed), default=0.0) / device.rated_a
            if most > SURELY_NOT:
                found = max(found, most / SURELY)
        return float(found)

    def _behind(self, state: State, device: str, neutral: str) -> bool:
        """Tell whether a neutral lies on the load side of an interrupter as the switches of a state stand."""
        key = (state.conditions, state.positions)
        if key not in self._joined:
            self._joined[key] = state.live_potentials
        port = "load" if f"{device}.load.N" in self.bench.circuit.node_of else "out"
        own = f"{device}.{port}.N"
        return own in state.network.owner and self._joined[key].same(own, neutral)

    def rated_residual_a(self, device: str) -> float:
        """Return the rated residual current of a device, aboard or ashore; 0 where it has none."""
        item = self.bench.circuit.network.items.get(device)
        if item is not None:
            return residual_a(item) or 0.0
        for supply in self.bench.circuit.network.of_kind("ac supply"):
            if upstream_device(supply.id) == device and isinstance(supply.spec, AcSupply):
                return supply.spec.upstream.residual_a or 0.0
        return 0.0

    def standing_open(self, failure: Failure, ending: Ending) -> frozenset[str]:
        """Return the devices with a lever that can be seen to stand open; a fuse shows nothing."""
        items = self.bench.circuit.network.items
        own = {failure.at} if failure.kind == "device open" else set()
        return frozenset(
            id_
            for id_ in (*ending.opened, *own)
            if id_ not in items or (items[id_].kind in PROTECTS and items[id_].kind != "fuse")
        )


def _sides(spec: object) -> tuple[str, ...]:
    return ("source 1",) if isinstance(spec, InverterCharger) else ("source 1", "source 2")


def _without(ending: Ending, source: str) -> Ending:
    changed = tuple((id_, "off" if id_ == source else c) for id_, c in ending.state.conditions)
    return replace(ending, state=replace(ending.state, conditions=changed))
