"""Why a fault is not cleared, or too late: each device between source and fault, what it would need and what it
sees.
"""

from collections.abc import Iterator, Mapping

import numpy as np

from asfitted.network.direct import GIVING
from asfitted.studies.bonding import islands
from asfitted.studies.faults.curves import AT_ONCE_S
from asfitted.studies.faults.feeders import Feeder, feeders
from asfitted.studies.faults.heat import overloads
from asfitted.studies.faults.result import Reason
from asfitted.studies.faults.sequence import Run, Step
from asfitted.studies.faults.stage import Bench
from asfitted.studies.faults.units import Device
from asfitted.studies.faults.unwanted import unwanted
from asfitted.studies.faults.verdict import Judged, reached_by_battery

#: a device that carries less than this share of a fault current does not lie on its way
ON_THE_WAY = 0.25
#: below this no overcurrent is spoken of
NOTHING_A = 0.5
#: so many cores are named of those that carry too much
OVERLOADS_TOLD = 2
#: a residual current that is leakage and nothing else
LEAKAGE_A = 0.001


def chain(bench: Bench, judged: Judged) -> tuple[Reason, ...]:
    """Return the reasons for an outcome that nothing clears; empty where something does in time."""
    service = tuple(unwanted(bench, judged.run)) if judged.run.fault.kind == "none" else ()
    if service or judged.verdict in ("in time", "harmless"):
        return service
    return tuple(_reasons(bench, judged))


def _reasons(bench: Bench, judged: Judged) -> Iterator[Reason]:
    run = judged.run
    step = _telling(judged)
    if run.fault.broken:
        yield Reason("broken", {"what": ", ".join(sorted(run.fault.broken))})
    before = dict.fromkeys(name for s in run.steps[: run.steps.index(step)] for name in s.acted)
    if before:
        yield Reason("after", {"units": ", ".join(before)})
    fed = _feeders(bench, step)
    feeding = {fed[node].source for node in run.fault.port or () if node in fed}
    for source in bench.sources:
        if feeding and not bench.direct and source.id not in feeding:
            continue
        gives = source.kind == "limited" or dict(step.switched.state.direct).get(source.id) in GIVING
        running = source.kind != "diodes" and gives and source.id not in step.switched.stopped
        if running and step.current_a >= 0.98 * source.limit:
            yield Reason("source-limits", {"source": source.id, "current_a": source.limit})
    on_the_way = _on_the_way(bench, run, step) if judged.verdict != "within rating" else []
    flows = run.fault.port is not None and step.current_a > NOTHING_A
    carrying = [k for k in on_the_way if flows and _carries(bench.units.devices[k], step, k)]
    if run.fault.port is not None and not flows:
        yield Reason("no-current", {"current_ma": _rounded(1000 * step.current_a)})
    for number in carrying:
        yield _overcurrent(bench.units.devices[number], float(step.load_a[number]))
    residual = [k for k in on_the_way if bench.units.devices[k].residual is not None]
    yield from _residual(bench, run, step, residual)
    ahead = _ahead_of_devices(bench, judged) if bench.direct else not carrying
    if judged.verdict == "current stays" and ahead:
        yield Reason("no-device")
    for heavy in overloads(bench, run)[:OVERLOADS_TOLD]:
        fields = {
            "core": heavy.core,
            "current_a": _rounded(heavy.current_a),
            "bears_a": _rounded(heavy.capacity_a),
        }
        yield Reason("overloaded", fields)
    if judged.touched is not None:
        acted = [(name, s.end_s) for s in judged.touched.steps for name in s.acted]
        if judged.verdict == "only when touched" and acted:
            yield Reason("touch-trips", {"device": acted[0][0], "time_s": acted[0][1]})
        elif judged.worst is not None:
            yield Reason("touch-trips-nothing", {"current_ma": 1000 * judged.worst[1].current_a})


def _ahead_of_devices(bench: Bench, judged: Judged) -> bool:
    """Tell whether a battery reaches a fault of direct current through no overcurrent device at all.

    What its devices carry meanwhile does not tell: that may be the loads'.
    """
    network = bench.equivalent.network
    devices = {device.id for device in bench.units.devices if device.overcurrent}
    return reached_by_battery(network, judged.run.steps[-1].switched.state, devices, judged.run.fault.at)


def _telling(judged: Judged) -> Step:
    """Return the stage that shows why: the one that lasts, of what is cleared too late the longest before it."""
    steps = judged.run.steps
    if judged.verdict != "late" or len(steps) == 1:
        return steps[-1]
    return max(steps[:-1], key=lambda step: step.end_s - step.start_s)


