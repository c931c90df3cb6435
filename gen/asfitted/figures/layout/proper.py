"""The proper graph: a node for each piece, each cable label and each layer that a wire passes.

A wire that meets a port from the wrong side passes beside the piece and comes back: a `turn`, an edge with
both pins on the same side of a channel. Without it the wire would end on the wrong side of the symbol.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..graph import Diagram
from .links import Run
from .shapes import END, SHAPES, START


@dataclass(frozen=True)
class Node:
    """A cell of a layer: a piece, or a wire that passes (with its label if `labelled`)."""

    layer: int
    piece: int = -1
    wire: int = -1
    labelled: bool = False


@dataclass(frozen=True)
class Pin:
    """A point on the start or end side of a node. `slot`: port name, or for a bar the wire of the tap."""

    node: int
    side: int
    slot: str = ""


@dataclass(frozen=True)
class Edge:
    """A piece of a wire inside channel `channel` (the one above layer `channel`)."""

    channel: int
    a: Pin
    b: Pin
    wire: int

    @property
    def turn(self) -> bool:
        """Return whether both pins lie on the same side of the channel."""
        return self.a.side == self.b.side


@dataclass
class Proper:
    """Nodes by number, the layers' members in the order of the description, and edges."""

    diagram: Diagram
    wires: list[Run]
    turned: dict[str, bool]
    """Which pieces are passed from "out" to "in"."""
    nodes: list[Node] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    layers: list[list[int]] = field(default_factory=list)
    offsets: list[dict[str, float]] = field(default_factory=list)
    """For each node the offset of its ports across the flow, before mirroring."""

    def add(self, node: Node) -> int:
        """Add a node to its layer and return its number."""
        self.nodes.append(node)
        self.layers[node.layer].append(len(self.nodes) - 1)
        shape = SHAPES[self.diagram.pieces[node.piece].symbol] if node.piece >= 0 else None
        self.offsets.append({name: offset for name, (_, offset) in shape.ports.items()} if shape else {})
        return len(self.nodes) - 1

    def is_bar(self, node: int) -> bool:
        """Return whether the node stretches over its taps."""
        piece = self.nodes[node].piece
        return piece >= 0 and SHAPES[self.diagram.pieces[piece].symbol].manner == "bar"

    def is_fixed(self, node: int) -> bool:
        """Return whether the node's ports keep their sides, so that it may only be mirrored."""
        piece = self.nodes[node].piece
        return piece >= 0 and SHAPES[self.diagram.pieces[piece].symbol].manner == "fixed"


def make_proper(diagram: Diagram, wires: list[Run], turned: dict[str, bool], level: dict[str, int]) -> Proper:
    """Cut each wire into one edge per channel and one node per layer passed."""
    graph = Proper(diagram, wires, turned, layers=[[] for _ in range(max(level.values(), default=0) + 1)])
    number = {piece.id: index for index, piece in enumerate(diagram.pieces)}
    node_of = {piece.id: graph.add(Node(level[piece.id], piece=number[piece.id])) for piece in diagram.pieces}
    for run in wires:
        upper, lower = node_of[run.upper[0]], node_of[run.lower[0]]

        def pin(node: int, side: int, port: str, wire: int = run.index) -> Pin:
            if graph.is_bar(node):
                return Pin(node, side, f"tap {wire}")
            return Pin(node, side, port if port in graph.offsets[node] else "")

        top, bottom = level[run.upper[0]], level[run.lower[0]]
        first = top if run.upper_side == START else top + 1
        last = bottom if run.lower_side == END else bottom - 1
        label_at = _label_layer(graph, run, top, bottom)
        labelled = bool(diagram.wires[run.index].lines)
        previous = pin(upper, run.upper_side, run.upper[1])
        for layer in range(first, last + 1):
            node = graph.add(Node(layer, wire=run.index, labelled=labelled and layer == label_at))
            graph.edges.append(Edge(layer, previous, Pin(node, START), run.index))
            previous = Pin(node, END)
        graph.edges.append(Edge(last + 1, previous, pin(lower, run.lower_side, run.lower[1]), run.index))
    return graph


def _label_layer(graph: Proper, run: Run, top: int, bottom: int) -> int:
    """The label stands just above the lower piece; below the upper one if the lower is a bar or a switch."""
    lower = next(piece for piece in graph.diagram.pieces if piece.id == run.lower[0])
    if SHAPES[lower.symbol].manner in ("bar", "fixed"):
        return top + 1
    return bottom - 1
