"""One way to arrange a diagram: run the steps in turn for an orientation, then make pages of it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

from ..graph import Diagram
from .cells import Cell, piece_cell, wire_cell
from .channels import route
from .compose import LAYER_GAP_MM, Composition
from .coordinates import place_across
from .layers import assign_layers
from .links import Link, Orientation, circuits, find_links, orient, runs
from .ordering import Order, find_orders
from .page import Flow, Page
from .proper import Proper, make_proper
from .shapes import SHAPES, START


class Arrangement:
    """A diagram with its orientation, layers and orders: everything that does not depend on the flow."""

    def __init__(self, diagram: Diagram, manner: Orientation) -> None:
        self.diagram = diagram
        self.links: list[Link] = orient(diagram, find_links(diagram), manner)
        wires, turned = runs(diagram, self.links)
        self.graph: Proper = make_proper(diagram, wires, turned, assign_layers(diagram, wires))
        self.orders: list[Order] = find_orders(self.graph)
        self._made: dict[tuple[Flow, bool], list[Page]] = {}

    def pages(self, flow: Flow, even: bool) -> list[Page]:
        """Return a page for each order of equal cost; `even` gives the circuits of a bar the same pitch."""
        if (flow, even) not in self._made:
            self._made[flow, even] = [self._page(order, flow, even) for order in self.orders]
        return self._made[flow, even]

    def least_size(self, flow: Flow) -> tuple[float, float]:
        """Return a width and a height in mm below which no page of this flow can stay: known early."""
        cells = self._cells(self.orders[0], flow)
        layers = [[cells[n] for n in layer] for layer in self.graph.layers if layer]
        along = sum(max(c.before for c in layer) + max(c.after for c in layer) for layer in layers)
        along += LAYER_GAP_MM * max(0, len(self.graph.layers) - 1)
        across = max((sum(c.left + c.right for c in layer) for layer in layers), default=0.0)
        return (across, along) if flow == "down" else (along, across)

    def _page(self, order: Order, flow: Flow, even: bool) -> Page:
        cells = self._cells(order, flow)
        if even:
            cells = self._even(cells)
        places = place_across(self.graph, order, cells)
        nets, tracks = route(self.graph, places)
        return Composition(self.graph, order, flow, cells, places, nets, tracks).page()

    def _cells(self, order: Order, flow: Flow) -> list[Cell]:
        left_pieces, left_wires = self._text_left(order) if flow == "down" else (set(), set())
        cells = []
        for node in self.graph.nodes:
            if node.piece >= 0:
                piece = self.diagram.pieces[node.piece]
                cells.append(piece_cell(piece, flow, piece.id in left_pieces))
            else:
                wire = self.diagram.wires[node.wire]
                cells.append(wire_cell(wire, flow, wire.id in left_wires, node.labelled))
        return cells

    def _even(self, cells: list[Cell]) -> list[Cell]:
        """Give the cells of one layer that belong to circuits of the same bar the room of the widest."""
        bar_of: dict[int, str] = {}
        for piece in self.diagram.pieces:
            if SHAPES[piece.symbol].manner == "bar":
                for way in circuits(self.diagram, self.links, piece.id):
                    inside = set(way)
                    for number, node in enumerate(self.graph.nodes):
                        if node.piece >= 0:
                            member = self.diagram.pieces[node.piece].id in inside
                        else:
                            wire = self.diagram.wires[node.wire]
                            member = bool({wire.a[0], wire.b[0]} & inside)
                        if member:
                            bar_of[number] = piece.id
        groups: dict[tuple[str, int], list[int]] = defaultdict(list)
        for number, bar in bar_of.items():
            groups[bar, self.graph.nodes[number].layer].append(number)
        result = list(cells)
        for members in groups.values():
            left, right = max(cells[n].left for n in members), max(cells[n].right for n in members)
            for n in members:
                result[n] = replace(cells[n], left=left, right=right)
        return result

    def _text_left(self, order: Order) -> tuple[set[str], set[str]]:
        """The chain on the left one of two adjacent ports has its texts on the left; both run straight."""
        pieces: set[str] = set()
        wires: set[str] = set()
        number = {p.id: i for i, p in enumerate(self.diagram.pieces)}
        degree: dict[str, int] = defaultdict(int)
        for link in self.links:
            degree[link.first[0]] += 1
            degree[link.last[0]] += 1
        for link in self.links:
            for end, other in ((link.first, link.last), (link.last, link.first)):
                ports = SHAPES[self.diagram.pieces[number[end[0]]].symbol].ports
                side, offset = ports.get(end[1], (START, 0.0))
                if not offset or sum(s == side for s, _ in ports.values()) < 2:
                    continue
                if (offset < 0) == (number[end[0]] in order.mirrored):
                    continue
                for index, _ in link.steps:
                    wire = self.diagram.wires[index]
                    wires.add(wire.id)
                    pieces |= {wire.a[0], wire.b[0]}
                pieces.discard(end[0])
                if degree[other[0]] > 1:
                    pieces.discard(other[0])
        return pieces, wires
