"""Voltage drop: ΔU = I·(R·cos φ + X·sin φ) per conductor, summed out and back."""

from collections.abc import Callable, Mapping

from asfitted.description.values import Size
from asfitted.network.model import Cable, Core
from asfitted.network.resistance import core_resistance_20c
from asfitted.studies.feeding import Tree
from asfitted.tables.conductors import copper, resistance_at


def core_impedance(cable: Cable, size: Size, conductor_class: str | None, ac: bool) -> complex:
    """Return the impedance of one core at the operating temperature of its insulation, in ohm; no reactance
    on d.c.
    """
    resistance = resistance_at(
        core_resistance_20c(cable, size, conductor_class).value, cable.conductor_temp_c
    )
    reactance = copper("reactance").value / 1000 * cable.length_m if ac else 0.0
    return complex(resistance, reactance)


def drop_v(current_a: complex, impedance_ohm: complex) -> float:
    """Return the drop in V of a current in an impedance, phasors against the supply voltage."""
    return (current_a * impedance_ohm).real


def conductors_in_series(cable: Cable) -> int:
    """Return b: how many conductors of a cable the current passes one after the other, out and back."""
    return min(len(cable.live), 2)


def along(
    tree: Tree,
    terminal: str,
    currents_a: Mapping[str, complex],
    impedance: Callable[[Core], complex],
    returning: bool,
) -> dict[str, float]:
    """Return core id -> drop in V on the way of `tree` to `terminal`, for the current towards the load.

    `currents_a` are those of a flow, from end a to end b of each core; on the returning side they count the
    other way.
    """
    found: dict[str, float] = {}
    for element in tree.way(terminal):
        if isinstance(element, Core):
            forward = (tree.fed_end(element) == element.a) != returning
            current = currents_a.get(element.id, 0j)
            found[element.id] = drop_v(current if forward else -current, impedance(element))
    return found
