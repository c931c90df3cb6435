"""Faults of the network itself: what must be connected and is not, what is tied together and must not be."""

from collections import Counter
from collections.abc import Iterator
from itertools import product

from asfitted import words
from asfitted.description.kinds import AcSupply, Inline, Load
from asfitted.description.load import Loaded
from asfitted.description.problems import Problem
from asfitted.network.build import output_terminals
from asfitted.network.model import Core, Item, Network
from asfitted.network.paths import Step, path
from asfitted.network.potentials import Potentials
from asfitted.network.states import State, names_given


def check_network(network: Network) -> list[Problem]:
    """Return a problem for each open terminal, dead end and short-circuit by wiring."""
    return [
        *_open_terminals(network),
        *_without_earth(network),
        *_dead_ends(network),
        *_shorts(network),
    ]


def check_names(loaded: Loaded, states: tuple[State, ...]) -> list[Problem]:
    """Return a problem for each of the builder's names of states that none of the states bears."""
    used = {state.name for state in states}
    found = []
    for name, wanted in names_given(states[0].network).items() if states else ():
        if name not in used:
            fits = [s.name for s in states if s.name and wanted <= {*s.conditions, *s.positions}]
            fields: dict[str, object] = {
                "key": name,
                "others": ", ".join(f"“{n}”" for n in dict.fromkeys(fits)),
            }
            code = "state name without use" if fits else "state name fits none"
            found.append(Problem(code, loaded.mark("states", name), fields))
    return found


def _connected(network: Network) -> Counter[str]:
    ends: Counter[str] = Counter()
    for core in network.cores.values():
        ends[core.a] += 1
        ends[core.b] += 1
    for join in network.joins:
        if join.reason == "bolted":
            ends[join.a] += 1
            ends[join.b] += 1
    return ends


def _open_terminals(network: Network) -> Iterator[Problem]:
    """One problem for each thing: its live terminals left open, and its protective conductor."""
    connected = _connected(network)
    for item in network.items.values():
        missing = [terminal for terminal in _must_be_connected(network, item) if not connected[terminal]]
        earth = [terminal for terminal in missing if terminal.endswith(".PE")]
        live = [terminal for terminal in missing if terminal not in earth]
        is_supply = isinstance(item.spec, AcSupply)
        for code, terminals in (
            ("terminal open", live),
            ("supply earth open" if is_supply else "earth terminal open", earth),
        ):
            if terminals:
                fields: dict[str, object] = {
                    "terminals": ", ".join(f"“{terminal}”" for terminal in terminals),
                    "conductors": ", ".join(dict.fromkeys(t.rsplit(".", 1)[-1] for t in terminals)),
                    "id": item.id,
                    "kind": item.kind,
                }
                yield Problem(code, item.mark, fields)


def _must_be_connected(network: Network, item: Item) -> Iterator[str]:
    spec = item.spec
    if isinstance(spec, Inline):
        spare = _is_spare(network, item)
        for contact in network.contacts:
            if contact.equipment == item.id:
                yield contact.a
                if not spare:
                    yield contact.b
        if not spec.contacts:
            yield f"{item.id}.in"
        return
    if brings_no_earth(item):
        return
    for name in spec.REQUIRED:
        if not (name.endswith("PE") and getattr(spec, "safety_class", "I") != "I"):
            yield f"{item.id}.{name}"
    if isinstance(spec, Load):
        ac = any(t.endswith((".L", ".L1", ".L2", ".N")) for t in item.terminals)
        if ac and spec.safety_class == "I":
            yield f"{item.id}.PE"
        if not any(t.endswith(".L2") for t in item.terminals):
            yield f"{item.id}.{'N' if ac else 'minus'}"
        if not ac:
            yield f"{item.id}.plus"


def _without_earth(network: Network) -> Iterator[Problem]:
    """A supply without protective conductor needs an electrode at an earth bar; metalwork needs a bond."""
    connected = _connected(network)
    metal = Potentials(
        (core.a, core.b) for core in network.cores.values() if core.conductor in ("PE", "bond")
    )
    for join in network.joins:
        metal.join(join.a, join.b)
    bars = network.of_kind("earth bar")
    rods = network.of_kind("earth electrode")
    is_earthed = any(metal.same(rod.id, bar.id) for rod, bar in product(rods, bars))
    bar = bars[0].id if bars else words.text("problems", "place.earth bar")
    for supply in network.of_kind("ac supply"):
        if not connected[f"{supply.id}.PE"] and brings_no_earth(supply) and not is_earthed:
            yield Problem("no earth electrode", supply.mark, {"id": supply.id, "bar": bar})
    for item in network.of_kind("structure"):
        if not connected[item.id]:
            yield Problem("structure not bonded", item.mark, {"id": item.id, "bar": bar})


def brings_no_earth(item: Item) -> bool:
    """Tell whether an item is a supply that may come without a protective conductor: TT or IT, where an electrode
    of the build's own earths it.
    """
    return isinstance(item.spec, AcSupply) and item.spec.earthing in ("TT", "IT")


def _is_spare(network: Network, item: Item) -> bool:
    """A device in a board to which no cable leads, in or out, waits on its bars for a circuit."""
    cabled = {end for core in network.cores.values() for end in (core.a, core.b)}
    return item.board is not None and not cabled & set(item.terminals)


def _dead_ends(network: Network) -> Iterator[Problem]:
    """A bar with a single conductor leads nowhere."""
    connected = _connected(network)
    for item in network.of_kind("busbar", "earth bar"):
        if connected[item.id] == 1:
            cable = next(
                (c.id for c in network.cables.values() for k in c.cores if item.id in (k.a, k.b)), None
            )
            by = (
                words.text("problems", "place.cable", id=cable)
                if cable
                else words.text("problems", "place.bolted")
            )
            yield Problem("bar ends nowhere", item.mark, {"id": item.id, "by": by})
        elif not connected[item.id]:
            yield Problem("bar unused", item.mark, {"id": item.id})


def _everything_closed(network: Network) -> State:
    """Return a state for wiring checks: every in-line contact closed, transfer switches between their
    positions.
    """
    switches = network.of_kind("transfer switch", "selector switch", "inverter charger")
    conditions = tuple((item.id, "live") for item in network.of_kind("ac supply"))
    return State("", network, conditions, tuple((item.id, "in transit") for item in switches))  # type: ignore[arg-type]


def _shorts(network: Network) -> Iterator[Problem]:
    state = _everything_closed(network)
    for item in network.items.values():
        ends = output_terminals(item) if item.kind != "battery" else (f"{item.id}.plus", f"{item.id}.minus")
        way = path(state, *ends) if ends and set(ends) <= set(item.terminals) else None
        if ends and way is not None:
            fields: dict[str, object] = {"id": item.id, "a": ends[0], "b": ends[1]}
            yield _of_way("short by wiring", network, way, item, fields)


def _of_way(
    code: str, network: Network, way: tuple[Step, ...], otherwise: Item, fields: dict[str, object]
) -> Problem:
    """Return the problem of a way that must not be there, at the last cable of it (or at a thing on it)."""
    cables = list(dict.fromkeys(step.element.cable for step in way if isinstance(step.element, Core)))
    mark = network.cables[cables[-1]].mark if cables else otherwise.mark
    return Problem(code, mark, {**fields, "way": ", ".join(cables) or "–"})
