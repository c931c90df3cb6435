"""The most energy that an overcurrent device lets through at a fault current: I²·t by its slowest curve, or less
where it is known to limit the current.
"""

from dataclasses import dataclass
from math import inf

import numpy as np

from asfitted.description.kinds import Breaker, Fuse
from asfitted.studies.faults.curves import AT_ONCE_S, Curve, breaker, fuse
from asfitted.studies.results import Input
from asfitted.tables.let_through import class_energy_a2s, fuse_times
from asfitted.tables.looked import NoRowError, Verified

#: half a period: a breaker that trips at once on a.c. opens about then; the maker's let-through energy is less
HALF_PERIOD_S = 0.01
#: the flat end of a curve, read between logarithms
NOT_LATER_S = AT_ONCE_S * (1 + 1e-6)


@dataclass(frozen=True)
class Energy:
    """Energy in A²s that a device lets through at a current in A, infinite if it is not sure to open; `time_s`
    is its operating time, None where the energy was published as such.
    """

    current_a: float
    a2s: float
    time_s: float | None
    source: str
    verified: Verified


def let_through(spec: Breaker | Fuse, current_a: float, direct: bool) -> Energy | None:
    """Return the most energy that a device lets through at a prospective current; None where no curve and no
    figure of its maker says.
    """
    by_time = _fuse(spec, current_a) if isinstance(spec, Fuse) else _breaker(spec, current_a, direct)
    if by_time is not None and (by_time.time_s or 0.0) > NOT_LATER_S:
        return by_time  # too little current for it to be limited
    given = spec.let_through_a2s
    found = [
        by_time,
        Energy(current_a, given, None, "", "read") if given else None,
        None if direct or isinstance(spec, Fuse) else _by_class(spec, current_a),
    ]
    return min((energy for energy in found if energy), key=lambda energy: energy.a2s, default=None)


def energy_inputs(energy: Energy) -> tuple[str, tuple[Input, ...]]:
    """Return the root of an energy as a formula, and its inputs."""
    origin = "assumed" if energy.verified == "assumed" else "table" if energy.source else "rating"
    if energy.time_s is None:
        return "√(I²t)", (Input("I²t", energy.a2s, "A²s", origin),)
    time = Input("t", energy.time_s, "s", "assumed" if energy.verified == "assumed" else "table")
    return "√(I² · t)", (Input("I", energy.current_a, "A", "source"), time)


def _fuse(spec: Fuse, current_a: float) -> Energy:
    times = fuse_times(spec.type, float(spec.rating_a))
    last_a, last_s = times.slow[-1]
    if current_a >= last_a:  # it melts so fast that no heat leaves it: the energy stays
        energy = last_a**2 * last_s
        return Energy(current_a, energy, energy / current_a**2, times.source, times.verified)
    time = _time_s(fuse(spec.type, float(spec.rating_a)).slow, current_a)
    return Energy(current_a, current_a**2 * time, time, times.source, times.verified)


def _breaker(spec: Breaker, current_a: float, direct: bool) -> Energy | None:
    if spec.curve is None:
        return None  # it may trip at once, but no standard promises it
    pair = breaker(spec.curve, float(spec.rating_a), direct)
    time = _time_s(pair.slow, current_a)
    verified: Verified = "read"
    if pair.magnetic and time <= NOT_LATER_S:
        time, verified = HALF_PERIOD_S, "assumed"
    return Energy(current_a, current_a**2 * time, time, "IEC 60898-1 Table 7", verified)


def _by_class(spec: Breaker, current_a: float) -> Energy | None:
    """Return what the energy limiting class of a breaker promises up to its breaking capacity."""
    if not (spec.energy_class and spec.curve and spec.breaking_capacity_a):
        return None
    if current_a > spec.breaking_capacity_a:
        return None
    try:
        found = class_energy_a2s(
            spec.energy_class, spec.curve, float(spec.rating_a), float(spec.breaking_capacity_a)
        )
    except NoRowError:
        return None
    return Energy(current_a, found.value, None, found.source, found.verified)


def _time_s(curve: Curve, current_a: float) -> float:
    return float(curve.time_s(np.array([current_a]))[0]) if current_a > 0 else inf
