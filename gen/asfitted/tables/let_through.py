"""How fast fuses are, and what energy breakers let through: the gates of gG fuses, the points of other classes,
the energy limiting classes of breakers.
"""

from dataclasses import dataclass
from math import sqrt

from asfitted.tables.looked import Looked, NoRowError, Verified, looked, rows, weakest

Points = tuple[tuple[float, float], ...]
#: conventional non-fusing and fusing current of gG fuses from 16 A on, in multiples (IEC 60269-1 Table 2)
GG_HOLDS, GG_FUSES = 1.25, 1.6


@dataclass(frozen=True)
class FuseTimes:
    """The slowest and the fastest points of a fuse, as (current in A, time in s) with falling times."""

    slow: Points
    fast: Points
    source: str
    verified: Verified


def fuse_times(kind: str, rating_a: float) -> FuseTimes:
    """Return the points of a fuse: the gates of its rating where they are printed, else the multiples of its
    class. Raises NoRowError for an unknown class.
    """
    row = next(
        (r for r in rows("fuse_gates") if r["type"] == kind and float(r["rating_a"]) == rating_a), None
    )
    if row is not None:
        gate = {name: looked(row, name).value for name in row if name.endswith(("_a", "_a2s"))}
        hour = 3600.0 * (1 if rating_a <= 63 else 2 if rating_a <= 160 else 3)
        slow: Points = (
            (GG_FUSES * rating_a, hour),
            (gate["most_5s_a"], 5.0),
            (gate["most_0_1s_a"], 0.1),
            (sqrt(gate["most_i2t_0_01s_a2s"] / 0.01), 0.01),
        )
        fast: Points = (
            (GG_HOLDS * rating_a, hour),
            (gate["least_10s_a"], 10.0),
            (gate["least_0_1s_a"], 0.1),
            (sqrt(gate["least_i2t_0_01s_a2s"] / 0.01), 0.01),
        )
        return FuseTimes(slow, fast, row["source"], looked(row, "rating_a").verified)
    found = [r for r in rows("fuse_times") if r["type"] == kind]
    if not found:
        raise NoRowError("fuse_times", f"fuse {kind}")
    return FuseTimes(
        tuple((float(r["multiple"]) * rating_a, float(r["slow_s"])) for r in found),
        tuple((float(r["multiple"]) * rating_a, float(r["fast_s"])) for r in found if r["fast_s"]),
        found[-1]["source"],
        weakest(*(looked(r, "slow_s").verified for r in found)),
    )


def class_energy_a2s(energy_class: str, curve: str, rating_a: float, capacity_a: float) -> Looked:
    """Return the most that a breaker of an energy limiting class lets through in a short-circuit up to its
    breaking capacity, in A²s; NoRowError where nothing is printed.
    """
    fitting = [
        r
        for r in rows("energy_classes")
        if (r["class"], r["curve"], float(r["capacity_a"])) == (energy_class, curve, capacity_a)
        and rating_a <= float(r["to_a"])
    ]
    if not fitting:
        raise NoRowError("energy_classes", f"class {energy_class}, {curve}{rating_a:g}, {capacity_a:g} A")
    return looked(min(fitting, key=lambda r: float(r["to_a"])), "i2t_a2s")
