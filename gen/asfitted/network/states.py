"""Operating states: derived from the equipment, never typed.

Each supply is unplugged, plugged and dead, or plugged and live (a fixed one dead or live); each inverter and generator
runs or is off; each transfer switch stands where its own logic puts it, or is on its way.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Literal

from asfitted.description import conditions
from asfitted.description.kinds import (
    Contactor,
    DcInlet,
    InverterCharger,
    Isolator,
    SelectorSwitch,
    TransferSwitch,
)
from asfitted.network.build import output_lines, output_terminals
from asfitted.network.model import Bond, Contact, Core, Item, Network
from asfitted.network.potentials import Potentials

Condition = Literal["unplugged", "dead", "live", "running", "off"]
SOURCE_KINDS = ("ac supply", "generator", "inverter", "inverter charger", "isolating transformer")


@dataclass(frozen=True)
class State:
    """One operating state: conditions of the sources and positions of the transfer switches.

    `direct` holds the conditions of what feeds the d.c. side alone, where they are chosen (`direct.py`). Where
    they are not, every d.c. contact that may be closed is: that is what sizing has to bear.
    """

    id: str
    network: Network
    conditions: tuple[tuple[str, Condition], ...]
    positions: tuple[tuple[str, str], ...]
    name: str = ""
    direct: tuple[tuple[str, str], ...] = ()

    def condition(self, source: str) -> Condition:
        """Return the condition of a supply, generator or inverter."""
        return dict(self.conditions)[source]

    def position(self, switch: str) -> str:
        """Return where a transfer switch stands: source 1, source 2, off or in transit."""
        return dict(self.positions)[switch]

    @property
    def in_transit(self) -> bool:
        """Whether a transfer switch is between its positions."""
        return any(position == "in transit" for _, position in self.positions)

    @cached_property
    def closed(self) -> tuple[Contact, ...]:
        """The contacts that are closed in this state."""
        return tuple(contact for contact in self.network.contacts if self._is_closed(contact))

    def _is_closed(self, contact: Contact) -> bool:
        item = self.network.items[contact.equipment]
        if isinstance(item.spec, TransferSwitch):
            return self.position(contact.equipment) == contact.position
        if isinstance(item.spec, InverterCharger):
            return self.position(contact.equipment) == "source 1"
        if isinstance(item.spec, DcInlet):
            chosen = dict(self.direct)
            return not chosen or all(
                chosen[id_] != "unplugged" for id_ in behind_dc_inlet(self.network, item.id)
            )
        if contact.position == "plugged":
            return all(
                self.condition(supply) != "unplugged" for supply in self._supplies_at(contact.equipment)
            )
        if isinstance(item.spec, Isolator):
            opens = parse_condition(item.spec.open_when or "")
            said = {*self.conditions, *self.direct}
            return item.spec.normally == "closed" and not (opens and opens <= said)
        if isinstance(item.spec, Contactor):
            return self._coil_closes(parse_condition(item.spec.closed_when or ""))
        return True

    def _coil_closes(self, wanted: frozenset[tuple[str, str]]) -> bool:
        chosen = {*self.conditions, *self.direct}
        left_open = {id_ for id_, _ in wanted} - {id_ for id_, _ in chosen}
        return all(condition in chosen or condition[0] in left_open for condition in wanted)

    def _supplies_at(self, inlet: str) -> tuple[str, ...]:
        return tuple(s for s, inlets in self.network.inlets_of.items() if inlet in inlets)

    @cached_property
    def live_potentials(self) -> Potentials:
        """Terminals joined through live conductors and closed contacts; never through earth."""
        return Potentials((a, b) for _, a, b in _live_elements(self.network, self.closed))

    @cached_property
    def live_ways(self) -> dict[str, list[tuple[Core | Contact | None, str]]]:
        """Terminal -> what leads on from there: a live core, a closed contact or a join (None), and its far end."""
        found: dict[str, list[tuple[Core | Contact | None, str]]] = {}
        for element, a, b in _live_elements(self.network, self.closed):
            found.setdefault(a, []).append((element, b))
            found.setdefault(b, []).append((element, a))
        return found

    @cached_property
    def potentials(self) -> Potentials:
        """Terminals joined through anything that conducts, earth and effective bonds included."""
        pairs = [(core.a, core.b) for core in self.network.cores.values()]
        pairs += [(join.a, join.b) for join in self.network.joins]
        pairs += [(contact.a, contact.b) for contact in self.closed]
        return Potentials(pairs)

    @cached_property
    def energised(self) -> dict[str, tuple[str, ...]]:
        """Terminal -> the a.c. sources whose line or neutral reaches it through closed contacts."""
        found: dict[str, tuple[str, ...]] = {}
        terminals = [t for item in self.network.items.values() for t in item.terminals]
        for source in self.sources:
            item = self.network.items[source]
            ends = (*(output_terminals(item) or ()), *output_lines(item))
            roots = {self.live_potentials.find(end) for end in ends}
            for terminal in terminals:
                if self.live_potentials.find(terminal) in roots:
                    found[terminal] = (*found.get(terminal, ()), source)
        return found

    @cached_property
    def sources(self) -> tuple[str, ...]:
        """The a.c. sources that are energised in this state, an isolating transformer through its primary included."""
        running = [
            id_
            for id_, condition in self.conditions
            if condition in ("live", "running") and not self._passing_through(id_)
        ]
        for item in self.network.of_kind("isolating transformer"):
            primary = self.live_potentials.find(f"{item.id}.primary.L")
            for source in tuple(running):
                ends = output_terminals(self.network.items[source])
                if ends and self.live_potentials.find(ends[0]) == primary:
                    running.append(item.id)
                    break
        return tuple(running)

    def _passing_through(self, source: str) -> bool:
        """An inverter charger whose transfer stands on its input is no source of its own."""
        item = self.network.items[source]
        return isinstance(item.spec, InverterCharger) and self.position(source) == "source 1"

    def bond_closed(self, bond: Bond) -> bool:
        """Tell whether a source's link from neutral to earth is closed in this state."""
        return bond.when == "always" or bond.equipment in self.sources

    def reaches(self, source: str, terminal: str) -> bool:
        """Tell whether a source's line reaches a terminal."""
        return source in self.sources and self.ends(source, terminal) is not None

    def ends(self, source: str, terminal: str) -> tuple[str, str] | None:
        """Return the line terminal of a source that reaches a terminal, and its neutral; None if none does."""
        ends = output_terminals(self.network.items[source])
        lines = output_lines(self.network.items[source])
        line = next((line for line in lines if self.live_potentials.same(line, terminal)), None)
        return (line, ends[1]) if ends and line else None

    @cached_property
    def feeding(self) -> dict[str, tuple[str, ...]]:
        """Source -> the consumers it reaches in this state; one between two lines of one phase gets nothing."""
        from asfitted.network.build import input_terminals

        found: dict[str, tuple[str, ...]] = {}
        for source in self.sources:
            fed = [
                item.id
                for item in self.network.items.values()
                if item.id != source
                and (ends := input_terminals(item))
                and self.reaches(source, ends[0])
                and not self.live_potentials.same(*ends)
            ]
            found[source] = tuple(fed)
        return found


