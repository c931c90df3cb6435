"""American Wire Gauge: sizes that are sold, and the one to use for a metric conductor."""

from functools import cache

from asfitted.description.values import AWG_NUMBERS, Size, awg_area_mm2


@cache
def awg_sizes() -> tuple[Size, ...]:
    """Return the sizes from 18 AWG to 4/0, in ascending order (areas by ASTM B258)."""
    found = [
        Size(mm2=awg_area_mm2(n), designation=f"{name} AWG") for name, n in AWG_NUMBERS.items() if n <= 18
    ]
    return tuple(sorted(found, key=lambda size: size.mm2))


def next_smaller_awg(size: Size) -> str:
    """Return the designation of an AWG conductor, or of the largest one that is not above a metric conductor.

    Empty below 18 AWG.
    """
    if size.awg:
        return size.designation
    smaller = [s for s in awg_sizes() if s.mm2 <= size.mm2]
    return smaller[-1].designation if smaller else ""
