"""Everything that can drive current into a cable: each source in each state, with what it can deliver for
long.
"""

from collections.abc import Iterable, Iterator

from asfitted.description.kinds import Inverter
from asfitted.network.build import output_lines
from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.demand_ac import ac_limit_a
from asfitted.studies.demand_dc import SOLAR_FACTOR, charge_terminals
from asfitted.studies.feeding import tree
from asfitted.studies.protection import Feed
from asfitted.studies.scenario import Demand, Scenario

#: what an inverter delivers into an overload before it shuts down, where nothing better is said (from memory)
ASSUMED_OVERLOAD = 2.0


def feeds(network: Network, states: Iterable[State], notes: Demand) -> tuple[Feed, ...]:
    """Return every feed that differs from the others."""
    drawn = _drawn(network, notes.scenarios)

    def drawn_a(terminal: str) -> float:
        return drawn.get(terminal, 0.0)

    found: dict[tuple[object, ...], Feed] = {}
    for state in states:
        contacts = tuple(f"{c.a} {c.b}" for c in state.closed)
        for source, root, limit_a in (*_ac(state, notes), *_dc(network)):
            key = (source, root, contacts)
            if key not in found:
                found[key] = Feed(source, tree(state, root), limit_a, drawn_a)
    return tuple(found.values())


def overload_a(network: Network, source: str, notes: Demand) -> float:
    """Return the greatest current that an a.c. source can deliver into an overload; infinite for a network
    or a set.
    """
    spec = network.items[source].spec
    limit = getattr(spec, "output_limit", None)
    if limit:
        return float(limit.current_a)
    if not isinstance(spec, Inverter):
        return float("inf")
    current = ASSUMED_OVERLOAD * ac_limit_a(network, source)
    notes.assume("inverter-overload", source, value=round(current, 1), multiple=ASSUMED_OVERLOAD)
    return current


def _ac(state: State, notes: Demand) -> Iterator[tuple[str, str, float]]:
    for source in state.sources:
        for line in output_lines(state.network.items[source]):
            yield source, line, overload_a(state.network, source, notes)


def _dc(network: Network) -> Iterator[tuple[str, str, float]]:
    for item in network.items.values():
        if item.kind in ("battery", "dc supply"):
            yield item.id, f"{item.id}.plus", float("inf")
        elif item.kind == "solar array":
            yield (
                item.id,
                f"{item.id}.plus",
                SOLAR_FACTOR * float(getattr(item.spec, "short_circuit_current_a", 0.0)),
            )
        elif ends := charge_terminals(item):
            yield item.id, ends[0], ends[2]


def _drawn(network: Network, scenarios: Iterable[Scenario]) -> dict[str, float]:
    """Return terminal -> the most that is drawn there; no bound for sockets, and for batteries, which take
    all they get.
    """
    drawn: dict[str, float] = {}
    for scenario in scenarios:
        for injection in scenario.injections:
            if injection.current_a.real > 0:
                drawn[injection.out] = max(drawn.get(injection.out, 0.0), abs(injection.current_a))
    for item in network.items.values():
        if item.kind in ("sockets", "GFCI receptacle"):
            drawn |= {
                terminal: float("inf")
                for terminal in item.terminals
                if terminal.endswith((".L", ".L1", ".L2"))
            }
        if item.kind == "battery":
            drawn[f"{item.id}.plus"] = float("inf")
    return drawn
