"""From the network to its equivalent circuit, with every switch, bond and source of the build in it.

Which branches conduct is asked for each operating state apart (`Equivalent.closed`), so that one circuit
serves all states at one place and one bound.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from asfitted.description.kinds import AcSupply, Battery, Generator, GfciReceptacle, Inverter, Load, Sockets
from asfitted.description.values import Size
from asfitted.description.values import size as to_size
from asfitted.network.circuit import EARTH, Branch, Circuit
from asfitted.network.direct import GIVING
from asfitted.network.direct_parts import add_direct_source, charge_port
from asfitted.network.load_parts import add_charger, add_load, add_metalwork
from asfitted.network.mna import Equations
from asfitted.network.model import LINE, Bond, Contact, Core, Item, Network
from asfitted.network.parts import Parts, Source, Taken
from asfitted.network.potentials import Potentials
from asfitted.network.resistance import core_resistance_20c
from asfitted.network.sites import Site
from asfitted.network.source_parts import add_battery, add_generator, add_inverter, add_transformer
from asfitted.network.states import State
from asfitted.network.supply_parts import add_supply
from asfitted.tables.circuit_defaults import Bound
from asfitted.tables.conductors import resistance_at

RESIDUAL_KINDS = ("RCD", "RCBO", "GFCI breaker")
#: equipment with a metal case, unless it is of class II or III
CASED = ("inverter", "inverter charger", "generator", "battery charger", "load")
#: a cable whose size is still to be chosen
UNSIZED_MM2 = "2.5 mm²"


@dataclass(frozen=True)
class Equivalent:
    """The equivalent circuit of a build at one place, with the greatest or the least fault currents.

    `node_of` gives the node of a terminal (bolted ones share one); `contact_of` and `bond_of` the branch of
    each contact and bond by position in the network's own lists; `passes` the branches of neutrals that run
    through a residual current device without a contact.
    """

    network: Network
    sites: tuple[Site, ...]
    bound: Bound
    circuit: Circuit
    sources: tuple[Source, ...]
    node_of: Mapping[str, str]
    contact_of: Mapping[int, int]
    bond_of: Mapping[int, int]
    passes: Mapping[str, tuple[int, ...]]
    taken: tuple[Taken, ...]
    direct_sources: tuple[Source, ...] = ()
    _closed: dict[object, NDArray[np.bool_]] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def ac(self) -> Equations:
        """The equations at the frequency of the supplies."""
        return Equations(self.circuit, self.circuit.frequency_hz)

    @cached_property
    def dc(self) -> Equations:
        """The equations for direct current."""
        return Equations(self.circuit, 0.0)

    @cached_property
    def site(self) -> str:
        """The name of the place, empty for the supplies as described."""
        return "; ".join(site.id for site in self.sites if site.id)

    def closed(self, state: State) -> NDArray[np.bool_]:
        """Return for each branch whether it conducts in a state."""
        key = (state.conditions, state.positions, state.direct)
        if key not in self._closed:
            self._closed[key] = self._conducting(state)
        return self._closed[key]

    def _conducting(self, state: State) -> NDArray[np.bool_]:
        on = np.ones(len(self.circuit.branches), dtype=bool)
        closed = set(state.closed)
        for number, contact in enumerate(self.network.contacts):
            on[self.contact_of[number]] = contact in closed
        for number, branch in self.bond_of.items():
            on[branch] = state.bond_closed(self.network.bonds[number])
        for id_, condition in state.conditions:
            if condition == "unplugged":
                self._switch(on, (id_, f"{id_} upstream"), False)
            elif condition == "off" or (condition == "running" and id_ not in state.sources):
                self._switch_output(on, id_)
        giving = {id_ for id_, condition in state.direct if condition in GIVING}
        for place, of in self._charging:
            on[place] = of in giving
        return on

    @cached_property
    def _charging(self) -> tuple[tuple[int, str], ...]:
        """The branches of what gives direct current in some states only, and what they belong to."""
        names = {f"{item.id}#cells" for item in self.network.of_kind("dc supply")}
        names |= {name for source in self.direct_sources for name in source.branches}
        return tuple((n, b.of) for n, b in enumerate(self.circuit.branches) if b.id in names)

    def _switch(self, on: NDArray[np.bool_], owners: tuple[str, ...], value: bool) -> None:
        for number, branch in enumerate(self.circuit.branches):
            if branch.of in owners:
                on[number] = value

    def _switch_output(self, on: NDArray[np.bool_], source: str) -> None:
        """Open the output of a source that stands still; its filter and its bond stay."""
        for number, branch in enumerate(self.circuit.branches):
            if branch.source == source or branch.id == f"{source}#draw":
                on[number] = False

    def energised(self, state: State) -> tuple[bool, ...]:
        """Return for each source whether it gives voltage in a state; the diodes of an isolator are none."""
        live = {id_ for id_, condition in state.conditions if condition in ("live", "running")}
        return tuple(source.id in live for source in self.sources)


def equivalent(
    network: Network,
    sites: Iterable[Site],
    bound: Bound,
    overrides: Mapping[str, float] | None = None,
    sizes: Mapping[str, Size] | None = None,
) -> Equivalent:
    """Return the equivalent circuit of a build with its supplies as they are at `sites`.

    `overrides` replaces defaults of `tables/data/circuit_defaults.csv` by name; `sizes` gives those of cables
    whose own is still to be chosen.
    """
    nominal_v = _nominal_v(network)
    parts = Parts(bound, dict(overrides or {}), nominal_v)
    node_of = _nodes(network)
    contact_of = _add_contacts(parts, network, node_of)
    passes = _add_passes(parts, network, node_of)
    for core in network.cores.values():
        _add_core(parts, network, core, node_of, sizes or {})
    _add_cable_capacitance(parts, network, node_of)
    bond_of = _add_bonds(parts, network, node_of)
    sites = tuple(sites)
    for site in sites:
        own = {c: node_of[t] for c in ("L", "L1", "L2", "N", "PE") if (t := f"{site.supply}.{c}") in node_of}
        add_supply(parts, site, own)
    parts.load_share = _load_share(network, nominal_v)
    ashore = any(site.ashore for site in sites)
    parts.body = next((node_of[i.id] for i in network.of_kind("structure") if i.id in node_of), None)
    for item in network.items.values():
        _add_item(parts, network, item, node_of, ashore)
        port = charge_port(item)
        battery = _battery_at(network, f"{item.id}.{port}plus") if port is not None else None
        add_direct_source(parts, item, node_of, battery, network.description.build.lowest_c)
    _add_case_insulation(parts, network, node_of)
    specs = [site.spec.frequency_hz for site in sites]
    inverters = [i.spec.frequency_hz for i in network.items.values() if isinstance(i.spec, Inverter)]
    frequency = next((f for f in (*specs, *inverters) if f), 50.0)
    circuit = Circuit(tuple(parts.branches), frequency)
    index = circuit.index
    return Equivalent(
        network=network,
        sites=sites,
        bound=bound,
        circuit=circuit,
        sources=tuple(parts.sources),
        node_of=node_of,
        contact_of={number: index[id_] for number, id_ in contact_of.items()},
        bond_of={number: index[id_] for number, id_ in bond_of.items()},
        passes={device: tuple(index[id_] for id_ in ids) for device, ids in passes.items()},
        taken=tuple(parts.taken.values()),
        direct_sources=tuple(parts.direct_sources),
    )


def _nominal_v(network: Network) -> float:
    for item in network.of_kind("ac supply", "generator"):
        return float(item.spec.voltage_v)  # type: ignore[attr-defined]
    outputs = [i.spec.ac_voltage_v for i in network.items.values() if isinstance(i.spec, Inverter)]
    return next((float(v) for v in outputs if v), 230.0)


def _load_share(network: Network, nominal_v: float) -> float:
    """Return the share of all listed a.c. loads that the smallest source carries at four fifths of its
    rating.

    Everything switched on at once would overload an inverter by itself, and hide what a fault does.
    """
    ratings = [i.spec.power_w for i in network.items.values() if isinstance(i.spec, Inverter | Generator)]
    ratings += [i.spec.rating_a * nominal_v for i in network.items.values() if isinstance(i.spec, AcSupply)]
    watts = sum(
        load.power_w or (load.current_a or 0) * nominal_v
        for item in network.items.values()
        if isinstance(item.spec, Sockets | Load) and not any(t.endswith(".plus") for t in item.terminals)
        for load in item.spec.loads.values()
    )
    return min(1.0, 0.8 * min(ratings, default=watts) / watts) if watts else 1.0


def _through_sensor(network: Network, a: str, b: str) -> str:
    """Return the residual current device through whose sensor a join passes, or an empty text."""
    owner = network.owner.get(a, "")
    if owner and owner == network.owner.get(b):
        item = network.items[owner]
        live = a.rsplit(".", 1)[-1] != "PE"
        if live and (item.kind in RESIDUAL_KINDS or isinstance(item.spec, GfciReceptacle)):
            return owner
    return ""


def _nodes(network: Network) -> dict[str, str]:
    """Return the node of each terminal: what is bolted together is one node, except inside a sensor
    or isolator.
    """
    merged = Potentials(
        (join.a, join.b)
        for join in network.joins
        if not _through_sensor(network, join.a, join.b) and not _is_isolator(network, join.a, join.b)
    )
    found = {t: merged.find(t) for item in network.items.values() for t in item.terminals}
    for item in network.items.values():
        if item.kind in CASED and getattr(item.spec, "safety_class", "I") == "I" and _has_line(item):
            # a metal case is there to be touched, whether or not it is earthed
            found.setdefault(f"{item.id}.PE", f"{item.id}.PE")
        if isinstance(item.spec, GfciReceptacle):
            # its own outlet lies behind the sensor, whether or not anything is wired to the load terminals
            for conductor in ("L", "N"):
                found.setdefault(f"{item.id}.load.{conductor}", f"{item.id}.load.{conductor}")
    return found


def _has_line(item: Item) -> bool:
    return any(t.rsplit(".", 1)[-1] in LINE for t in item.terminals)


def cases_of(item: Item, node: Mapping[str, str]) -> tuple[str, ...]:
    """Return the earth terminals of a piece of equipment, that of a case nobody has earthed included."""
    own = (*item.terminals, f"{item.id}.PE")
    return tuple(dict.fromkeys(t for t in own if t.endswith(".PE") and t in node))


def _is_isolator(network: Network, a: str, b: str) -> bool:
    owner = network.owner.get(a, "")
    return bool(owner) and owner == network.owner.get(b) and network.items[owner].kind == "galvanic isolator"


def _add_contacts(parts: Parts, network: Network, node: Mapping[str, str]) -> dict[int, str]:
    found = {}
    for number, contact in enumerate(network.contacts):
        id_ = contact_id(contact)
        item = network.items[contact.equipment]
        protective = item.kind in ("breaker", "RCBO", "GFCI breaker", "fuse", "RCD")
        ohm = _pole_ohm(parts, item) if protective else _contact_ohm(parts, item)
        a, b = node[contact.a], node[contact.b]
        if a == b:
            b = f"{contact.b}#"  # wired round: the pole stays in the circuit and carries nothing
        parts.resistor(id_, a, b, "pole", ohm, item.id)
        found[number] = id_
    return found


def contact_id(contact: Contact) -> str:
    """Return the name of the branch of a contact."""
    position = f" {contact.position}" if contact.position.startswith("source") else ""
    return f"{contact.equipment}.{contact.conductor}{position}"


def _pole_ohm(parts: Parts, item: Item) -> float:
    rating = float(getattr(item.spec, "rating_a", 0) or 16)
    if rating <= 16:
        return parts.default("pole up to 16 A", item.id)
    if rating <= 63:
        return parts.default("pole up to 63 A", item.id)
    return parts.default("pole drop above 63 A", item.id) / rating


def _contact_ohm(parts: Parts, item: Item) -> float:
    rating = float(getattr(item.spec, "rating_a", 0) or 16)
    if rating <= 16:
        return parts.default("contact", item.id)
    return min(parts.default("contact", item.id), parts.default("contact drop", item.id) / rating)


def _add_passes(parts: Parts, network: Network, node: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """Add the neutrals that run through a sensor without a contact, and the sensors of GFCI receptacles."""
    found: dict[str, tuple[str, ...]] = {}
    pairs = [(d, j.a, j.b) for j in network.joins if (d := _through_sensor(network, j.a, j.b))]
    for item in network.items.values():
        if isinstance(item.spec, GfciReceptacle):
            pairs = [p for p in pairs if p[0] != item.id]
            pairs += [(item.id, f"{item.id}.{c}", f"{item.id}.load.{c}") for c in ("L", "N")]
    for device, a, b in pairs:
        conductor = a.rsplit(".", 1)[-1]
        if node.get(a) is None or node[a] == node.get(b):
            continue
        id_ = f"{device}.{conductor}"
        parts.resistor(id_, node[a], node[b], "pole", _pole_ohm(parts, network.items[device]), device)
        found[device] = (*found.get(device, ()), id_)
    return found


def _add_core(
    parts: Parts, network: Network, core: Core, node: Mapping[str, str], sizes: Mapping[str, Size]
) -> None:
    cable = network.cables[core.cable]
    size = core.size or sizes.get(cable.id) or cable.at_least or to_size(UNSIZED_MM2)
    described = network.description.cables[cable.id].conductor_class
    # the least current flows through the greatest resistance: warm copper, of the worse class where none is given
    r20 = core_resistance_20c(cable, size, described, "greatest" if parts.bound == "least" else "least")
    hot = parts.overrides.get("core temperature", cable.conductor_temp_c)
    temperature = hot if parts.bound == "least" else parts.default("core temperature", "")
    ohm = resistance_at(r20.value, temperature)
    x = parts.default("core reactance", "") * cable.length_m
    parts.resistor(core.id, node[core.a], node[core.b], "core", ohm, cable.id, x)


def _add_cable_capacitance(parts: Parts, network: Network, node: Mapping[str, str]) -> None:
    """Add the capacitance of the live cores to the protective conductor beside them, lumped at the
    far end.
    """
    for cable in network.cables.values():
        earth = next((core for core in cable.cores if core.conductor == "PE"), None)
        if cable.kind != "ac" or earth is None:
            continue
        farad = parts.default("cable capacitance", "") * cable.length_m
        for core in cable.live:
            parts.capacitor(f"{core.id}#capacitance", node[core.b], node[earth.b], farad, cable.id)


def _add_bonds(parts: Parts, network: Network, node: Mapping[str, str]) -> dict[int, str]:
    """Add the links of the sources aboard; that of a site lies in its own network."""
    found = {}
    for number, bond in enumerate(network.bonds):
        if isinstance(network.items[bond.equipment].spec, AcSupply):
            continue
        id_, a, b = bond_id(bond), node[bond.neutral], node.get(bond.earth)
        if b is not None and a != b:
            parts.resistor(id_, a, b, "bond", parts.default("bond", bond.equipment), bond.equipment)
            found[number] = id_
    return found


def bond_id(bond: Bond) -> str:
    """Return the name of the branch of a bond."""
    return f"{bond.equipment}#bond"


def _add_item(parts: Parts, network: Network, item: Item, node: dict[str, str], ashore: bool) -> None:
    kind = item.kind
    if kind in ("inverter", "inverter charger"):
        add_inverter(parts, item, node)
        if kind == "inverter charger":
            add_charger(parts, item, node)
    elif kind == "battery charger":
        add_charger(parts, item, node)
    elif kind == "generator":
        add_generator(parts, item, node)
    elif kind == "isolating transformer":
        add_transformer(parts, item, node)
    elif kind == "battery":
        add_battery(parts, item, node)
    elif kind in ("load", "sockets", "GFCI receptacle"):
        battery = _battery_at(network, f"{item.id}.plus")
        add_load(parts, item, node, float(battery.voltage_v) if battery else 12.0)
    elif kind in ("structure", "earth electrode"):
        if node.get(item.id):
            add_metalwork(parts, item, node, network.description.build.setting, ashore)
    elif kind == "galvanic isolator":
        _add_isolator(parts, item, node)
    _add_strap(parts, item, node)


def _add_strap(parts: Parts, item: Item, node: Mapping[str, str]) -> None:
    """Add what joins the battery minus of a converter to its case inside, if it is said to be joined."""
    case = next(iter(cases_of(item, node)), None)
    minus = node.get(f"{item.id}.minus")
    if getattr(item.spec, "minus_to_case", None) == "joined" and case and minus and node[case] != minus:
        parts.resistor(
            f"{item.id}#strap", minus, node[case], "strap", parts.default("bond", item.id), item.id
        )


def _add_isolator(parts: Parts, item: Item, node: Mapping[str, str]) -> None:
    name = f"{item.id}#diodes"
    ohm = parts.default("isolator resistance", item.id)
    ends = node[f"{item.id}.in.PE"], node[f"{item.id}.out.PE"]
    parts.add(Branch(name, *ends, "isolator", r_ohm=ohm, of=item.id, source=item.id))
    parts.sources.append(Source(item.id, (name,), "diodes", parts.default("isolator drop", item.id)))


def _add_case_insulation(parts: Parts, network: Network, node: Mapping[str, str]) -> None:
    """Add the insulation of each case against the structure it stands on, or against the ground.

    It carries microamperes. Without it a case whose protective conductor is broken would have no potential.
    """
    structure = next((node[i.id] for i in network.of_kind("structure") if i.id in node), EARTH)
    for item in network.items.values():
        for terminal in cases_of(item, node):
            if item.kind not in ("ac supply", "supply inlet", "adaptor"):
                ohm = parts.default("case insulation", item.id)
                parts.resistor(f"{terminal}#insulation", node[terminal], structure, "leakage", ohm, item.id)


def _battery_at(network: Network, terminal: str) -> Battery | None:
    """Return the battery whose plus reaches a terminal when everything is closed, else the first there is."""
    batteries = [(item.id, item.spec) for item in network.of_kind("battery")]
    reaching = (spec for id_, spec in batteries if network.plus_closed.same(f"{id_}.plus", terminal))
    found = next(reaching, batteries[0][1] if batteries else None)
    assert found is None or isinstance(found, Battery)  # noqa: S101  (asked for by kind)
    return found
