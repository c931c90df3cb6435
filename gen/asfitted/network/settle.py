"""Non-linear elements around a linear network: sources that limit their current, diodes of galvanic
isolators.

Both are electromotive forces of unknown size in an otherwise linear circuit, so that what they do follows
from the network's answer to one volt of each. A limiting source is folded back: its voltage is multiplied
by λ between 0 and 1, its phase kept. A string of diodes is a resistance with a voltage against the current.
Each alone has a closed form; several are settled one after the other until nothing changes.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from asfitted.network.one_way import one_way

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]

ROUNDS = 60
STILL = 1e-9


@dataclass(frozen=True)
class Adjustable:
    """A source whose size depends on its current. `limit` is its greatest r.m.s. current in A, or for
    diodes the r.m.s. voltage in V against the current.
    """

    kind: Literal["stiff", "limited", "diodes", "one way"]
    limit: float = 0.0


@dataclass(frozen=True)
class Settled:
    """What each source came to in each case.

    `scale` (sources × cases) multiplies the unit answers. `backwards` marks limited sources for which no
    voltage of theirs keeps the current within the limit: another source drives them. `still` is false where
    the regimes did not come to rest.
    """

    scale: Complex
    backwards: NDArray[np.bool_]
    still: NDArray[np.bool_]


def settle(sources: tuple[Adjustable, ...], start: Complex, own: Complex) -> Settled:
    """Return the sizes of all sources that agree with their currents.

    start: (sources × cases), the size of each with nothing limited; 0 for diodes, or for a source that is
    off. own: (sources × sources × cases), the current of source j for size 1 of source k, in A.
    """
    scale = start.copy()
    backwards = np.zeros(start.shape, dtype=bool)
    if any(source.kind == "one way" for source in sources):
        limits = np.array([source.limit if source.kind == "one way" else np.inf for source in sources])
        scale, still = one_way(limits, start, own)
        return Settled(scale, backwards, still)
    moving = [k for k, source in enumerate(sources) if source.kind != "stiff"]
    still = np.full(start.shape[1], len(moving) < 2)  # one alone has a closed form
    for _ in range(ROUNDS if moving else 0):
        before = scale.copy()
        for k in moving:
            others = np.einsum("jc,jc->c", own[k], scale) - own[k, k] * scale[k]
            if sources[k].kind == "limited":
                scale[k], backwards[k] = fold_back(others, own[k, k] * start[k], start[k], sources[k].limit)
            else:
                scale[k] = diodes(others, own[k, k], sources[k].limit)
        still = still | np.all(np.abs(scale - before) <= STILL * (1 + np.abs(before)), axis=0)
        if still.all():
            break
    return Settled(scale, backwards, still)


def fold_back(
    others: Complex, own: Complex, full: Complex, limit_a: float
) -> tuple[Complex, NDArray[np.bool_]]:
    """Return the size of a source folded back until |others + λ·own| is `limit_a`, and where no λ in [0, 1]
    does that.

    `own` is the source's current from its own full voltage, `others` that which all other sources drive
    through it. The greatest λ that holds the limit counts. Where there is none the source is taken at zero.
    """
    a = np.abs(own) ** 2
    half_b = np.real(others * np.conj(own))
    c = np.abs(others) ** 2 - limit_a**2
    too_much = np.abs(others + own) > limit_a
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(half_b**2 - a * c)
        low, high = (-half_b - root) / a, (-half_b + root) / a
    inside_high = (high >= 0) & (high <= 1)
    inside_low = (low >= 0) & (low <= 1)
    found = np.where(inside_high, high, np.where(inside_low, low, 0.0))
    backwards = too_much & ~(inside_high | inside_low)
    return np.where(too_much, found, 1.0) * full, backwards


def diodes(others: Complex, own: Complex, against_v: float) -> Complex:
    """Return the voltage of a diode string against its current: up to `against_v`, where it conducts
    exactly that.

    `others` is the current with the diodes shorted through their resistance, `own` that for one volt of
    theirs.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        blocking = np.where(np.abs(own) > 0, -others / own, 0)
    # conducting: i = others − V·own·i/|i|, so |i + V·own| = |others|, a quadratic in |i|
    half_b = np.real(own) * against_v
    c = (against_v * np.abs(own)) ** 2 - np.abs(others) ** 2
    size = -half_b + np.sqrt(np.maximum(half_b**2 - c, 0))
    with np.errstate(divide="ignore", invalid="ignore"):
        along = others / (size + against_v * own)
        conducting = -against_v * along / np.abs(along)
    return np.where((np.abs(blocking) <= against_v) | (size == 0), blocking, conducting)