def _live_elements(
    network: Network, closed: tuple[Contact, ...]
) -> Iterator[tuple[Core | Contact | None, str, str]]:
    """Yield live cores, joins (None) and closed contacts with their two ends; nothing of the earth."""
    for core in network.live_cores.values():
        yield core, core.a, core.b
    for join in network.live_joins:
        yield None, join.a, join.b
    for contact in closed:
        if contact.conductor != "PE":
            yield contact, contact.a, contact.b


def carries_load(network: Network, core: Core) -> bool:
    """Tell a live core from a protective one and from a tie between neutral and earth."""
    return core.id in network.live_cores


def is_earth(network: Network, terminal: str) -> bool:
    """Tell whether a terminal belongs to the protective side: an earth terminal, bar, electrode or the structure."""
    return network.is_earth(terminal)


def behind_dc_inlet(network: Network, inlet: str) -> tuple[str, ...]:
    """Return what comes in through a d.c. inlet: supplies from outside, portable arrays."""
    pairs = [(core.a, core.b) for core in network.cores.values() if core.conductor == "plus"]
    pairs += [(join.a, join.b) for join in network.joins]
    pairs += [(c.a, c.b) for c in network.contacts if c.conductor == "plus" and c.position == ""]
    outside = Potentials(pairs)
    return tuple(
        item.id
        for item in network.of_kind("dc supply", "solar array")
        if outside.same(f"{item.id}.plus", f"{inlet}.coupler.plus")
    )


def states(network: Network) -> tuple[State, ...]:
    """Return every operating state that differs from the others, named, the most usual first."""
    inlets = network.inlets_of
    choices: list[list[tuple[str, Condition]]] = []
    for item in network.of_kind("ac supply"):
        possible: tuple[Condition, ...] = (
            ("live", "unplugged", "dead") if inlets[item.id] else ("live", "dead")
        )
        choices.append([(item.id, condition) for condition in possible])
    on_board = network.of_kind("generator", "inverter", "inverter charger")
    choices += [[(item.id, "running"), (item.id, "off")] for item in on_board]
    found: dict[object, list[State]] = {}
    for of_sources in product(*choices):
        for positions in _positions(network, of_sources):
            state = State("", network, of_sources, positions)
            found.setdefault(_alike(state), []).append(state)
    ordered = sorted(found.values(), key=lambda alike: alike[0].in_transit)
    return tuple(
        State(f"S{number}", network, state.conditions, state.positions, _name(network, state, alike))
        for number, alike in enumerate(ordered, 1)
        for state in alike[:1]
    )


