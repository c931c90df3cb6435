"""Isolating transformers that isolate nothing: metal joins what comes from ashore to what lies behind them."""

from collections import deque
from collections.abc import Iterator

from asfitted.description.kinds import IsolatingTransformer
from asfitted.network.build import output_terminals
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.results import Finding, Grade, merge_states
from asfitted.tables.rules import rule_set


def shore_isolation_findings(network: Network, states: tuple[State, ...]) -> tuple[Finding, ...]:
    """Return each transformer whose shore earth ends at its screen, and which a conductor, a case or the d.c.
    side goes round: of the upper two classes where there is a hull or body to make live.
    """
    return merge_states(
        (state.id, finding)
        for state in states
        for item in network.of_kind("isolating transformer")
        for finding in _defeated(state, item)
    )


def _defeated(state: State, item: Item) -> Iterator[Finding]:
    network, spec = state.network, item.spec
    assert isinstance(spec, IsolatingTransformer)  # noqa: S101  (called by kind)
    supplies = _supplies(state, item)
    if spec.shore_earth == "continues" or not supplies:
        return
    ashore = [f"{item.id}.primary.{c}" for c in ("PE", "N", "L")] + [f"{s}.PE" for s in supplies]
    hulls = [structure.id for structure in network.of_kind("structure")]
    way = _way(state, ashore, {*hulls, *(f"{item.id}.secondary.{c}" for c in ("PE", "N", "L"))})
    if way is None:
        return
    reached = state.potentials.same(way[-1], hulls[0]) if hulls else False
    between = _between(network, way)
    yield Finding(
        "isolation-defeated",
        Grade.POTENTIAL if hulls else Grade.IMPROVEMENT,
        (item.id, *between),
        item.mark,
        fields={
            "transformer": item.id,
            "supply": ", ".join(supplies),
            "way": ", ".join(between),
            "metal": hulls[0] if reached else way[-1],
        },
        clause=rule_set(network.description.build.rules).clause("isolating transformer"),
    )


def _between(network: Network, way: list[str]) -> tuple[str, ...]:
    """Return the cables that must not be there; where the transformer's own cables meet at once, what they meet at."""
    cables = (network.cores[step].cable for step in way if step in network.cores)
    wrong = tuple(dict.fromkeys(cable for cable in cables if network.cables[cable].kind != "ac"))
    items = (network.owner[step] for step in way[1:-1] if step in network.owner)
    return wrong or tuple(dict.fromkeys(items)) or (network.owner[way[-1]],)


def _supplies(state: State, item: Item) -> list[str]:
    """Return the plugged supplies, live or dead, whose line reaches the primary of a transformer."""
    primary = f"{item.id}.primary.L"
    return [
        supply.id
        for supply in state.network.of_kind("ac supply")
        if state.condition(supply.id) != "unplugged"
        and (ends := output_terminals(supply))
        and state.live_potentials.same(ends[0], primary)
    ]


def _way(state: State, starts: list[str], ends: set[str]) -> list[str] | None:
    """Return the terminals and cores, in turn, from one of the starts to the nearest of the ends through anything
    that conducts; None if nothing does.
    """
    edges: dict[str, list[tuple[str, str]]] = {}
    network = state.network
    pairs = [(core.id, core.a, core.b) for core in network.cores.values()]
    pairs += [("", join.a, join.b) for join in network.joins]
    pairs += [("", contact.a, contact.b) for contact in state.closed]
    for name, a, b in pairs:
        edges.setdefault(a, []).append((name, b))
        edges.setdefault(b, []).append((name, a))
    came: dict[str, list[str]] = {start: [start] for start in starts}
    waiting = deque(starts)
    while waiting:
        terminal = waiting.popleft()
        if terminal in ends:
            return came[terminal]
        for name, other in edges.get(terminal, ()):
            if other not in came:
                came[other] = [*came[terminal], *([name] if name else []), other]
                waiting.append(other)
    return None
