"""What the conductors aboard bear: for good by their capacity, for seconds by I²·t against k²·S²."""

from collections.abc import Collection
from math import inf

from asfitted.description.values import Size
from asfitted.network.model import Cable, Core, Network
from asfitted.studies.capacity import capacity, surroundings
from asfitted.tables.conductors import adiabatic_k
from asfitted.tables.looked import NoRowError
from asfitted.tables.rules import rule_set

#: shorter live tails ahead of a device are taken as proof against short-circuit (IEC 60364-4-43 434.2.1)
TAIL_M = 3.0


def capacities_a(network: Network) -> dict[str, float]:
    """Return I_z of each core by its id, where its cable lies; infinite for a size still to be chosen, or
    one for which the rules have no row.
    """
    rules = rule_set(network.description.build.rules)
    found: dict[str, float] = {}
    for cable in network.cables.values():
        around = surroundings(network, cable)
        of_size: dict[Size | None, float] = {None: inf}
        for core in cable.cores:
            if core.size not in of_size and core.size is not None:
                bears = capacity(cable, core.size, around, rules)
                of_size[core.size] = inf if bears.missing else bears.current_a
            found[core.id] = of_size[core.size]
    return found


def is_tail(cable: Cable, where: Collection[str]) -> bool:
    """Tell whether a cable is a short tail up to a device, at which a fault lies: it is taken as proof against
    short-circuit (IEC 60364-4-43 434.2.1).
    """
    return cable.length_m <= TAIL_M and cable.id in where


def withstand_a2s(network: Network, core: Core) -> float:
    """Return k²·S² of a core (IEC 60364-4-43 434.5.2); a size still to be chosen bears everything."""
    cable = network.cables[core.cable]
    if core.size is None:
        return inf
    role = "live" if core.conductor != "PE" else "in cable" if len(cable.cores) > 1 else "separate"
    insulation = cable.insulation.split()[0]
    try:
        k = adiabatic_k(role, insulation, cable.conductor_temp_c).value
    except NoRowError as missing:
        k = missing.nearest.value if missing.nearest else 100.0
    return (k * core.size.mm2) ** 2
