"""How many socket-outlets hang on a cable, as a branch circuit sees them."""

from asfitted.description.kinds import Sockets
from asfitted.network.model import Cable, Network
from asfitted.studies.feeding import PROTECTIVE


def receptacles_on(network: Network, cable: Cable) -> int:
    """Return the number of socket-outlets reached from a cable without passing an overcurrent device."""
    if cable.kind not in ("ac", "L", "N"):
        return 0
    barred = {item.id for item in network.of_kind(*PROTECTIVE)}
    edges: dict[str, set[str]] = {}
    lines = [(core.a, core.b) for core in network.cores.values() if core.conductor in ("L", "L1", "L2")]
    lines += [(join.a, join.b) for join in network.joins if not join.a.endswith((".N", ".PE"))]
    lines += [(c.a, c.b) for c in network.contacts if c.equipment not in barred and c.conductor != "PE"]
    for a, b in lines:
        edges.setdefault(a, set()).add(b)
        edges.setdefault(b, set()).add(a)
    waiting = [end for core in cable.live if core.conductor != "N" for end in (core.a, core.b)]
    reached = set(waiting)
    while waiting:
        for other in edges.get(waiting.pop(), ()):
            if other not in reached:
                reached.add(other)
                waiting.append(other)
    owners = {network.owner[terminal] for terminal in reached if terminal in network.owner}
    return sum(int(spec.count) for id_ in owners if isinstance(spec := network.items[id_].spec, Sockets))
