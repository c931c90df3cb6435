"""Resistance of a core at 20 °C, also where the class of its conductor is not given."""

from functools import cache

from asfitted.description.values import Size
from asfitted.network.model import Cable
from asfitted.tables.circuit_defaults import Bound
from asfitted.tables.conductors import resistance_20c_ohm_per_km
from asfitted.tables.looked import Looked, NoRowError


def core_resistance_20c(
    cable: Cable, size: Size, conductor_class: str | None, bound: Bound = "greatest"
) -> Looked:
    """Return the resistance of one core of `cable` at 20 °C, in ohm, by IEC 60228.

    Without a class of conductor the greatest of classes 2 and 5 is taken: for drops and for the least fault
    current. The greatest fault current wants the `least` of the two.
    """
    classes = {"class 2": (False,), "class 5": (True,)}.get(conductor_class or "", (True, False))
    if cable.flexible:
        classes = (True,)
    pick = max if bound == "greatest" else min
    found = pick((_per_km(size, flexible) for flexible in classes), key=lambda looked: looked.value)
    return Looked(found.value / 1000 * cable.length_m, found.source, found.verified, found.note)


@cache
def _per_km(size: Size, flexible: bool) -> Looked:
    try:
        return resistance_20c_ohm_per_km(size.designation, size.mm2, flexible)
    except NoRowError as missing:
        if missing.nearest is None:
            raise
        return missing.nearest
