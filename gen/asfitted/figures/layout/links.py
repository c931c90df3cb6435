"""Links: chains of two-ended equipment between junctions, turned as a whole by their place on paper.

Turning whole links keeps every symbol in line with one wire above and one below. Rings that remain are broken
by the greedy sequence of Eades, Lin and Smyth (1993).
"""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from dataclasses import dataclass
from typing import Literal

from ..graph import Diagram, End
from .shapes import END, SHAPES, SOURCES, START

Orientation = Literal["power", "bands", "columns"]
"""`power`: as described. `bands`: AC above DC, DC away from its main bar. `columns`: AC above DC, the rest as
described."""


@dataclass(frozen=True)
class Link:
    """A chain from junction `first` to junction `last`: (index of the wire, described in this direction?)."""

    first: End
    last: End
    steps: tuple[tuple[int, bool], ...]

    def reversed(self) -> Link:
        """Return the same chain seen from its other end."""
        return Link(self.last, self.first, tuple((w, not ahead) for w, ahead in reversed(self.steps)))


def find_links(diagram: Diagram) -> list[Link]:
    """Return every chain once, in the order of the description."""
    ends: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for index, wire in enumerate(diagram.wires):
        ends[wire.a[0]].append((index, wire.a[1]))
        ends[wire.b[0]].append((index, wire.b[1]))
    inner = {
        piece.id
        for piece in diagram.pieces
        if SHAPES[piece.symbol].manner == "through" and sorted(p for _, p in ends[piece.id]) == ["in", "out"]
    }
    used: set[int] = set()

    def walk(index: int, start: str) -> Link:
        steps: list[tuple[int, bool]] = []
        first = diagram.wires[index].a if diagram.wires[index].a[0] == start else diagram.wires[index].b
        here = start
        while True:
            wire = diagram.wires[index]
            ahead = wire.a[0] == here
            used.add(index)
            steps.append((index, ahead))
            last = wire.b if ahead else wire.a
            here = last[0]
            onward = [w for w, _ in ends[here] if w not in used]
            if here not in inner or here == start or not onward:
                return Link(first, last, tuple(steps))
            index = onward[0]

    links = []
    for piece in diagram.pieces:
        if piece.id not in inner:
            links += [walk(index, piece.id) for index, _ in ends[piece.id] if index not in used]
    for index, wire in enumerate(diagram.wires):  # rings of nothing but two-ended equipment
        if index not in used:
            links.append(walk(index, wire.a[0]))
    # A link is described in the direction of most of its wires.
    links = [k if 2 * sum(ahead for _, ahead in k.steps) >= len(k.steps) else k.reversed() for k in links]
    return sorted(links, key=lambda link: min(index for index, _ in link.steps))


def circuits(diagram: Diagram, links: list[Link], bar: str) -> list[list[str]]:
    """Return the pieces of each way of a bar that leads to nothing but its load."""
    degree = Counter(p for wire in diagram.wires for p in (wire.a[0], wire.b[0]))
    ways = []
    for link in links:
        for near, far in ((link.first[0], link.last[0]), (link.last[0], link.first[0])):
            if near == bar and degree[far] == 1 and far != bar:
                inner = {p for i, _ in link.steps for p in (diagram.wires[i].a[0], diagram.wires[i].b[0])}
                ways.append([p.id for p in diagram.pieces if p.id in inner - {bar}])
    return ways


def orient(diagram: Diagram, links: list[Link], manner: Orientation) -> list[Link]:
    """Return the links turned so that they run down the page and close no ring."""
    if manner != "power":
        links = _bands(diagram, links, away=manner == "bands")
    links = _one_way_out(diagram, links)
    return _without_rings(diagram, links)


def _one_way_out(diagram: Diagram, links: list[Link]) -> list[Link]:
    """Let all links of a source leave it the same way: a wire through a battery means cells in series."""
    sources = {piece.id for piece in diagram.pieces if piece.symbol in SOURCES}
    ways: dict[str, int] = defaultdict(int)
    for link in links:
        ways[link.first[0]] += 1
        ways[link.last[0]] -= 1

    def against(link: Link) -> bool:
        first, last = link.first[0], link.last[0]
        return (last in sources and ways[last] >= 0) or (first in sources and ways[first] < 0)

    return [link.reversed() if against(link) else link for link in links]


def _bands(diagram: Diagram, links: list[Link], away: bool) -> list[Link]:
    """AC stands above DC; with `away` a DC link leads away from the main DC bar."""
    symbol = {piece.id: piece.symbol for piece in diagram.pieces}

    def kind(end: End, wire: int) -> str:
        # The direct-current port of an inverter charger belongs to a piece of the AC band.
        return "ac" if symbol[end[0]] == "inverter_charger" else diagram.wires[wire].kind

    kinds = [(kind(k.first, k.steps[0][0]), kind(k.last, k.steps[-1][0])) for k in links]
    far = _distances(diagram, [k for k, ends in zip(links, kinds, strict=True) if ends == ("dc", "dc")])
    turned = []
    for link, ends in zip(links, kinds, strict=True):
        upward = ends == ("dc", "ac")
        if away and ends == ("dc", "dc"):
            upward = far.get(link.first[0], 0) > far.get(link.last[0], 0)
        turned.append(link.reversed() if upward else link)
    return turned


