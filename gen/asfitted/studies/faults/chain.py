"""Why a fault is not cleared: device by device, what it would need and what it sees."""

from collections.abc import Iterator

import numpy as np

from asfitted.network.direct import GIVING
from asfitted.studies.faults.result import Reason
from asfitted.studies.faults.stage import Bench
from asfitted.studies.faults.verdict import Judged, reached_by_battery


def chain(bench: Bench, judged: Judged) -> tuple[Reason, ...]:
    """Return the reasons for an outcome that nothing clears; empty where something does in time."""
    if judged.verdict in ("in time", "harmless"):
        return ()
    return tuple(_reasons(bench, judged))


def _reasons(bench: Bench, judged: Judged) -> Iterator[Reason]:
    run = judged.run
    last = run.steps[-1]
    if run.fault.broken:
        yield Reason("broken", {"what": ", ".join(sorted(run.fault.broken))})
    for source in bench.sources:
        gives = source.kind == "limited" or dict(last.switched.state.direct).get(source.id) in GIVING
        running = source.kind != "diodes" and gives and source.id not in last.switched.stopped
        if running and last.current_a >= 0.98 * source.limit:
            yield Reason("source-limits", {"source": source.id, "current_a": source.limit})
    for number, device in enumerate(bench.units.devices if judged.verdict != "within rating" else ()):
        if device.id in last.switched.opened:
            continue
        load, residual = float(last.load_a[number]), float(last.residual_a[number])
        if device.overcurrent is not None and load > 0.5 and load >= 0.25 * last.current_a:
            rating = float(device.overcurrent.slow.points[0][0])
            magnetic = next((x for x, t in device.overcurrent.slow.points if t <= 0.11), rating)
            yield Reason(
                "breaker-needs",
                {"device": device.id, "current_a": load, "needs_a": magnetic, "sure_a": rating},
            )
        if device.residual is not None and (residual > 1e-4 or load > 0.5 or last.current_a < 0.5):
            trips = device.residual.slow(np.array([residual]))[0]
            if not np.isfinite(trips):
                yield Reason(
                    "residual-small",
                    {"device": device.id, "residual_a": residual, "rated_a": device.residual.rated_a},
                )
    carrying = [
        d
        for k, d in enumerate(bench.units.devices)
        if d.overcurrent and last.load_a[k] >= 0.25 * last.current_a
    ]
    ahead = _ahead_of_devices(bench, judged) if bench.direct else not carrying
    if judged.verdict == "current stays" and ahead:
        yield Reason("no-device")
    if judged.touched is not None:
        acted = [(name, step.end_s) for step in judged.touched.steps for name in step.acted]
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
