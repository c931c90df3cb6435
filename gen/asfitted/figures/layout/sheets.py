"""Division over sheets: what does not fit at 6 pt is cut at boards and converters; cut wires end in arrows.

Every piece stands on one sheet (a bar with too many circuits may be continued on a second), every wire on one
sheet or, cut, on two.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from ..graph import Diagram, Piece, Wire
from .choose import LEAST_PT, lay_out_sheet
from .layers import assign_layers
from .links import circuits, find_links, orient, runs
from .page import Page, Paper
from .shapes import SHAPES

Group = frozenset[str]

_PROTECTIVE = {"breaker", "rcd", "rcbo", "fuse", "isolator", "switch", "contactor"}
_AC_SOURCES = {"source", "generator"}
_LEAST_CIRCUITS = 3


@dataclass(frozen=True)
class Sheet:
    """One sheet: the part of the diagram that it shows, with arrows for cut wires, and its page."""

    diagram: Diagram
    page: Page


@dataclass(frozen=True)
class Wording:
    """The words on arrows and continued bars; `sheet` receives the number of the other sheet."""

    sheet: Callable[[int], str]
    continued: str


def lay_out(diagram: Diagram, paper: Paper, wording: Wording) -> list[Sheet]:
    """Return the sheets that show the whole diagram with text of 6 pt or more, in reading order."""
    groups = divide(diagram, paper, wording)
    parts = cut(diagram, groups, wording)
    return [Sheet(part, lay_out_small(part, paper)) for part in parts]


def lay_out_small(diagram: Diagram, paper: Paper) -> Page:
    """Return the page of half the height if the diagram fits it, so that it may share a page with text."""
    half = lay_out_sheet(diagram, replace(paper, height_mm=paper.height_mm / 2))
    return half if half.size_pt >= LEAST_PT else lay_out_sheet(diagram, paper)


def divide(diagram: Diagram, paper: Paper, wording: Wording) -> list[Group]:
    """Return the ids of the pieces of each sheet, supplies first."""
    every = frozenset(piece.id for piece in diagram.pieces)
    forced = any(piece.sheet for piece in diagram.pieces)
    known: dict[Group, bool] = {}

    def fits(group: Group) -> bool:
        if group not in known:
            part = cut(diagram, [group, every - group], wording)[0]
            known[group] = lay_out_sheet(part, paper).size_pt >= LEAST_PT
        return known[group]

    if not forced and fits(every):
        return [every]
    groups = [small for group in _natural_groups(diagram) for small in _reduce(diagram, group, fits)]
    groups = _merge(diagram, groups, fits)
    index = {piece.id: i for i, piece in enumerate(diagram.pieces)}
    symbol = {piece.id: piece.symbol for piece in diagram.pieces}
    return sorted(
        groups, key=lambda g: (not any(symbol[p] in _AC_SOURCES for p in g), min(index[p] for p in g))
    )


def cut(diagram: Diagram, groups: list[Group], wording: Wording) -> list[Diagram]:
    """Return a diagram for each group in which every wire that leaves it ends in an arrow."""
    if len(groups) == 1:
        return [diagram]
    piece_of = {piece.id: piece for piece in diagram.pieces}
    home: dict[str, list[int]] = defaultdict(list)
    for number, group in enumerate(groups):
        for piece_id in group:
            home[piece_id].append(number)
    pieces: list[list[Piece]] = [
        [
            replace(p, lines=(*p.lines, wording.continued)) if home[p.id][0] != number else p
            for p in diagram.pieces
            if p.id in group
        ]
        for number, group in enumerate(groups)
    ]
    wires: list[list[Wire]] = [[] for _ in groups]

    def arrow(number: int, wire: Wire, other: str, target: int) -> str:
        arrow_id = f"{wire.id} > {other}"
        name = piece_of[other].name
        pieces[number].append(
            Piece(arrow_id, "off_sheet", name, (wording.sheet(target + 1),), planned=wire.planned)
        )
        return arrow_id

    for wire in diagram.wires:
        a, b = wire.a[0], wire.b[0]
        shared = [n for n in home[a] if n in home[b]]
        if shared:
            wires[shared[0]].append(wire)
            continue
        here, there = home[a][0], home[b][0]
        wires[here].append(replace(wire, b=(arrow(here, wire, b, there), "")))
        wires[there].append(replace(wire, a=(arrow(there, wire, a, here), "")))
    for piece_id, numbers in home.items():
        for here, there in pairwise(numbers):
            kind = next(w.kind for w in diagram.wires if piece_id in (w.a[0], w.b[0]))
            wire_id = f"{piece_id} continued"
            onward, back = f"{wire_id} > {there}", f"{wire_id} > {here}"
            for number, arrow_id, target in ((here, onward, there), (there, back, here)):
                lines = (wording.sheet(target + 1),)
                pieces[number].append(Piece(arrow_id, "off_sheet", piece_of[piece_id].name, lines))
            wires[here].append(Wire(wire_id, (piece_id, ""), (onward, ""), kind=kind))
            wires[there].append(Wire(wire_id, (back, ""), (piece_id, ""), kind=kind))
    return [Diagram(tuple(p), tuple(w)) for p, w in zip(pieces, wires, strict=True)]


def _natural_groups(diagram: Diagram) -> list[Group]:
    """Forced sheets; boards with their circuits; the rest in connected pieces of one band."""
    forced: dict[int, set[str]] = defaultdict(set)
    for piece in diagram.pieces:
        if piece.sheet:
            forced[piece.sheet].add(piece.id)
    groups: list[Group] = [frozenset(forced[number]) for number in sorted(forced)]
    taken = {p for group in groups for p in group}
    links = find_links(diagram)
    for piece in diagram.pieces:
        if SHAPES[piece.symbol].manner == "bar" and piece.id not in taken:
            leaves = circuits(diagram, links, piece.id)
            if len(leaves) > _LEAST_CIRCUITS:
                own = {piece.id} | {p for way in leaves for p in way} | _guards(diagram, piece.id)
                groups.append(frozenset(own - taken))
                taken |= own
    return groups + _rest(diagram, taken)


def _guards(diagram: Diagram, bar: str) -> set[str]:
    """The protective devices right beside a bar stay with it."""
    symbol = {piece.id: piece.symbol for piece in diagram.pieces}
    beside = {w.b[0] for w in diagram.wires if w.a[0] == bar} | {
        w.a[0] for w in diagram.wires if w.b[0] == bar
    }
    return {p for p in beside if symbol[p] in _PROTECTIVE}


def _rest(diagram: Diagram, taken: Iterable[str]) -> list[Group]:
    band = {piece.id: "dc" for piece in diagram.pieces}
    for wire in diagram.wires:
        if wire.kind == "ac":
            band[wire.a[0]] = band[wire.b[0]] = "ac"
    taken = set(taken)
    left = [piece.id for piece in diagram.pieces if piece.id not in taken]
    return _connected(left, (w for w in diagram.wires if band[w.a[0]] == band[w.b[0]]))


def _connected(members: Iterable[str], wires: Iterable[Wire]) -> list[Group]:
    """Return the parts that hang together by the given wires, in a fixed order."""
    root = {p: p for p in sorted(members)}

    def find(p: str) -> str:
        while root[p] != p:
            p = root[p]
        return p

    for wire in wires:
        a, b = wire.a[0], wire.b[0]
        if a in root and b in root:
            root[find(a)] = find(b)
    parts: dict[str, set[str]] = defaultdict(set)
    for p in root:
        parts[find(p)].add(p)
    return [frozenset(part) for part in parts.values()]


def _reduce(diagram: Diagram, group: Group, fits: Callable[[Group], bool]) -> list[Group]:
    """Split a group until each part fits: a board with many circuits in two, the rest across its layers."""
    if len(group) < 2 or fits(group):
        return [group]
    halves = _halve_board(diagram, group) or [
        part
        for half in _halve_layers(diagram, group)
        for part in _connected(half, _inside(diagram, half).wires)
    ]
    return [small for half in halves for small in _reduce(diagram, half, fits)]


def _inside(diagram: Diagram, group: Group) -> Diagram:
    return Diagram(
        tuple(p for p in diagram.pieces if p.id in group),
        tuple(w for w in diagram.wires if w.a[0] in group and w.b[0] in group),
    )


def _halve_board(diagram: Diagram, group: Group) -> list[Group]:
    inside = _inside(diagram, group)
    links = find_links(inside)
    for piece in inside.pieces:
        if SHAPES[piece.symbol].manner == "bar":
            ways = circuits(inside, links, piece.id)
            if len(ways) > 2 * _LEAST_CIRCUITS:
                second = {p for way in ways[len(ways) // 2 :] for p in way}
                return [group - second, frozenset(second | {piece.id})]
    return []


def _halve_layers(diagram: Diagram, group: Group) -> list[Group]:
    """Cut between the layers, in the middle half, where few wires pass and both parts are worth a sheet."""
    inside = _inside(diagram, group)
    wires, _ = runs(inside, orient(inside, find_links(inside), "columns"))
    level = assign_layers(inside, wires)
    levels = sorted(set(level.values()))
    if len(levels) < 2:
        members = [p.id for p in inside.pieces]
        half = len(members) // 2
        return [frozenset(members[:half]), frozenset(members[half:])]
    quarter = len(levels) // 4
    candidates = levels[max(1, quarter) : max(2, len(levels) - quarter)]

    def passing(at: int) -> float:
        count = sum((level[w.a[0]] < at) != (level[w.b[0]] < at) for w in inside.wires)
        # A cut that leaves a few pieces alone saves no sheet: all against none counts as much as four wires.
        return count + 4 * abs(2 * sum(value < at for value in level.values()) / len(level) - 1)

    at = min(candidates, key=passing)
    return [frozenset(p for p in level if level[p] < at), frozenset(p for p in level if level[p] >= at)]


def _merge(diagram: Diagram, groups: list[Group], fits: Callable[[Group], bool]) -> list[Group]:
    """Join pairs that share most wires while the result fits."""
    index = {piece.id: i for i, piece in enumerate(diagram.pieces)}
    forced = {piece.id: piece.sheet for piece in diagram.pieces}
    groups = list(groups)

    def shared(a: Group, b: Group) -> int:
        between = sum((w.a[0] in a and w.b[0] in b) or (w.a[0] in b and w.b[0] in a) for w in diagram.wires)
        return between + 2 * len(a & b)

    while True:
        pairs = []
        for i, a in enumerate(groups):
            for j in range(i + 1, len(groups)):
                if len({forced[p] for p in a | groups[j]} - {0}) > 1:
                    continue
                pairs.append((-shared(a, groups[j]), len(a | groups[j]), min(index[p] for p in a), i, j))
        for _, _, _, i, j in sorted(pairs):
            union = groups[i] | groups[j]
            if fits(union):
                groups = [g for n, g in enumerate(groups) if n not in (i, j)] + [union]
                break
        else:
            return groups
