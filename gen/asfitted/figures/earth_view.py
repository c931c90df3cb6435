"""The earthing view of a network: what is earthed by which conductor, and where neutral meets earth.

Exposed parts and sources stand above, bars below them, structure and electrode at the bottom. Circuits that
only hang on the same bar are drawn as one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from asfitted import words
from asfitted.description.kinds import IsolatingTransformer
from asfitted.network.model import Bond, Cable, Core, Item, Network
from asfitted.network.states import SOURCE_KINDS, is_earth

from .graph import Diagram, End, Piece, Wire
from .labels import bond_line, core_size, earth_core_lines

_SYMBOLS = {
    "earth bar": "earth_bar",
    "structure": "structure",
    "earth electrode": "electrode",
    "supply inlet": "inlet",
    "adaptor": "inlet",
    "galvanic isolator": "galvanic_isolator",
}
_DEPTH = {"earth bar": 1, "structure": 2, "earth electrode": 3}
_CONSUMERS = ("sockets", "GFCI receptacle", "load")
_FEWEST_GROUPED = 3


@dataclass(frozen=True)
class EarthView:
    """The diagram; the bond that each piece shows; the cables behind each wire."""

    diagram: Diagram
    bonds: Mapping[str, Bond]
    cables: Mapping[str, tuple[str, ...]]


def earth_view(network: Network, state_words: Mapping[str, tuple[str, ...]] | None = None) -> EarthView:
    """Return the earthing view; `state_words` reserves room beside the names of pieces."""
    bonds = {bond.equipment: bond for bond in network.bonds}
    wires = list(_wires(network))
    cables = {wire.id: (wire.id,) for wire in wires if wire.id in network.cables}
    for source, bond in bonds.items():
        if not bond.earth.startswith(f"{source}."):
            link = words.text("figures", "earthing.link")
            end = (network.owner.get(bond.earth, bond.earth), "")
            wires.append(Wire(f"{source} link", (f"{source} N", ""), end, (link,), "earth"))
    touched = {end[0] for wire in wires for end in (wire.a, wire.b)}
    poles = dict.fromkeys(_by_negative(network), "negative") | dict.fromkeys(
        _neutral_bars(network), "neutral"
    )
    pieces = []
    for item in network.items.values():
        reserved = (state_words or {}).get(item.id, ())
        if item.id in touched:
            pieces.append(_piece(network, item, bonds.get(item.id), reserved, poles.get(item.id, "exposed")))
        if f"{item.id} screen" in touched:
            name = words.text("figures", "earthing.screen", item=item.spec.short or item.name)
            pieces.append(Piece(f"{item.id} screen", "exposed", name))
        if f"{item.id} N" in touched:
            lines = (bond_line(network, item),)
            pieces.append(
                Piece(f"{item.id} N", "neutral", item.spec.short or item.name, lines, words=reserved)
            )
    return _grouped(network, EarthView(Diagram(tuple(pieces), tuple(wires)), bonds, cables))


def _by_negative(network: Network) -> set[str]:
    """Return the pieces that a negative conductor, not a protective one, ties to earth."""
    tied = [c for c in network.cores.values() if c.conductor == "minus"]
    ends = {
        end
        for core in tied
        for end in (core.a, core.b)
        if is_earth(network, core.a) or is_earth(network, core.b)
    }
    protected = {
        network.owner[t] for core in network.cores.values() for t in (core.a, core.b) if t.endswith(".PE")
    }
    return {network.owner[end] for end in ends if not is_earth(network, end)} - protected


def _neutral_bars(network: Network) -> set[str]:
    """Return the bars on which neutral conductors land."""
    ends = {end for core in network.cores.values() if core.conductor == "N" for end in (core.a, core.b)}
    return {item.id for item in network.of_kind("busbar") if item.id in ends}


def _piece(network: Network, item: Item, bond: Bond | None, reserved: tuple[str, ...], usual: str) -> Piece:
    own = bond is not None and bond.earth.startswith(f"{item.id}.")
    unbonded = bond is None and item.kind in SOURCE_KINDS
    symbol = "bond" if own or unbonded else _SYMBOLS.get(item.kind, usual)
    lines = [bond_line(network, item)] if own or unbonded else []
    if item.planned:
        lines.append(words.text("figures", "planned"))
    shown = tuple(line for line in lines if line)
    return Piece(item.id, symbol, item.spec.short or item.name, shown, planned=item.planned, words=reserved)


def _wires(network: Network) -> Iterator[Wire]:
    """Yield the protective and bonding conductors, each from the shallower piece to the deeper one."""
    seen: set[frozenset[End]] = set()
    depth = {item.id: _DEPTH.get(item.kind, 0) for item in network.items.values()}

    def directed(a: End, b: End) -> tuple[End, End]:
        deep = depth.get(a[0], 0) > depth.get(b[0], 0)
        return (b, a) if deep else (a, b)

    for cable in network.cables.values():
        core = _earth_core(network, cable)
        if core is None or network.owner[core.a] == network.owner[core.b]:
            continue
        a, b = directed(_end(network, core.a), _end(network, core.b))
        yield Wire(cable.id, a, b, earth_core_lines(network, cable, core), "earth", cable.planned)
    for join in network.joins:
        if join.reason != "bolted" or not (is_earth(network, join.a) or is_earth(network, join.b)):
            continue
        a, b = directed(_end(network, join.a), _end(network, join.b))
        if a[0] != b[0] and frozenset((a, b)) not in seen:
            seen.add(frozenset((a, b)))
            yield Wire(f"{join.a} {join.b}", a, b, (), "earth")


def _earth_core(network: Network, cable: Cable) -> Core | None:
    """Return the core of a cable that lands on the protective side."""
    return next((c for c in cable.cores if is_earth(network, c.a) or is_earth(network, c.b)), None)


def _end(network: Network, terminal: str) -> End:
    item = network.items[network.owner[terminal]]
    if item.kind in ("supply inlet", "adaptor", "galvanic isolator"):
        port = terminal.removeprefix(f"{item.id}.").split(".")[0]
        return item.id, {"coupler": "in", "pins": "out"}.get(port, port)
    if has_own_screen(item) and terminal == f"{item.id}.primary.PE":
        return f"{item.id} screen", ""
    return item.id, ""


def has_own_screen(item: Item) -> bool:
    """Tell whether the earth of the supply ends at the screen of a transformer, apart from the build's."""
    return isinstance(item.spec, IsolatingTransformer) and item.spec.shore_earth == "ends at the screen"


