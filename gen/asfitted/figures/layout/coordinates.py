"""Places across the flow: the cells of a layer apart, wires straight, bars stretched over their taps.

Everything is a difference of two unknowns, therefore network simplex on the dual solves it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise

from .cells import Cell
from .differences import Differences
from .ordering import Order
from .proper import Edge, Pin, Proper

_TAP_PITCH_MM = 2.4
_TAP_INSET_MM = 1.5
_SMALL_STEP_MM = 3.0
_NEAR_TAPS_MM = 6.0
_STRAIGHTEN = 60.0
_PASSES = 3


@dataclass
class Places:
    """Where everything lies across the flow, in mm."""

    axis: list[float]
    ends: dict[int, tuple[float, float]]
    """Lower and upper end of each bar."""
    taps: dict[Pin, float] = field(default_factory=dict)
    offsets: dict[Pin, float] = field(default_factory=dict)

    def at(self, pin: Pin) -> float:
        """Return the place of a pin."""
        return self.taps[pin] if pin in self.taps else self.axis[pin.node] + self.offsets.get(pin, 0.0)


def place_across(graph: Proper, order: Order, cells: list[Cell]) -> Places:
    """Return the places of least total bend, bar length and width."""
    offsets = port_offsets(graph, order)
    best = _solve(graph, order, cells, offsets, {})
    wishes = _small_steps(graph, best)
    merit = (_bends(graph, best), len(wishes))
    for _ in range(_PASSES):
        if not wishes:
            break
        places = _solve(graph, order, cells, offsets, wishes)
        more = _small_steps(graph, places)
        if (_bends(graph, places), len(more)) < merit:
            best, merit = places, (_bends(graph, places), len(more))
        if not more.keys() - wishes.keys():
            break
        wishes |= more
    return best


def port_offsets(graph: Proper, order: Order) -> dict[Pin, float]:
    """Return the offset from the axis of every pin that lies beside it."""
    found = {}
    for edge in graph.edges:
        for pin in (edge.a, edge.b):
            offset = graph.offsets[pin.node].get(pin.slot, 0.0)
            if offset:
                found[pin] = -offset if pin.node in order.mirrored else offset
    return found


def _solve(
    graph: Proper,
    order: Order,
    cells: list[Cell],
    offsets: dict[Pin, float],
    wishes: dict[tuple[Pin, Pin], float],
) -> Places:
    rows = Differences()
    left_edge, right_edge = rows.unknown(), rows.unknown()
    rows.shorten(left_edge, right_edge, 0.5)
    rows.at_least(left_edge, right_edge, 0)
    low = [rows.unknown() for _ in graph.nodes]
    high = [rows.unknown() if graph.is_bar(node) else low[node] for node in range(len(graph.nodes))]
    for layer in order.layers:
        for left, right in pairwise(layer):
            rows.at_least(high[left], low[right], cells[left].right + cells[right].left)
        if layer:
            rows.at_least(left_edge, low[layer[0]], cells[layer[0]].left)
            rows.at_least(high[layer[-1]], right_edge, cells[layer[-1]].right)
    taps = _taps(graph, order, offsets)
    unknown: dict[Pin, int] = {}
    for node, sides in taps.items():
        rows.at_least(low[node], high[node], 2 * _TAP_INSET_MM)
        rows.shorten(low[node], high[node], 0.25)
        for pins in sides:
            for pin in pins:
                unknown[pin] = rows.unknown()
                rows.at_least(low[node], unknown[pin], _TAP_INSET_MM)
                rows.at_least(unknown[pin], high[node], _TAP_INSET_MM)
            for pin, following in pairwise(pins):
                rows.at_least(unknown[pin], unknown[following], _TAP_PITCH_MM)
    for node in range(len(graph.nodes)):
        if graph.is_bar(node) and node not in taps:
            rows.at_least(low[node], high[node], 4 * _TAP_INSET_MM)
            rows.shorten(low[node], high[node], 0.25)
    shared = _shared(graph)

    def row(a: Pin, b: Pin, weight: float) -> None:
        distance = offsets.get(a, 0.0) - offsets.get(b, 0.0)
        rows.prefer(unknown.get(a, low[a.node]), unknown.get(b, low[b.node]), distance, weight)

    for edge in graph.edges:
        row(edge.a, edge.b, _weight(graph, edge, edge.a in unknown or edge.b in unknown, shared))
    for (a, b), weight in wishes.items():
        row(a, b, weight)
    values = rows.solve()
    return Places(
        [values[n] for n in low],
        {
            node: (values[low[node]], values[high[node]])
            for node in range(len(graph.nodes))
            if graph.is_bar(node)
        },
        {pin: values[n] for pin, n in unknown.items()},
        offsets,
    )


def _shared(graph: Proper) -> set[Pin]:
    count: dict[Pin, int] = defaultdict(int)
    for edge in graph.edges:
        count[edge.a] += 1
        count[edge.b] += 1
    return {pin for pin, n in count.items() if n > 1}


def _weight(graph: Proper, edge: Edge, tap: bool, shared: set[Pin]) -> float:
    if edge.turn or edge.a in shared or edge.b in shared:
        return 0.3
    if tap:
        return 10
    passing = (graph.nodes[edge.a.node].piece < 0) + (graph.nodes[edge.b.node].piece < 0)
    return (1, 3, 8)[passing]


def _taps(graph: Proper, order: Order, offsets: dict[Pin, float]) -> dict[int, tuple[list[Pin], list[Pin]]]:
    """Return for each bar the taps on either side, in the order of what they lead to."""
    place = {node: i for layer in order.layers for i, node in enumerate(layer)}
    found: dict[int, tuple[list[tuple[float, Pin]], list[tuple[float, Pin]]]] = {}
    for edge in graph.edges:
        for pin, other in ((edge.a, edge.b), (edge.b, edge.a)):
            if graph.is_bar(pin.node):
                offset = offsets.get(other, 0.0)
                aim = place[other.node] + (offset > 0) * 0.2 - (offset < 0) * 0.2
                found.setdefault(pin.node, ([], []))[pin.side].append((aim, pin))
    return {
        node: (
            [pin for _, pin in sorted(sides[0], key=lambda t: t[0])],
            [pin for _, pin in sorted(sides[1], key=lambda t: t[0])],
        )
        for node, sides in found.items()
    }


def _small_steps(graph: Proper, places: Places) -> dict[tuple[Pin, Pin], float]:
    """Return the pairs that nearly stand in line: steps of wires, and taps above and below the same bar."""
    shared = _shared(graph)
    wishes: dict[tuple[Pin, Pin], float] = {}
    for edge in graph.edges:
        step = abs(places.at(edge.a) - places.at(edge.b))
        if 0.005 < step < _SMALL_STEP_MM and not edge.turn and edge.a not in shared and edge.b not in shared:
            wishes[edge.a, edge.b] = _STRAIGHTEN
    for a in places.taps:
        for b in places.taps:
            if (
                a.node == b.node
                and a.side < b.side
                and 0.005 < abs(places.taps[a] - places.taps[b]) < _NEAR_TAPS_MM
            ):
                wishes[a, b] = 4.0
    return wishes


def _bends(graph: Proper, places: Places) -> int:
    return sum(abs(places.at(e.a) - places.at(e.b)) > 0.005 for e in graph.edges)