def _distances(diagram: Diagram, links: list[Link]) -> dict[str, int]:
    """Return the steps from the main DC bar: the one with most inverters, then batteries, then wires."""
    symbol = {piece.id: piece.symbol for piece in diagram.pieces}
    beside: dict[str, list[str]] = defaultdict(list)
    for link in links:
        beside[link.first[0]].append(link.last[0])
        beside[link.last[0]].append(link.first[0])
    near: dict[str, list[str]] = defaultdict(list)
    for link in find_links(diagram):
        inner = [
            piece
            for index, _ in link.steps
            for piece in (diagram.wires[index].a[0], diagram.wires[index].b[0])
        ]
        near[link.first[0]] += inner
        near[link.last[0]] += inner

    def weight(bar: str) -> tuple[int, int, int]:
        symbols = [symbol[piece] for piece in near[bar]]
        inverters = symbols.count("inverter") + symbols.count("inverter_charger")
        return inverters, symbols.count("battery"), len(near[bar])

    bars = [piece.id for piece in diagram.pieces if piece.symbol == "bar" and piece.id in beside]
    if not bars:
        return {}
    main = max(bars, key=weight)
    far = {main: 0}
    waiting = deque([main])
    while waiting:
        here = waiting.popleft()
        for other in beside[here]:
            if other not in far:
                far[other] = far[here] + 1
                waiting.append(other)
    return far


def _without_rings(diagram: Diagram, links: list[Link]) -> list[Link]:
    """Order the junctions greedily (sources first, sinks last) and turn the links that run backwards."""
    order = {piece.id: index for index, piece in enumerate(diagram.pieces)}
    left = {end[0] for link in links for end in (link.first, link.last)}
    arcs = [(link.first[0], link.last[0]) for link in links]
    head: list[str] = []
    tail: list[str] = []
    while left:
        inside = [(a, b) for a, b in arcs if a in left and b in left and a != b]
        out: dict[str, int] = dict.fromkeys(left, 0)
        into: dict[str, int] = dict.fromkeys(left, 0)
        for a, b in inside:
            out[a] += 1
            into[b] += 1
        ranked = sorted(left, key=order.__getitem__)
        sinks = [n for n in ranked if not out[n]]
        sources = [n for n in ranked if out[n] and not into[n]]
        if sinks:
            tail = sinks + tail
            left -= set(sinks)
        elif sources:
            head += sources
            left -= set(sources)
        else:
            best = max(ranked, key=lambda n: (out[n] - into[n], -order[n]))
            head.append(best)
            left.remove(best)
    place = {piece: index for index, piece in enumerate(head + tail)}
    return [k.reversed() if place[k.first[0]] > place[k.last[0]] else k for k in links]


@dataclass(frozen=True)
class Run:
    """A wire as it runs down the page: its ends, and the side of the symbol where each lands."""

    index: int
    upper: End
    lower: End
    upper_side: int
    lower_side: int


def runs(diagram: Diagram, links: list[Link]) -> tuple[list[Run], dict[str, bool]]:
    """Return the wires in the order of the description, and which pieces are passed from "out" to "in".

    A port that cannot move (or was outvoted) keeps its side, although the wire comes from the other one.
    """
    symbol = {piece.id: piece.symbol for piece in diagram.pieces}
    shape = {piece: SHAPES[name] for piece, name in symbol.items()}
    ends: dict[int, tuple[End, End]] = {}
    votes: dict[str, int] = defaultdict(int)
    for link in links:
        for index, ahead in link.steps:
            wire = diagram.wires[index]
            ends[index] = (wire.a, wire.b) if ahead else (wire.b, wire.a)
    for upper, lower in ends.values():
        if shape[upper[0]].manner == "through":
            votes[upper[0]] += 1 if upper[1] == "in" else -1
        if shape[lower[0]].manner == "through":
            votes[lower[0]] += 1 if lower[1] == "out" else -1
        if shape[upper[0]].manner == "terminal":
            votes[upper[0]] += 1
        if shape[lower[0]].manner == "terminal":
            votes[lower[0]] -= 1
    turned = {p: votes[p] > 0 for p in shape if shape[p].manner == "through"}

    def side(end: End, upper: bool) -> int:
        piece, port = end
        manner = shape[piece].manner
        if manner == "bar":
            return END if upper else START
        if manner == "terminal":
            return END if votes[piece] > 0 or (votes[piece] == 0 and symbol[piece] in SOURCES) else START
        fixed = shape[piece].ports[port][0]
        return 1 - fixed if turned.get(piece) else fixed

    found = [
        Run(index, upper, lower, side(upper, upper=True), side(lower, upper=False))
        for index, (upper, lower) in sorted(ends.items())
    ]
    return found, turned