def _grouped(network: Network, view: EarthView) -> EarthView:
    """Draw the circuits that hang on the same bar by one conductor each as one piece."""
    kinds = {item.id: item.kind for item in network.items.values()}
    ends: dict[str, list[Wire]] = defaultdict(list)
    for wire in view.diagram.wires:
        ends[wire.a[0]].append(wire)
        ends[wire.b[0]].append(wire)
    by_bar: dict[str, list[str]] = defaultdict(list)
    for piece in view.diagram.pieces:
        if kinds.get(piece.id) in _CONSUMERS and len(ends[piece.id]) == 1 and not piece.planned:
            wire = ends[piece.id][0]
            other = wire.b[0] if wire.a[0] == piece.id else wire.a[0]
            if kinds[other] == "earth bar" and wire.id in network.cables:
                by_bar[other].append(piece.id)
    pieces, wires, cables = list(view.diagram.pieces), list(view.diagram.wires), dict(view.cables)
    names = {piece.id: piece.name for piece in pieces}
    for bar, members in by_bar.items():
        if len(members) < _FEWEST_GROUPED:
            continue
        group = f"{bar} circuits"
        name = words.text("figures", "earthing.circuits", count=len(members))
        listed = ", ".join(names[member] for member in members)
        place = next(i for i, piece in enumerate(pieces) if piece.id == members[0])
        own = [ends[member][0] for member in members]
        pieces.insert(place, Piece(group, "exposed", name, (listed,)))
        wires.insert(
            wires.index(own[0]),
            Wire(f"{group} wire", (group, ""), (bar, ""), _several(network, own), "earth"),
        )
        cables[f"{group} wire"] = tuple(wire.id for wire in own)
        pieces = [piece for piece in pieces if piece.id not in members]
        wires = [wire for wire in wires if wire not in own]
    return replace(view, diagram=Diagram(tuple(pieces), tuple(wires)), cables=cables)


def _several(network: Network, wires: list[Wire]) -> tuple[str, ...]:
    """Return a line for each size of protective core, with the cables that have it."""
    alike: dict[str, list[str]] = defaultdict(list)
    for wire in wires:
        core = _earth_core(network, network.cables[wire.id])
        alike[core_size(core) if core else ""].append(wire.id)
    return tuple(
        words.text("figures", "earthing.several", cables=", ".join(cables), size=size)
        for size, cables in alike.items()
    )
