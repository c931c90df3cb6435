"""Each overcurrent device and each source that can drive a fault current through it: the greatest at the device, the
least behind it, and whether the least makes something open in time.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from asfitted.description.kinds import Breaker, Fuse
from asfitted.network.model import Contact, Core, Item
from asfitted.studies.dc_checks import is_direct
from asfitted.studies.demand_dc import lowest_voltage_v
from asfitted.studies.faults.curves import breaker, fuse
from asfitted.studies.feeding import PROTECTIVE, Element, overcurrent_device
from asfitted.studies.loops import LoopResult
from asfitted.studies.prospective import entry, origin, prospective
from asfitted.studies.protection import Feed
from asfitted.studies.scenario import Demand
from asfitted.studies.surge import source_ohm
from asfitted.studies.trial import Trial


@dataclass(frozen=True)
class DirectFault:
    """The least short-circuit that a device of a d.c. system must open: at a consumer, or before the next device
    behind it (`at`), battery empty, aged and cold, conductors hot. `time_s` is by when it has surely opened, infinite
    if it need not.
    """

    at: str
    least_a: float
    time_s: float


@dataclass(frozen=True)
class DeviceFault:
    """What one source can drive through a device: the greatest current at it, None where nobody says; and the worst
    earth fault at an outlet behind it (`loop`) or short-circuit on d.c. (`direct`).
    """

    device: str
    source: str
    greatest_a: float | None
    loop: LoopResult | None = None
    direct: DirectFault | None = None


def device_faults(
    trial: Trial, feeds: tuple[Feed, ...], notes: Demand, loops: tuple[LoopResult, ...]
) -> tuple[DeviceFault, ...]:
    """Return the faults that every overcurrent device faces from every source that reaches it."""
    origins = [(feed, origin(trial, notes, feed)) for feed in feeds]
    found: list[DeviceFault] = []
    for item in trial.network.of_kind(*PROTECTIVE):
        greatest: dict[str, float | None] = {}
        for feed, source in origins:
            terminal = entry(trial, feed.tree, item)
            if terminal is None:
                continue
            at = prospective(trial, feed, source, terminal)
            known = greatest.get(feed.source, 0.0)
            greatest[feed.source] = None if at is None or known is None else max(known, at.current_a)
        direct = is_direct(trial, item)
        found += [
            DeviceFault(
                item.id,
                source,
                current,
                None if direct else _worst_loop(item, source, loops),
                _least_direct(trial, notes, item, source) if direct else None,
            )
            for source, current in greatest.items()
        ]
    return tuple(found)


def _worst_loop(item: Item, source: str, loops: tuple[LoopResult, ...]) -> LoopResult | None:
    """Return the loop through a device that is disconnected last, or never; of those alike that with the least
    current.
    """
    through = [
        loop
        for loop in loops
        if loop.source == source and any(isinstance(e, Contact) and e.equipment == item.id for e in loop.way)
    ]

    def badness(loop: LoopResult) -> tuple[bool, float, float]:
        time = loop.time_s if loop.time_s is not None else float("inf")
        settled = loop.outcome in ("overcurrent", "residual", "collapses")
        return not settled, time, -(loop.least_a or 0.0)

    return max(through, key=badness, default=None)


def _least_direct(trial: Trial, notes: Demand, item: Item, source: str) -> DirectFault | None:
    found = list(_direct(trial, notes, item, source))
    return min(found, key=lambda fault: fault.least_a, default=None)


def _direct(trial: Trial, notes: Demand, item: Item, source: str) -> Iterator[DirectFault]:
    """Yield the short-circuit at the far end of each way that a device protects while a battery feeds it."""
    battery = trial.network.items[source]
    battery_ohm = source_ohm(battery)
    if not battery_ohm:
        return
    voltage = lowest_voltage_v(notes, battery)
    for scenario in trial.scenarios:
        if scenario.source != source or scenario.mode == "supply":
            continue
        out, back = trial.trees(scenario)
        ways = [
            (i.item, way, back.way(i.back))
            for i in scenario.injections
            if i.out in out.came
            and i.back in back.came
            and _position(way := out.way(i.out), item) is not None
        ]
        shared = set.intersection(*(set(_cores(returning)) for _, _, returning in ways)) if ways else set()
        for consumer, way, returning in ways:
            own = _position(way, item) or 0
            beyond = next((n for n, e in enumerate(way) if n > own and _protects(trial, e, item)), None)
            next_ = way[beyond] if beyond is not None else None
            at = next_.equipment if isinstance(next_, Contact) else consumer
            cores = [*_cores(way[:beyond]), *(_cores(returning) if next_ is None else shared)]
            current = voltage / (battery_ohm + sum(trial.impedance(core, False).real for core in cores))
            yield DirectFault(at, current, _slowest_s(item.spec, current))


def _position(way: tuple[Element, ...], item: Item) -> int | None:
    """Return where on a way the last pole of a device lies."""
    return next(
        (n for n, e in reversed(list(enumerate(way))) if isinstance(e, Contact) and e.equipment == item.id),
        None,
    )


def _protects(trial: Trial, element: Element, item: Item) -> bool:
    """Tell whether an element is a pole of another overcurrent device."""
    other = isinstance(element, Contact) and element.equipment != item.id
    return other and overcurrent_device(trial.network, element) is not None


def _cores(way: tuple[Element, ...]) -> list[Core]:
    return [element for element in way if isinstance(element, Core)]


def _slowest_s(spec: object, current_a: float) -> float:
    """Return the time after which a device has surely opened on d.c."""
    if isinstance(spec, Fuse):
        pair = fuse(spec.type, float(spec.rating_a))
    else:
        assert isinstance(spec, Breaker)  # noqa: S101  (asked for by kind)
        pair = breaker(spec.curve, float(spec.rating_a), direct=True)
    return float(pair.slow.time_s(np.array([current_a]))[0])
