"""Which faults are played in a state: everywhere a conductor can touch, break, weld or be tied wrongly."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from asfitted.description.kinds import Contactor, InverterCharger, Isolator, TransferSwitch
from asfitted.network.equivalent import Equivalent, bond_id, cases_of, contact_id
from asfitted.network.model import LINE, Cable, Item
from asfitted.network.potentials import Potentials
from asfitted.network.states import State
from asfitted.studies.electrodes import fixed_tt
from asfitted.studies.faults.fault import Fault, FaultKind
from asfitted.studies.faults.minus import minus_faults

CONSUMERS = ("sockets", "GFCI receptacle", "load", "battery charger")


@dataclass(frozen=True)
class Position:
    """A place at which a.c. conductors lie side by side: the terminals of line, neutral and case
    (or empty).
    """

    at: str
    owner: str
    cable: str
    line: str
    neutral: str
    case: str
    final: bool


@dataclass
class Places:
    """All places of a build at which a fault is played, found once for an equivalent circuit."""

    equivalent: Equivalent

    @cached_property
    def positions(self) -> tuple[Position, ...]:
        """The places at which a.c. conductors lie side by side."""
        return tuple(_positions(self.equivalent))

    @cached_property
    def at_positions(self) -> tuple[Fault, ...]:
        """The faults of the insulation at those places."""
        return tuple(_at_positions(self))

    @cached_property
    def always(self) -> tuple[Fault, ...]:
        """The faults that are the same in every state."""
        parts = (_between_sources, _broken_earths, _broken_neutrals, _direct)
        return (*self.at_positions, *(fault for part in parts for fault in part(self)))

    def behind(self, position: Position) -> tuple[str, ...]:
        """Return the Class A interrupters on whose load side a place lies (UL 943: grounded neutral)."""
        node = self.node(position.neutral)
        return tuple(id_ for id_, nodes in self._load_sides if nodes[1].same(nodes[0], node))

    @cached_property
    def _load_sides(self) -> tuple[tuple[str, tuple[str, Potentials]], ...]:
        network = self.equivalent.network
        found = []
        for item in network.of_kind("GFCI breaker", "GFCI receptacle"):
            pairs = [(c.a, c.b) for c in network.cores.values() if c.conductor in ("N", *LINE)]
            pairs += [(c.a, c.b) for c in network.contacts if c.equipment != item.id and c.conductor != "PE"]
            out = f"{item.id}.out.N" if item.kind == "GFCI breaker" else f"{item.id}.load.N"
            nodes = Potentials((self.node(a), self.node(b)) for a, b in pairs)
            found.append((item.id, (self.node(out), nodes)))
        return tuple(found)

    def node(self, terminal: str) -> str:
        """Return the node of a terminal."""
        return self.equivalent.node_of.get(terminal, terminal)

    def port(self, a: str, b: str) -> tuple[str, str] | None:
        """Return the port between two terminals, None if they are one node or one of them is not there."""
        known = self.equivalent.circuit.node_index
        m, n = self.node(a), self.node(b)
        return (m, n) if m != n and m in known and n in known else None


def _positions(equivalent: Equivalent) -> Iterator[Position]:
    """Yield both ends of every a.c. cable, each combination of nodes once."""
    network, node = equivalent.network, equivalent.node_of
    seen: set[tuple[str, ...]] = set()
    for cable in network.cables.values():
        for end in (0, 1):
            ends = {core.conductor: (core.a, core.b)[end] for core in cable.cores}
            lines = [c for c in ends if c in LINE]
            for line in lines:
                owner = network.owner[ends[line]]
                other = network.owner[{c.conductor: (c.b, c.a)[end] for c in cable.cores}[line]]
                case = _case_at(equivalent, owner, ends.get("PE", ""))
                neutral = ends.get("N") or next((ends[c] for c in lines if c != line), "")
                neutral = neutral or _terminal(equivalent, owner, ends[line], "N")
                key = tuple(node.get(t, "") for t in (ends[line], neutral, case))
                if key not in seen:
                    seen.add(key)
                    consumer = {network.items[owner].kind, network.items[other].kind} & set(CONSUMERS)
                    yield Position(ends[line], owner, cable.id, ends[line], neutral, case, bool(consumer))


def _terminal(equivalent: Equivalent, owner: str, like: str, conductor: str) -> str:
    """Return the terminal of `owner` beside `like` for another conductor, or an empty text."""
    wanted = f"{like.rsplit('.', 1)[0]}.{conductor}"
    return wanted if wanted in equivalent.network.items[owner].terminals else ""


def _case_at(equivalent: Equivalent, owner: str, core: str) -> str:
    """Return the metal that a bare line touches first: the case, the core beside it, the earth bar
    of its board.
    """
    network = equivalent.network
    item = network.items[owner]
    if insulated(item):
        return ""
    if fixed_tt(network, owner):
        return ""  # its metal is the distributor's, and no conductor that comes with it is relied on
    if core:
        return core
    own = cases_of(item, equivalent.node_of)
    if own:
        return own[0]
    board = network.description.boards.get(item.board or "")
    if board is not None and board.earth_bar in equivalent.node_of:
        return board.earth_bar or ""
    structure = network.of_kind("structure")
    return structure[0].id if structure else ""


def insulated(item: Item) -> bool:
    """Tell whether double or reinforced insulation lies between the conductors of an item and metal."""
    return getattr(item.spec, "safety_class", None) in ("II", "III")


def faults(places: Places, state: State) -> Iterator[Fault]:
    """Yield the faults of a state. Whether there is voltage at them is for the solver to say."""
    yield from places.always
    yield from _welded(places, state)
    yield from _bonds(places, state)


def _at_positions(places: Places) -> Iterator[Fault]:
    structure = next((s.id for s in places.equivalent.network.of_kind("structure")), "")
    for p in places.positions:
        where = (p.owner, p.cable)
        item = places.equivalent.network.items[p.owner]
        near = item.kind != "ac supply" and not insulated(item)
        if near and (port := places.port(p.line, structure)) and port != places.port(p.line, p.case):
            yield Fault("live to structure", p.at, where, port, final=p.final)
        if port := places.port(p.line, p.case):
            yield Fault("live to case", p.at, where, port, final=p.final)
        if port := places.port(p.neutral, p.case):
            yield Fault(
                "neutral to case", p.neutral, where, port, final=p.final, detected_by=places.behind(p)
            )
        if port := places.port(p.line, p.neutral):
            yield Fault("live to neutral", p.at, where, port, final=p.final)


def _between_sources(places: Places) -> Iterator[Fault]:
    network = places.equivalent.network
    for item in network.items.values():
        spec = item.spec
        if isinstance(spec, TransferSwitch):
            sides = (f"{item.id}.source 1", f"{item.id}.source 2")
        elif isinstance(spec, InverterCharger):
            sides = (f"{item.id}.ac in", f"{item.id}.ac out")
        else:
            continue
        for a in ("L", "N"):
            for b in ("L", "N"):
                if a == b and isinstance(spec, InverterCharger):
                    continue  # one pole of its own contact: open or welded, not broken down
                if port := places.port(f"{sides[0]}.{a}", f"{sides[1]}.{b}"):
                    at = f"{item.id}.{a}–{b}"
                    yield Fault("between the sources of a changeover", at, (item.id,), port)
        for source in network.of_kind("inverter", "generator"):
            for side in sides:
                port = places.port(f"{side}.L", f"{source.id}.PE")
                if port and places.node(f"{side}.L") != places.node(f"{source.id}.L"):
                    at = f"{side}.L"
                    yield Fault("live to the case of another source", at, (source.id, item.id), port)


def _welded(places: Places, state: State) -> Iterator[Fault]:
    closed = set(state.closed)
    for contact in places.equivalent.network.contacts:
        spec = places.equivalent.network.items[contact.equipment].spec
        moved = isinstance(spec, TransferSwitch | InverterCharger | Contactor | Isolator)
        if contact in closed or not moved or contact.conductor == "PE":
            continue
        if port := places.port(contact.a, contact.b):
            direct = contact.conductor in ("plus", "minus")
            yield Fault(
                "contact welded", contact_id(contact), (contact.equipment,), port, 0.003, direct=direct
            )


def _bonds(places: Places, state: State) -> Iterator[Fault]:
    equivalent = places.equivalent
    for number, bond in enumerate(equivalent.network.bonds):
        if number not in equivalent.bond_of:
            continue
        name = bond_id(bond)
        if not state.bond_closed(bond):
            port = places.port(bond.neutral, bond.earth)
            yield Fault("bond stuck closed", name, (bond.equipment,), port, 0.005)
            continue
        yield Fault("bond open", name, (bond.equipment,), broken=frozenset({name}))
        for fault in _live_to_case(places, final_only=True):
            yield _after(fault, "bond open and live to case", name, (bond.equipment,))


def _live_to_case(places: Places, final_only: bool) -> Iterator[Fault]:
    for fault in places.at_positions:
        if fault.kind == "live to case" and (fault.final or not final_only):
            yield fault


def _after(fault: Fault, kind: FaultKind, broken: str, where: tuple[str, ...]) -> Fault:
    """Return a fault that follows one which nobody noticed."""
    return replace(
        fault, kind=kind, at=f"{broken} + {fault.at}", broken=frozenset({broken}), second=True,
        where=tuple(dict.fromkeys((*where, *fault.where))),
    )  # fmt: skip


def _earth_branches(equivalent: Equivalent) -> list[str]:
    """Return the branches that are protective conductors: cores, the plug's contact, the site's own."""
    network = equivalent.network
    cores = [core.id for core in network.cores.values() if core.conductor == "PE"]
    contacts = [contact_id(c) for c in network.contacts if c.conductor == "PE"]
    sites = [f"{site.supply}#{part}" for site in equivalent.sites for part in ("PE", "electrode")]
    return [id_ for id_ in (*cores, *contacts, *sites) if id_ in equivalent.circuit.index]


def _broken_earths(places: Places) -> Iterator[Fault]:
    """Yield each protective conductor broken where nothing beside it does its job, alone and with a second
    fault.

    The contact of a plug is electrically its cable: only one of two in a row is played.
    """
    equivalent = places.equivalent
    branches = equivalent.circuit.branches
    index = equivalent.circuit.index
    earths = _earth_branches(equivalent)
    ends = {id_: (branches[index[id_]].a, branches[index[id_]].b) for id_ in earths}
    aboard = [f for f in _live_to_case(places, final_only=False) if not _ashore(equivalent, f.where[0])]
    cases = {f.port[1]: f for f in aboard if f.port}
    played = set(places.equivalent.network.cables)
    for id_ in earths:
        owner = branches[index[id_]].of
        if owner not in played and not id_.endswith(("#PE", "#electrode")):
            continue
        rest = Potentials(pair for other, pair in ends.items() if other != id_)
        a, b = ends[id_]
        if rest.same(a, b):
            continue
        yield Fault("protective conductor broken", id_, (owner,), broken=frozenset({id_}))
        beyond = [f for case, f in cases.items() if rest.same(case, b)]
        before = [f for case, f in cases.items() if rest.same(case, a)]
        side = min((s for s in (beyond, before) if s), key=len, default=[])
        source_side = any(_is_source(equivalent, f.where[0]) for f in side)
        also = [f for f in (*beyond, *before) if f.final and f not in side] if source_side else []
        for fault in (*side, *also):
            yield _after(fault, "protective conductor broken and live to case", id_, (owner,))


def _ashore(equivalent: Equivalent, id_: str) -> bool:
    return equivalent.network.items[id_].kind == "ac supply"


def _is_source(equivalent: Equivalent, id_: str) -> bool:
    return equivalent.network.items[id_].kind in ("inverter", "generator", "inverter charger", "ac supply")


def _broken_neutrals(places: Places) -> Iterator[Fault]:
    equivalent = places.equivalent
    for core in equivalent.network.cores.values():
        if core.conductor == "N":
            yield Fault("neutral broken", core.id, (core.cable,), broken=frozenset({core.id}))
    for site in equivalent.sites:
        pen = f"{site.supply}#PEN"
        if pen in equivalent.circuit.index:
            yield Fault("PEN broken", pen, (site.supply,), broken=frozenset({pen}))


def _direct(places: Places) -> Iterator[Fault]:
    """Yield the faults of the d.c. side: at both ends of every cable with a plus core."""
    equivalent = places.equivalent
    network = equivalent.network
    structure = next((s.id for s in network.of_kind("structure")), "")
    seen: set[tuple[str, tuple[str, str]]] = set()
    for cable in network.cables.values():
        for end in (0, 1):
            ends = {core.conductor: (core.a, core.b)[end] for core in cable.cores}
            if "plus" in ends:
                yield from _direct_at(places, cable, ends, structure, seen)
    yield from minus_faults(equivalent)


def _direct_at(
    places: Places, cable: Cable, ends: dict[str, str], structure: str, seen: set[tuple[str, tuple[str, str]]]
) -> Iterator[Fault]:
    network = places.equivalent.network
    plus = ends["plus"]
    owner = network.owner[plus]
    where = (owner, cable.id)
    minus = ends.get("minus") or _terminal(places.equivalent, owner, plus, "minus") or _minus(places, plus)
    wanted: list[tuple[FaultKind, str]] = [
        ("plus to minus", minus),
        ("plus to structure", structure),
        ("plus to case", next(iter(cases_of(network.items[owner], places.equivalent.node_of)), "")),
    ]
    for kind, other in wanted:
        port = places.port(plus, other)
        if port and (kind, port) not in seen:
            seen.add((kind, port))
            yield Fault(kind, plus, where, port, direct=True)


def _minus(places: Places, plus: str) -> str:
    """Return the minus that belongs to a plus terminal: the bar of its board, else that of the battery, or of
    whatever else gives there, which reaches it.
    """
    network = places.equivalent.network
    board = network.description.boards.get(network.items[network.owner[plus]].board or "")
    if board is not None and board.minus_bar:
        return board.minus_bar
    for item in network.of_kind("battery", "dc supply", "alternator", "solar array"):
        minus = f"{item.id}.minus"
        if minus in item.terminals and network.plus_closed.same(f"{item.id}.plus", plus):
            return minus
    battery = next(iter(network.of_kind("battery")), None)
    return f"{battery.id}.minus" if battery else ""
