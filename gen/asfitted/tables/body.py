"""Impedance of the human body and the zones of effects of alternating current: IEC 60479-1."""

from bisect import bisect
from functools import cache, lru_cache
from typing import Literal

import numpy as np

from asfitted.tables.looked import rows

Percentile = Literal[5, 50, 95]
Zone = Literal["AC-1", "AC-2", "AC-3", "AC-4"]
#: how a current threatens the heart by its way through the body, beside the same from the left hand to the feet
#: (IEC 60479-1 Table 12, from memory)
Way = Literal["hand to feet", "hand to hand"]
HEART_CURRENT_FACTOR: dict[Way, float] = {"hand to feet": 1.0, "hand to hand": 0.4}
Values = np.typing.NDArray[np.float64]


@cache
def _impedance(percentile: Percentile) -> tuple[Values, Values]:
    found = [
        (float(r["touch_voltage_v"]), float(r["impedance_ohm"]))
        for r in rows("body_impedance")
        if r["percentile"] == str(percentile)
    ]
    volts, ohms = zip(*sorted(found), strict=True)
    return np.array(volts), np.array(ohms)


def body_impedance_ohm(touch_voltage_v: Values | float, percentile: Percentile = 5) -> Values:
    """Return the total body impedance that `percentile` per cent of people do not exceed, hand to hand or
    foot.

    Between the printed voltages it is interpolated; outside them the nearest printed value is taken.
    """
    volts, ohms = _impedance(percentile)
    return np.asarray(np.interp(touch_voltage_v, volts, ohms))


@cache
def _points(percentile: Percentile) -> tuple[list[float], list[float]]:
    volts, ohms = _impedance(percentile)
    return volts.tolist(), ohms.tolist()


def body_ohm(touch_voltage_v: float, percentile: Percentile = 5) -> float:
    """Return the same for one voltage, without the cost of an array."""
    volts, ohms = _points(percentile)
    above = bisect(volts, touch_voltage_v)
    if above in (0, len(volts)):
        return ohms[min(above, len(volts) - 1)]
    share = (touch_voltage_v - volts[above - 1]) / (volts[above] - volts[above - 1])
    return ohms[above - 1] + share * (ohms[above] - ohms[above - 1])


@cache
def _curve(name: str) -> tuple[Values, Values]:
    found = [(float(r["time_s"]), float(r["current_ma"])) for r in rows("body_zones") if r["curve"] == name]
    seconds, currents = zip(*sorted(found), strict=True)
    return np.log(np.array(seconds)), np.log(np.array(currents))


@lru_cache(4096)  # the times of a study are few and come again
def curve_ma(name: Literal["a", "b", "c1"], time_s: float) -> float:
    """Return the current in mA on a curve of IEC 60479-1 for a current flow of `time_s`, log–log
    between points.
    """
    seconds, currents = _curve(name)
    return float(np.exp(np.interp(np.log(max(time_s, 1e-3)), seconds, currents)))


def zone(current_ma: float, time_s: float, way: Way = "hand to feet") -> Zone:
    """Return the zone of IEC 60479-1 for a body current that flows for `time_s`.

    Its way counts where the heart is concerned only: muscles cramp whichever way it goes.
    """
    if current_ma <= curve_ma("a", time_s):
        return "AC-1"
    if current_ma <= curve_ma("b", time_s):
        return "AC-2"
    return "AC-3" if HEART_CURRENT_FACTOR[way] * current_ma <= curve_ma("c1", time_s) else "AC-4"
