"""What lies between a fixed TT supply and the first residual current device of the build.

The loop runs through soil, so that no overcurrent device clears a fault to metal there: only double or
reinforced insulation keeps the line from it (IEC 60364-5-53 531.3, IEC 60364-4-41 412; from memory).
"""

from asfitted.network.model import LINE, Network
from asfitted.network.potentials import Potentials
from asfitted.studies.coverage import residual_a
from asfitted.studies.electrodes import fixed_tt


def ahead_of_rcd(network: Network, terminal: str) -> bool:
    """Tell whether a terminal is reached from a fixed TT supply without passing a residual current device."""
    supplies = [item.id for item in network.of_kind("ac supply") if fixed_tt(network, item.id)]
    if not supplies:
        return False
    pairs = [(core.a, core.b) for core in network.cores.values()]
    pairs += [(join.a, join.b) for join in network.joins]
    pairs += [(c.a, c.b) for c in network.contacts if residual_a(network.items[c.equipment]) is None]
    potentials = Potentials(pairs)
    live = (f"{supply}.{conductor}" for supply in supplies for conductor in (*LINE, "N"))
    return any(potentials.same(start, terminal) for start in live)
