"""The time of a changeover by a filmed lamp: what a number of dark frames proves.

The lamp goes dark at some moment between the last bright frame and the first dark one, and comes back likewise: a gap
that shows N dark frames lasted longer than N − 1 and less than N + 1 frame intervals.
"""

import math

#: frames per second that cameras at hand give
RATES = (30.0, 60.0, 120.0, 240.0)
#: changes filmed each way; the longest counts
REPEATS = 10


def bounds_s(dark_frames: int, rate_hz: float) -> tuple[float, float]:
    """Return the shortest and the longest gap that shows `dark_frames` at `rate_hz` frames a second."""
    return max(0, dark_frames - 1) / rate_hz, (dark_frames + 1) / rate_hz


def most_frames(limit_s: float, rate_hz: float) -> int | None:
    """Return the most dark frames that still prove a gap of at most `limit_s`; None if the camera is too slow
    to show even one.
    """
    frames = math.floor(limit_s * rate_hz + 1e-9) - 1
    return frames if frames >= 1 else None


def least_rate_hz(limit_s: float) -> float:
    """Return the slowest frame rate at which a gap within `limit_s` can be proved at all, with one dark frame."""
    return 2 / limit_s
