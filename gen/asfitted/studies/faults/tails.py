"""Where only insulation keeps the line from metal, because no current of a fault there clears it.

Between a fixed TT supply and the first residual current device of the build the loop runs through soil; between
the lead from ashore and an isolating transformer that keeps its earth, there is none but the water or the tyres.
Double or reinforced insulation is asked for (IEC 60364-5-53 531.3, IEC 60364-4-41 412; from memory).
"""

from asfitted.description.kinds import IsolatingTransformer
from asfitted.network.model import LINE, Network
from asfitted.network.potentials import Potentials
from asfitted.network.states import carries_load
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


def ahead_of_transformer(network: Network, terminal: str) -> bool:
    """Tell whether a live terminal lies on the shore side of an isolating transformer whose shore earth ends at
    its screen.
    """
    primaries = [
        f"{item.id}.primary.{conductor}"
        for item in network.of_kind("isolating transformer")
        if isinstance(item.spec, IsolatingTransformer) and item.spec.shore_earth != "continues"
        for conductor in ("L", "N")
    ]
    if not primaries:
        return False
    pairs = [(core.a, core.b) for core in network.cores.values() if carries_load(network, core)]
    pairs += [(join.a, join.b) for join in network.joins]
    pairs += [(contact.a, contact.b) for contact in network.contacts if contact.conductor != "PE"]
    potentials = Potentials(pairs)
    return any(potentials.same(primary, terminal) for primary in primaries)
