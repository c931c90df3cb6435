"""Cases for the judge: every fault of every state of a build, with what the solver says of each."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.network.circuit import Branch
from asfitted.network.equivalent import equivalent
from asfitted.network.model import Network
from asfitted.network.states import State, states
from asfitted.studies.faults.cases import Places, faults
from asfitted.studies.faults.fault import Fault
from asfitted.studies.faults.stage import Bench, Case, Switched
from asfitted.studies.faults.study import combinations_of_sites
from asfitted.studies.faults.units import Units
from asfitted.tables.circuit_defaults import Bound
from tests.oracle.ngspice import SpiceCase


@dataclass(frozen=True)
class Told:
    """What the solver says of one fault: current of its port, of every pole, residual of every device."""

    fault: Fault
    spice: SpiceCase
    port_a: complex
    poles: dict[str, complex]


@dataclass(frozen=True)
class Group:
    """All faults of one set of switches: the branches that conduct, the poles of each residual device."""

    name: str
    hz: float
    branches: tuple[Branch, ...]
    poles: tuple[str, ...]
    devices: dict[str, tuple[str, ...]]
    told: tuple[Told, ...]


def groups(network: Network, bound: Bound, site: int = 0, only: tuple[State, ...] = ()) -> Iterator[Group]:
    """Yield for each state one group of alternating and one of direct current."""
    circuit = equivalent(network, combinations_of_sites(network)[site], bound)
    units, places = Units(circuit), Places(circuit)
    for number, state in enumerate(only or states(network)):
        for direct in (False, True):
            if direct and number:
                continue  # the direct currents hardly differ from state to state
            bench = Bench(circuit, units, direct)
            chosen = [
                f for f in faults(places, state) if f.port is not None and not f.broken and f.direct == direct
            ]
            if chosen and (direct or any(circuit.energised(state))):
                yield _group(bench, state, chosen)


def _group(bench: Bench, state: State, chosen: list[Fault]) -> Group:
    circuit = bench.equivalent.circuit
    switched = Switched(state)
    closed = bench.closed(switched)
    phases = (1.0,) * len(bench.adjustable)
    stage = bench.solve([Case(switched, ((f.port, f.resistance_ohm),), phases) for f in chosen if f.port])
    poles = tuple(
        b.id
        for n, b in enumerate(circuit.branches)
        if b.kind == "pole" and closed[n] and n in bench.equations.row_of
    )
    rows = {id_: bench.equations.row_of[circuit.index[id_]] for id_ in poles}
    scale = stage.outcome.settled.scale
    told = []
    for column, fault in enumerate(chosen):
        emf = {
            circuit.branches[branch].id: complex(size * scale[k, column])
            for k, group in enumerate(bench.groups)
            for branch, size in group
        }
        assert fault.port is not None
        told.append(
            Told(
                fault,
                SpiceCase(((*fault.port, fault.resistance_ohm),), emf),
                complex(stage.outcome.altered[column, 0]),
                {id_: complex(stage.unknowns[row, column]) for id_, row in rows.items()},
            )
        )
    devices = {
        device.id: tuple(circuit.branches[n].id for n in device.summed if closed[n])
        for device in bench.units.devices
        if device.residual is not None
    }
    conducting = tuple(b for n, b in enumerate(circuit.branches) if closed[n])
    hz = 0.0 if bench.direct else circuit.frequency_hz
    return Group(f"{state.id}{'dc' if bench.direct else 'ac'}", hz, conducting, poles, devices, tuple(told))


def deviation(theirs: complex, ours: complex, floor_a: float = 1e-3) -> float:
    """Return how far two currents are apart, relative to the greater; not compared below `floor_a`."""
    size = max(abs(theirs), abs(ours))
    return 0.0 if size < floor_a else abs(theirs - ours) / size
