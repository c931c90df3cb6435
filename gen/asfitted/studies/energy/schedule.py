"""A kind of day, minute by minute: when it is plugged in, driven, and what runs when.

Nobody writes a timetable for a holiday. What has a time runs then; what is spread runs at its mean power all day; what
has neither ends at ten in the evening together with all else: after the sun, everything at once, the worst order.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfitted.description.schema import Day
from asfitted.description.values import Run
from asfitted.tables.energy import default

Series = NDArray[np.float64]
MINUTES = 1440
STEP_H = 1 / 60
#: the hour at which a day begins when the question is for how long a battery lasts: breakfast
BREAKFAST_H = 7


@dataclass(frozen=True)
class Schedule:
    """Shares from 0 to 1 for each minute of a day."""

    plugged: Series
    generator: Series
    driving: Series


def schedule(day: Day) -> Schedule:
    """Return when a day is plugged in, on the generator and driven; without a time each starts as is usual."""
    return Schedule(_block(day.plugged_in, 20.0), _block(day.generator, 17.0), _block(day.drive, 9.0))


def profile(run: Run) -> Series:
    """Return the share of its power that something takes in each minute."""
    if run.spread or run.duration_s >= 86_400:
        return np.full(MINUTES, run.duration_s / 86_400)
    end = default("evening ends").value
    start = run.from_h if run.from_h is not None else (end - run.duration_s / 3600) % 24
    return _from(start, run.duration_s)


def always() -> Series:
    """Return the profile of what never rests."""
    return np.ones(MINUTES)


def nothing() -> Series:
    """Return the profile of what does not run."""
    return np.zeros(MINUTES)


def _block(run: Run | None, usual_start_h: float) -> Series:
    if run is None or run.duration_s <= 0:
        return nothing()
    if run.spread or run.duration_s >= 86_400:
        return np.ones(MINUTES) if run.duration_s >= 86_400 else _from(usual_start_h, run.duration_s)
    return _from(run.from_h if run.from_h is not None else usual_start_h, run.duration_s)


def _from(start_h: float, duration_s: float) -> Series:
    """Return a block that begins at an hour and goes on past midnight; a minute that it fills in part counts in part."""
    start, length = start_h * 60, duration_s / 60
    edges = np.arange(MINUTES + 1, dtype=np.float64)

    def covered(a: float, b: float) -> Series:
        part: Series = np.clip(np.minimum(edges[1:], b) - np.maximum(edges[:-1], a), 0.0, 1.0)
        return part

    block: Series = covered(start, start + length) + covered(start - MINUTES, start + length - MINUTES)
    return block
