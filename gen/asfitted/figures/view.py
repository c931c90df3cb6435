"""The single-line view of a network: a line for each circuit, where its line or positive conductor runs.

Neutral, negative and protective conductors are left to the wiring and earthing figures; the pieces that only
they reach are named in the description of the figure.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from asfitted.description.kinds import Load
from asfitted.network.model import Item, Join, Network

from .graph import Diagram, End, Kind, Piece, Wire
from .labels import cable_lines, piece_lines

DRAWN = ("L", "L1", "L2", "plus")

_SYMBOLS = {
    "ac supply": "source",
    "generator": "generator",
    "inverter": "inverter",
    "inverter charger": "inverter_charger",
    "transfer switch": "transfer",
    "selector switch": "transfer",
    "contactor": "contactor",
    "breaker": "breaker",
    "fuse": "fuse",
    "RCD": "rcd",
    "RCBO": "rcbo",
    "GFCI breaker": "rcbo",
    "isolator": "switch",
    "meter": "meter",
    "supply inlet": "inlet",
    "adaptor": "inlet",
    "dc supply": "battery",
    "dc inlet": "inlet",
    "busbar": "bar",
    "earth bar": "earth_bar",
    "sockets": "socket",
    "GFCI receptacle": "socket",
    "load": "load",
    "battery": "battery",
    "battery charger": "charger",
    "DC-DC charger": "dc_dc",
    "alternator": "alternator",
    "solar array": "solar",
    "solar controller": "dc_dc",
    "galvanic isolator": "galvanic_isolator",
    "isolating transformer": "transformer",
    "earth electrode": "electrode",
    "structure": "structure",
}
_PORTS = {
    "source 1": "s1",
    "source 2": "s2",
    "ac in": "ac_in",
    "ac out": "ac_out",
    "coupler": "in",
    "pins": "out",
    "array": "in",
    "battery": "out",
    "primary": "in",
    "secondary": "out",
}


@dataclass(frozen=True)
class View:
    """A diagram, and for each wire and port the terminal of the network that it stands for."""

    diagram: Diagram
    terminals: Mapping[str, tuple[str, str]]
    """Wire id -> the terminals at its ends."""
    cables: Mapping[str, str]
    """Wire id -> the id of its cable, for wires that are cables."""


_OF_DUTY = {"motor": "motor", "machine": "motor", "compressor": "motor", "lighting": "lamp"}


def symbol(item: Item) -> str:
    """Return the symbol of a piece of equipment."""
    loads = item.spec.loads.values() if isinstance(item.spec, Load) else ()
    drawn = {_OF_DUTY.get(load.duty or "", "") for load in loads}
    if len(drawn) == 1 and (only := drawn.pop()):
        return only
    if item.kind == "meter" and any(t.endswith((".plus", ".minus")) for t in item.terminals):
        return "shunt"
    return _SYMBOLS[item.kind]


def single_line_view(network: Network, state_words: Mapping[str, tuple[str, ...]] | None = None) -> View:
    """Return the single-line view; `state_words` reserves room beside the names of pieces."""
    wires: list[Wire] = []
    terminals: dict[str, tuple[str, str]] = {}
    cables: dict[str, str] = {}
    for wire, a, b, cable in _wires(network):
        wires.append(wire)
        terminals[wire.id] = (a, b)
        if cable:
            cables[wire.id] = cable
    touched = {end[0] for wire in wires for end in (wire.a, wire.b)}
    pieces = tuple(
        Piece(
            item.id,
            symbol(item),
            item.spec.short or item.name,
            piece_lines(network, item),
            board=item.board or "",
            planned=item.planned,
            words=(state_words or {}).get(item.id, ()),
            sheet=item.spec.sheet or 0,
        )
        for item in network.items.values()
        if item.id in touched
    )
    return View(Diagram(pieces, tuple(wires)), terminals, cables)


def _wires(network: Network) -> Iterator[tuple[Wire, str, str, str]]:
    """Yield each wire with the terminals at its ends and its cable ("" if bolted)."""
    for cable in network.cables.values():
        seen: set[frozenset[End]] = set()
        for core in cable.cores:
            a, b = _end(network, core.a, core.conductor), _end(network, core.b, core.conductor)
            if core.conductor not in DRAWN or a[0] == b[0] or frozenset((a, b)) in seen:
                continue
            wire_id = cable.id if not seen else core.id
            seen.add(frozenset((a, b)))
            kind: Kind = "dc" if core.conductor == "plus" else "ac"
            yield (
                Wire(wire_id, a, b, cable_lines(network, cable), kind, cable.planned),
                core.a,
                core.b,
                cable.id,
            )
    bolted: set[frozenset[End]] = set()
    kinds = _bars(network)
    for join in network.joins:
        if join.reason != "bolted" or network.owner[join.a] == network.owner[join.b]:
            continue
        conductor = _drawn_conductor(join)
        a, b = _end(network, join.a, conductor), _end(network, join.b, conductor)
        if frozenset((a, b)) in bolted or not (conductor or {join.a, join.b} <= kinds.keys()):
            continue
        bolted.add(frozenset((a, b)))
        kind = ("dc" if conductor == "plus" else "ac") if conductor else kinds[join.a]
        planned = network.items[a[0]].planned or network.items[b[0]].planned
        yield Wire(f"{join.a} {join.b}", a, b, (), kind, planned), join.a, join.b, ""


def _drawn_conductor(join: Join) -> str:
    return next((c for c in DRAWN if join.a.endswith(f".{c}") or join.b.endswith(f".{c}")), "")


def _bars(network: Network) -> dict[str, Kind]:
    """Return the kind of each bar that a drawn conductor reaches, directly or over bars bolted together.

    A bar is one terminal that does not say of which conductor it is.
    """
    ends = [(core.conductor, core.a, core.b) for core in network.cores.values() if core.conductor in DRAWN]
    joins = [join for join in network.joins if join.reason == "bolted"]
    ends += [(conductor, join.a, join.b) for join in joins if (conductor := _drawn_conductor(join))]
    kinds: dict[str, Kind] = {
        end: "dc" if conductor == "plus" else "ac"
        for conductor, *both in ends
        for end in both
        if end in network.items
    }
    between = [{join.a, join.b} for join in joins if {join.a, join.b} <= network.items.keys()]
    for _ in between:
        for pair in between:
            known = pair & kinds.keys()
            kinds |= dict.fromkeys(pair - known, kinds[min(known)]) if known else {}
    return kinds


def _end(network: Network, terminal: str, conductor: str) -> End:
    """Return the piece and the port of its symbol at which a conductor lands."""
    item = network.items[network.owner[terminal]]
    port = terminal.removeprefix(item.id).removeprefix(".").removesuffix(conductor).removesuffix(".")
    if item.kind == "inverter":
        port = "in" if conductor == "plus" else "out"
    elif item.kind == "battery charger":
        port = "out" if conductor == "plus" else "in"
    elif item.kind == "inverter charger" and conductor == "plus":
        port = "dc"
    return item.id, _PORTS.get(port, port)
