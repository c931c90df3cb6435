"""The overcurrent devices that lie in series between a source and what it feeds, and which of two opens first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from asfitted.description.kinds import AcSupply, Battery, Breaker, Fuse
from asfitted.network.model import Contact, Core, Network
from asfitted.studies.dc_checks import is_direct
from asfitted.studies.device_faults import DeviceFault
from asfitted.studies.faults.curves import Pair, breaker, fuse
from asfitted.studies.feeding import Element, overcurrent_device
from asfitted.studies.loops import LoopResult
from asfitted.studies.trial import Trial

#: ranges of current narrower than this ratio tell a reader nothing
_TELLING = 1.15
_SAMPLES = 4001


@dataclass(frozen=True)
class Chain:
    """Devices from a source on, the source itself standing for its own device; all that is alike as one.

    `last` are the devices at the end of chains that are alike, the first of them also the last of `devices`; `cable`
    is the weakest that lies behind one of them. Currents in A, None where nobody says: the greatest short-circuit
    at the last device, the least fault at the far end of what it protects; `residual` is the device that opens by
    its residual current where no overcurrent is sure to make one open at that least fault.
    """

    source: str
    devices: tuple[str, ...]
    last: tuple[str, ...]
    consumers: tuple[str, ...]
    cable: str
    direct: bool
    greatest_a: float | None
    least_a: float | None
    residual: str = ""

    def source_limits(self, network: Network) -> tuple[float, float] | None:
        """Return the current in A at which the source limits itself, and for how long in s; None if nobody says."""
        limit = None if self.direct else getattr(network.items[self.source].spec, "output_limit", None)
        return (float(limit.current_a), float(limit.duration_s)) if limit else None


def chains(trial: Trial, loops: tuple[LoopResult, ...], faults: tuple[DeviceFault, ...]) -> tuple[Chain, ...]:
    """Return every chain of overcurrent devices, those with equal devices in equal places as one."""
    facing = {(fault.device, fault.source): fault for fault in faults}
    found: dict[tuple[object, ...], Chain] = {}
    for chain in _single(trial, loops, facing):
        known = found.get(key := _alike(trial.network, chain))
        found[key] = _together(trial, known, chain) if known else chain
    return tuple(found.values())


def pair(network: Network, device: str, direct: bool) -> Pair:
    """Return the curves of a device; for an a.c. supply those of the site's own."""
    spec = network.items[device].spec
    if isinstance(spec, Fuse):
        return fuse(spec.type, float(spec.rating_a))
    if isinstance(spec, AcSupply):
        return breaker(spec.upstream.curve, float(spec.upstream.rating_a), direct)
    assert isinstance(spec, Breaker)  # noqa: S101  (nothing else is part of a chain)
    return breaker(spec.curve, float(spec.rating_a), direct)


def opens_first_a(down: Pair, up: Pair, greatest_a: float) -> tuple[tuple[float, float], ...]:
    """Return the ranges of current in A, up to the greatest, in which `down` has surely opened before `up` may.

    Its slowest curve against the fastest of the other, so that it holds for any two devices of these classes.
    """
    start = min(down.slow.points[0][0], greatest_a)
    amperes = np.geomspace(start, max(greatest_a, start), _SAMPLES)
    sure = down.slow.time_s(amperes) < up.fast.time_s(amperes)
    edges = np.flatnonzero(np.diff(np.concatenate(([False], sure, [False])).astype(int)))
    ranges = [
        (float(amperes[a]), float(amperes[b - 1])) for a, b in zip(edges[::2], edges[1::2], strict=True)
    ]
    return tuple((low, high) for low, high in ranges if high > _TELLING * low)


def _single(
    trial: Trial, loops: tuple[LoopResult, ...], facing: dict[tuple[str, str], DeviceFault]
) -> Iterator[Chain]:
    for source, consumer, way in (*_alternating(loops), *_direct(trial)):
        passed = [
            e.equipment
            for e in way
            if isinstance(e, Contact)
            and (fault := facing.get((e.equipment, source)))
            and overcurrent_device(trial.network, e)
            and (fault.greatest_a is None or fault.greatest_a > 0)
        ]
        devices = list(dict.fromkeys(passed))
        if not devices:
            continue
        fault = facing[devices[-1], source]
        spec = trial.network.items[source].spec
        own = [source] if isinstance(spec, AcSupply) and spec.upstream.rating_a else []
        loop = fault.loop
        least = fault.direct.least_a if fault.direct else loop.least_a if loop else None
        yield Chain(
            source,
            (*own, *devices),
            (devices[-1],),
            (consumer,),
            _weakest(trial, way, devices[-1]),
            is_direct(trial, trial.network.items[devices[-1]]),
            fault.greatest_a,
            least,
            loop.residual.device if loop and loop.residual and loop.outcome == "residual" else "",
        )


def _alternating(loops: tuple[LoopResult, ...]) -> Iterator[tuple[str, str, tuple[Element, ...]]]:
    for loop in loops:
        yield loop.source, loop.outlet, loop.way


def _direct(trial: Trial) -> Iterator[tuple[str, str, tuple[Element, ...]]]:
    """Yield the ways from each battery to what it feeds."""
    for scenario in trial.scenarios:
        if scenario.mode == "supply" or not isinstance(trial.network.items[scenario.source].spec, Battery):
            continue
        out, _ = trial.trees(scenario)
        for injection in scenario.injections:
            if injection.out in out.came:
                yield scenario.source, injection.item, out.way(injection.out)


def _weakest(trial: Trial, way: tuple[Element, ...], device: str) -> str:
    """Return the thinnest cable behind a device; empty if nothing but bars lies there."""
    last = max(n for n, e in enumerate(way) if isinstance(e, Contact) and e.equipment == device)
    behind = [e.cable for e in way[last:] if isinstance(e, Core)]
    return min(behind, key=lambda id_: trial.sizes[id_].mm2, default="")


def _alike(network: Network, chain: Chain) -> tuple[object, ...]:
    spec = network.items[chain.devices[-1]].spec
    kind = (spec.KIND, getattr(spec, "curve", ""), getattr(spec, "type", ""), getattr(spec, "rating_a", 0))
    return chain.source, chain.devices[:-1], kind


def _together(trial: Trial, a: Chain, b: Chain) -> Chain:
    cables = [cable for cable in (a.cable, b.cable) if cable]
    weaker = min((a, b), key=lambda chain: inf if chain.least_a is None else chain.least_a)
    return replace(
        a,
        last=tuple(dict.fromkeys((*a.last, *b.last))),
        consumers=tuple(dict.fromkeys((*a.consumers, *b.consumers))),
        cable=min(cables, key=lambda id_: trial.sizes[id_].mm2, default=""),
        greatest_a=None
        if None in (a.greatest_a, b.greatest_a)
        else max(a.greatest_a or 0, b.greatest_a or 0),
        least_a=weaker.least_a,
        residual=weaker.residual,
    )
