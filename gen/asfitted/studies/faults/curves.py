"""Fastest and slowest curve of every protective device, from its standard.

A device has operated for certain only after its slowest curve; it may have operated from its fastest on. Slow
times give the order of operation and the printed time, fast times what else may open.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfitted.tables.devices import conventional_currents, instantaneous_band, rcd_time_s, trip_times_s
from asfitted.tables.let_through import Points, fuse_times

Real = NDArray[np.float64]
JUST_BELOW = 1 - 1e-9
#: shortest time that any device is credited with
LEAST_S = 1e-3
#: a magnetic release needs up to this much more direct current (makers' data, from memory)
DC_RELEASE = 1.5
#: within this a circuit-breaker that trips at once has opened (IEC 60898-1 Table 7)
AT_ONCE_S = 0.1


@dataclass(frozen=True)
class Curve:
    """Operating time against current, log–log between points; none before the first point, the last
    one's after.
    """

    points: tuple[tuple[float, float], ...]

    def time_s(self, current: Real) -> Real:
        """Return the time in s for each current, in the unit of the points; infinite below the first."""
        if not self.points:
            return np.full(current.shape, inf)
        x, y = (np.array(part) for part in zip(*self.points, strict=True))
        with np.errstate(divide="ignore"):
            found = np.exp(np.interp(np.log(np.maximum(current, 1e-12)), np.log(x), np.log(y)))
        return np.asarray(np.where(current < x[0], inf, found))


@dataclass(frozen=True)
class Pair:
    """The slowest and the fastest curve of a release; currents in A.

    `magnetic`: in the flat end of its slow curve it opens within half a period of alternating current, although the
    standard promises no more than 0.1 s. `thermal`: below that it is a bimetal that follows the conductor's heat.
    """

    slow: Curve
    fast: Curve
    magnetic: bool = False
    thermal: bool = False


def breaker(curve: str | None, rating_a: float, direct: bool = False) -> Pair:
    """Return the curves of a circuit-breaker to IEC 60898-1, of a thermal one without magnetic release if
    no `curve`.

    Between the conventional tripping current and the magnetic release the standard promises two steps only;
    the slow curve joins them and goes on with constant I²t, which is how a bimetal behaves.
    """
    i1, i2 = (looked.value for looked in conventional_currents("breaker", rating_a))
    (multiple, window), *_ = trip_times_s("breaker", rating_a) or [(2.55, None)]
    longest, shortest = (window.high, window.low) if window else (120.0, 1.0)
    at = multiple * rating_a
    slow = [(i2, 3600.0), (at, longest)]
    fast = [(i1, 600.0), (at, shortest)]
    if curve is None:
        # UL 489 promises 135 % in an hour and 200 % in two minutes, and no magnetic release (from memory)
        end = 50 * rating_a
        end_s = longest * (at / end) ** 2
        return Pair(Curve((*slow, (end, end_s))), Curve((*fast, (5 * rating_a, LEAST_S))), thermal=True)
    band = instantaneous_band(curve)
    release = band.high * rating_a * (DC_RELEASE if direct else 1)
    slow += [(release * JUST_BELOW, longest * (at / release) ** 2), (release, AT_ONCE_S)]
    least = band.low * rating_a
    if least > at:
        # at the lower limit of the magnetic release it must not trip within 0.1 s
        fast.append((least, max(shortest * (at / least) ** 2, 0.1)))
    fast.append((least / JUST_BELOW, LEAST_S))
    return Pair(Curve(tuple(slow)), Curve(tuple(fast)), magnetic=not direct, thermal=True)


def fuse(kind: str, rating_a: float) -> Pair:
    """Return the curves of a fuse from the points of its class or rating."""
    times = fuse_times(kind, rating_a)
    return Pair(Curve((*times.slow, _beyond(times.slow))), Curve((*times.fast, _beyond(times.fast))))


def _beyond(points: Points) -> tuple[float, float]:
    """Return a point far behind the last one: a fuse that melts so fast loses no heat, I²t stays."""
    current, time = points[-1]
    return 10 * current, max(time / 100, LEAST_S)


@dataclass(frozen=True)
class Residual:
    """A residual current release: its rated current and times, and what direct current does to it."""

    rated_a: float
    slow: Callable[[Real], Real]
    fast: Callable[[Real], Real]
    direct_a: float
    sees_direct: bool = False
    needs_supply: float = 0.0


#: smooth direct current above which a type is no longer guaranteed to operate: IEC 61008-1, IEC 62423
_BLINDED_ABOVE_A = {"AC": 1e-4, "A": 0.006, "F": 0.010, "B": inf}


def rcd(rated_a: float, type_: str, delay: Literal["none", "selective"]) -> Residual:
    """Return the release of a residual current device to IEC 61008-1, of a type for its waveform."""
    edges = [1.0, 2.0, 5.0]
    slow_s = [rcd_time_s(delay, edge, "longest").value for edge in edges]
    if delay == "selective":
        fast_s = [rcd_time_s(delay, edge, "shortest").value for edge in edges]
        fast = _steps([0.5 * rated_a, 2 * rated_a, 5 * rated_a], fast_s)
    else:
        fast = _steps([0.5 * rated_a], [0.0])
    amperes = [rated_a, 2 * rated_a, 5 * rated_a]
    if rated_a <= 0.030:
        amperes[2] = max(amperes[2], 0.25)  # 0.25 A may replace 5 IΔn in the test of such a device
    return Residual(rated_a, _steps(amperes, slow_s), fast, _BLINDED_ABOVE_A[type_], type_ == "B")


def gfci() -> Residual:
    """Return the release of a Class A ground-fault circuit interrupter: T = (20/I)^1.43, I in mA (UL 943)."""

    def slow(current: Real) -> Real:
        with np.errstate(divide="ignore"):
            time = np.maximum((0.020 / np.maximum(current, 1e-9)) ** 1.43, 0.025)
        return np.asarray(np.where(current >= 0.006, time, inf))

    return Residual(0.006, slow, _steps([0.004], [0.0]), inf, needs_supply=0.85)


def _steps(amperes: list[float], seconds: list[float]) -> Callable[[Real], Real]:
    edges, times = np.array(amperes), np.array([inf, *seconds])

    def time_s(current: Real) -> Real:
        return np.asarray(times[np.searchsorted(edges, current, side="right")])

    return time_s
