"""A build on one side: each a.c. cable with its device, size and drop; what stands before the circuits."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import AcSupply, Generator, Inverter, SupplyInlet, TransferSwitch
from asfitted.description.values import Size
from asfitted.network.model import Cable, Item, Network
from asfitted.studies.cable_checks import design_current, protections, worst
from asfitted.studies.drops import drops
from asfitted.studies.equipment_checks import let_through_a
from asfitted.studies.other_side.crossing import AC_CABLES
from asfitted.studies.settled import Settled


@dataclass(frozen=True)
class End:
    """A circuit on one side: design current, rating of what protects it and capacity in A, the drop to the consumer
    in per cent with its limit.

    Several `devices` protect it together; `by_source` says that it is its source that gives no more. The drop is
    None where no consumer ends the cable.
    """

    current_a: float
    devices: tuple[Item, ...]
    device_a: float | None
    size: Size
    capacity_a: float
    drop_percent: float | None
    drop_limit: float | None
    by_source: bool


@dataclass(frozen=True)
class Part:
    """What stands before the circuits: nominal voltage in V and rating in A, None where it has none."""

    voltage_v: float | None
    rating_a: float | None


def ends(settled: Settled) -> dict[str, End]:
    """Return cable id -> figures of every a.c. cable."""
    return {cable.id: _end(settled, cable) for cable in settled.trial.loaded if cable.kind in AC_CABLES}


def _end(settled: Settled, cable: Cable) -> End:
    trial = settled.trial
    held = worst(protections(trial, cable, settled.feeding, trial.able))
    device = held.device if held else None
    names = device.id.split(" + ") if device else []
    supplied = [d for d in drops(trial) if d.mode == "supply" and d.item in consumers(trial.network, cable)]
    drop = max(supplied, key=lambda d: d.drop_percent, default=None)
    return End(
        abs(design_current(trial, cable).current_a),
        tuple(trial.network.items[name] for name in names),
        device.rating_a if device else None,
        trial.sizes[cable.id],
        trial.capacity_a(cable.id),
        drop.drop_percent if drop else None,
        drop.limit.value if drop else None,
        held is not None and held.manner == "source",
    )


def consumers(network: Network, cable: Cable) -> tuple[str, ...]:
    """Return the consumers at which a cable ends: outlets, loads, chargers."""
    kinds = ("sockets", "GFCI receptacle", "load", "battery charger")
    owners = [network.owner[end] for core in cable.live for end in (core.a, core.b)]
    return tuple(dict.fromkeys(id_ for id_ in owners if network.items[id_].kind in kinds))


def parts(settled: Settled) -> Iterator[tuple[str, Part]]:
    """Yield what stands before the circuits; of a transfer switch, what the devices around it let through."""
    for item in settled.trial.network.items.values():
        spec = item.spec
        if isinstance(spec, TransferSwitch):
            asked = (let_through_a(feed, item) for feed in settled.feeding)
            yield item.id, Part(None, max(asked, default=0.0))
        elif isinstance(spec, Inverter):
            volts = spec.ac_voltage_v
            yield item.id, Part(volts, spec.power_w / volts if volts else None)
        elif isinstance(spec, Generator):
            yield item.id, Part(spec.voltage_v, spec.rating_a or spec.power_w / spec.voltage_v)
        elif isinstance(spec, AcSupply):
            yield item.id, Part(spec.voltage_v, spec.rating_a)
        elif isinstance(spec, SupplyInlet):
            yield item.id, Part(None, spec.rating_a)