def _alike(state: State) -> object:
    """Return what tells a state from others: what is energised from where, which leads are in, which links are closed.

    Two states that agree in all of it, such as the positions of a switch behind which everything is dead, are one.
    """
    couplers = tuple(contact.equipment for contact in state.closed if contact.position == "plugged")
    links = tuple(bond.equipment for bond in state.network.bonds if state.bond_closed(bond))
    return tuple(sorted(state.energised.items())), couplers, links, state.in_transit


def _positions(
    network: Network, conditions: tuple[tuple[str, Condition], ...]
) -> Iterator[tuple[tuple[str, str], ...]]:
    """Yield the positions the transfer switches take by their own logic, then those in transit.

    Switches are settled upstream first: the output of one may be the source of the next.
    """
    switches = network.of_kind("transfer switch", "selector switch", "inverter charger")
    settled = _settle(network, conditions, switches)
    manual = [item for item in switches if isinstance(item.spec, SelectorSwitch)]
    for combination in product(*[("source 1", "off", "source 2") for _ in manual]):
        fixed = dict(zip((item.id for item in manual), combination, strict=True))
        positions = _settle(network, conditions, switches, fixed) if manual else settled
        yield tuple(positions.items())
        for item in switches:
            if isinstance(item.spec, TransferSwitch) and not isinstance(item.spec, SelectorSwitch):
                available = _available(network, conditions, positions, item)
                if len(available) == 2:
                    yield tuple({**positions, item.id: "in transit"}.items())


def _settle(
    network: Network,
    conditions: tuple[tuple[str, Condition], ...],
    switches: tuple[Item, ...],
    fixed: dict[str, str] | None = None,
) -> dict[str, str]:
    positions = {item.id: "off" for item in switches} | (fixed or {})
    for _ in range(len(switches) + 1):
        before = dict(positions)
        for item in switches:
            if item.id in (fixed or {}):
                continue
            positions[item.id] = chosen_side(item, _available(network, conditions, positions, item))
        if positions == before:
            break
    return positions


def chosen_side(item: Item, available: tuple[str, ...]) -> str:
    """Return where a transfer switch stands by its own logic, given the sides at which there is voltage."""
    spec = item.spec
    if isinstance(spec, InverterCharger):
        return "source 1" if "source 1" in available else "source 2"
    assert isinstance(spec, TransferSwitch)  # noqa: S101  (the only other kind asked for)
    if spec.preferred in available:
        return spec.preferred
    if available:
        return available[0]
    return spec.preferred if spec.rest_position == "stays" else spec.rest_position


def _available(
    network: Network, conditions: tuple[tuple[str, Condition], ...], positions: dict[str, str], item: Item
) -> tuple[str, ...]:
    """Return the sides of a transfer switch at which there is voltage."""
    others = {**positions, item.id: "off"}
    state = State("", network, conditions, tuple(others.items()))
    ports = {"source 1": "source 1.L", "source 2": "source 2.L"}
    if item.kind == "inverter charger":
        ports = {"source 1": "ac in.L"}
    return tuple(
        side
        for side, port in ports.items()
        if any(state.reaches(source, f"{item.id}.{port}") for source in state.sources)
    )


def names_given(network: Network) -> dict[str, frozenset[tuple[str, str]]]:
    """Return each of the builder's names with the conditions and positions that it says."""
    return {name: parse_condition(text) for name, text in network.description.states.items()}


def _name(network: Network, state: State, alike: list[State]) -> str:
    """Return the builder's name for a state, or an empty text: of those that it fits, the most exact.

    A name fits if it fits any of the states that are alike, for these are the same to whoever stands before them.
    """
    held = [frozenset((*each.conditions, *each.positions)) for each in alike]
    fitting = [
        (name, wanted)
        for name, wanted in names_given(network).items()
        if wanted and any(wanted <= each for each in held)
    ]
    if state.in_transit or not fitting:
        return ""
    return max(fitting, key=lambda item: len(item[1]))[0]


def parse_condition(text: str) -> frozenset[tuple[str, str]]:
    """Return the conditions written as `site unplugged, inverter running`, as (source, condition)."""
    return frozenset((said.source, said.condition) for said in conditions.parse(text))