def _on_the_way(bench: Bench, run: Run, step: Step) -> list[int]:
    """Return the numbers of the devices, still closed, between the fault and its source.

    A fault that has no place of its own is in every circuit: those devices that carry most stand for all.
    """
    devices = bench.units.devices
    still = [k for k, device in enumerate(devices) if device.id not in step.switched.opened]
    if run.fault.port is None:
        most = max((float(step.load_a[k]) for k in still), default=0.0)
        return [k for k in still if most > NOTHING_A and step.load_a[k] >= most / 2]
    fed = _feeders(bench, step)
    passed = [k for node in run.fault.port if node in fed for k in fed[node].devices]
    return [k for k in dict.fromkeys(passed) if k in still]


def _feeders(bench: Bench, step: Step) -> Mapping[str, Feeder]:
    return bench.remembered(("feeders", step.switched.base), lambda: feeders(bench, step.switched))


def _carries(device: Device, step: Step, number: int) -> bool:
    load = float(step.load_a[number])
    return device.overcurrent is not None and load > NOTHING_A and load >= ON_THE_WAY * step.current_a


def _overcurrent(device: Device, load_a: float) -> Reason:
    """Return what a device with overcurrent release says of the current that it carries."""
    assert device.overcurrent is not None  # noqa: S101  (asked by the caller)
    slow = device.overcurrent.slow
    multiple = _rounded(load_a / device.rated_a)
    fields = {"device": device.id, "current_a": _rounded(load_a), "multiple": multiple}
    at_once = next((amperes for amperes, time in slow.points if time <= AT_ONCE_S), None)
    time_s = float(slow.time_s(np.array([load_a]))[0])
    if device.overcurrent.magnetic and at_once is not None and not np.isfinite(time_s):
        return Reason("breaker-needs", {**fields, "needs_a": _rounded(at_once)})
    if not np.isfinite(time_s):
        return Reason("device-carries", {**fields, "needs_a": _rounded(slow.points[0][0])})
    if device.overcurrent.magnetic and at_once is not None and load_a < at_once:
        return Reason("breaker-slow", {**fields, "needs_a": _rounded(at_once), "time_s": _rounded(time_s)})
    return Reason("device-slow", {**fields, "time_s": _rounded(time_s)})


def _rounded(value: float) -> float:
    """Return a value with the three digits that a reason needs."""
    return float(f"{value:.3g}")


def _residual(bench: Bench, run: Run, step: Step, numbers: list[int]) -> Iterator[Reason]:
    """Yield why residual current devices do not see a fault: those that see nothing share one reason."""
    blind: list[int] = []
    for number in numbers:
        release, residual = bench.units.devices[number].residual, float(step.residual_a[number])
        steady = float(step.direct_a[number])
        if release is not None and steady > release.direct_a:
            yield Reason(
                "residual-direct",
                {"device": bench.units.devices[number].id, "direct_ma": _rounded(1000 * steady),
                 "bears_ma": _rounded(1000 * release.direct_a)},
            )  # fmt: skip
            continue
        if release is None or np.isfinite(release.slow(np.array([residual]))[0]):
            continue
        if residual < LEAKAGE_A:
            blind.append(number)
        else:
            yield Reason(
                "residual-small",
                {
                    "device": bench.units.devices[number].id,
                    "residual_a": residual,
                    "rated_a": release.rated_a,
                },
            )
    if blind:
        names = ", ".join(bench.units.devices[k].id for k in blind)
        yield Reason(_blinded_by(bench, run, step, blind), {"device": names})


def _blinded_by(bench: Bench, run: Run, step: Step, blind: list[int]) -> str:
    """Return why devices see no residual current: the current comes back through them, or it has no way back."""
    if max(float(step.load_a[k]) for k in blind) > NOTHING_A and step.current_a > NOTHING_A:
        return "residual-balanced" if run.fault.kind == "live to neutral" else "residual-behind"
    if run.fault.port is None:
        return "residual-balanced"
    state = step.switched.state
    live = bench.remembered(("islands", step.switched.base), lambda: islands(state))
    gone = {id_.removesuffix("#bond") for id_ in run.fault.broken if id_.endswith("#bond")}
    fed = [island for island in live if not island.idle]
    unbonded = any(not [tie for tie in island.ties if tie.at not in gone] for island in fed)
    return "residual-no-bond" if unbonded else "residual-none"
