"""One sheet: run the steps in turn for an orientation and a flow, and put the result on a page."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

from ..graph import Diagram
from .cells import Cell, piece_cell, wire_cell
from .channels import Net, route
from .coordinates import Places, place_across
from .frames import frames
from .layers import assign_layers
from .links import Link, Orientation, circuits, find_links, orient, runs
from .measure import NOMINAL_PT
from .ordering import Order, find_orders
from .page import Bar, Box, Dot, Flow, Line, Page, Point, Port, Rect, Text
from .proper import Pin, Proper, make_proper
from .shapes import BAR_THICKNESS_MM, END, SHAPES, START

_TRACK_MM = 2.4
_GAP_MM = 1.0
_MARGIN_MM = 2.0
_BAR_DOT_MM = 0.9
_DOT_MM = 0.65


class Arrangement:
    """A diagram with its orientation, layers and orders: everything that does not depend on the flow."""

    def __init__(self, diagram: Diagram, manner: Orientation) -> None:
        self.diagram = diagram
        self.links: list[Link] = orient(diagram, find_links(diagram), manner)
        self.wires, self.turned = runs(diagram, self.links)
        self.graph: Proper = make_proper(diagram, self.wires, assign_layers(diagram, self.wires))
        self.orders: list[Order] = find_orders(self.graph)

    def pages(self, flow: Flow, even: bool) -> list[Page]:
        """Return a page for each order of equal cost; `even` gives the circuits of a bar the same pitch."""
        return [self._page(order, flow, even) for order in self.orders]

    def least_size(self, flow: Flow) -> tuple[float, float]:
        """Return a width and a height in mm below which no page of this flow can stay: cheap to know beforehand."""
        cells = self._cells(self.orders[0], flow)
        layers = [[cells[n] for n in layer] for layer in self.graph.layers if layer]
        along = sum(max(c.before for c in layer) + max(c.after for c in layer) for layer in layers)
        along += _GAP_MM * max(0, len(self.graph.layers) - 1)
        across = max((sum(c.left + c.right for c in layer) for layer in layers), default=0.0)
        return (across, along) if flow == "down" else (along, across)

    def _page(self, order: Order, flow: Flow, even: bool) -> Page:
        cells = self._cells(order, flow)
        if even:
            cells = self._even(cells)
        places = place_across(self.graph, order, cells)
        nets, tracks = route(self.graph, places)
        return _Composer(self, order, flow, cells, places, nets, tracks).page()

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
        """The chain on the left one of two neighbouring ports carries its texts on the left; both run straight."""
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


class _Composer:
    """Turns places along (u) and across (v) the flow into page coordinates."""

    def __init__(
        self,
        made: Arrangement,
        order: Order,
        flow: Flow,
        cells: list[Cell],
        places: Places,
        nets: list[Net],
        tracks: list[int],
    ) -> None:
        self.made, self.order, self.flow, self.cells, self.places, self.nets = made, order, flow, cells, places, nets
        self.level: list[float] = []
        self.channel: list[float] = []
        u = 0.0
        for layer, members in enumerate(made.graph.layers):
            self.channel.append(u)
            u += _channel_mm(tracks[layer], outer=layer == 0)
            u += max((cells[n].before for n in members), default=0.0)
            self.level.append(u)
            u += max((cells[n].after for n in members), default=0.0)
        self.channel.append(u)

    def xy(self, u: float, v: float) -> Point:
        x, y = (v, u) if self.flow == "down" else (u, v)
        return round(x, 3), round(y, 3)

    def pin_level(self, pin: Pin) -> float:
        node = self.made.graph.nodes[pin.node]
        half = 0.0
        if node.piece >= 0:
            shape = SHAPES[self.made.diagram.pieces[node.piece].symbol]
            half = shape.length_mm / 2 if shape.manner != "bar" else 0.0
        return self.level[node.layer] + (half if pin.side == END else -half)

    def track_level(self, net: Net) -> float:
        return self.channel[net.channel] + _TRACK_MM * (net.track + 0.5)

    def page(self) -> Page:
        boxes, bars, texts = self._symbols()
        wires = self._wires()
        page = Page(
            tuple(boxes),
            tuple(bars),
            tuple(texts),
            tuple(wires),
            tuple(self._dots()),
            (),
            0.0,
            0.0,
            NOMINAL_PT,
        )
        return _to_origin(frames(page, self.made.diagram))

    def _symbols(self) -> tuple[list[Box], list[Bar], list[Text]]:
        boxes: list[Box] = []
        bars: list[Bar] = []
        texts: list[Text] = []
        for number, node in enumerate(self.made.graph.nodes):
            u, v = self.level[node.layer], self.places.axis[number]
            x, y = self.xy(u, v)
            owner = self.made.diagram.wires[node.wire].id if node.piece < 0 else ""
            if node.piece >= 0:
                piece = self.made.diagram.pieces[node.piece]
                owner = piece.id
                if number in self.places.ends:
                    low, high = self.places.ends[number]
                    bars.append(
                        Bar(piece.id, piece.symbol, *self.xy(u, low), *self.xy(u, high), BAR_THICKNESS_MM)
                    )
                else:
                    boxes.append(self._box(number, x, y))
            for word in self.cells[number].words:
                texts.append(
                    Text(
                        round(x + word.x, 3),
                        round(y + word.y, 3),
                        word.text,
                        word.anchor,
                        NOMINAL_PT,
                        word.role == "name",
                        owner,
                        word.role,
                        word.room,
                    )
                )
        return boxes, bars, texts

    def _box(self, number: int, x: float, y: float) -> Box:
        piece = self.made.diagram.pieces[self.made.graph.nodes[number].piece]
        shape = SHAPES[piece.symbol]
        ports: dict[str, Port] = {}
        for edge in self.made.graph.edges:
            for pin in (edge.a, edge.b):
                if pin.node == number:
                    away = 1 if pin.side == END else -1
                    px, py = self.xy(self.pin_level(pin), self.places.at(pin))
                    ports[pin.slot] = Port(px, py, (0, away) if self.flow == "down" else (away, 0))
        turned = self.made.turned.get(piece.id, False)
        if shape.manner == "terminal":
            # A one-port symbol is drawn with its port at the end of the flow; turned, it hangs below its wire.
            turned = any(port.normal in ((0, -1), (-1, 0)) for port in ports.values())
        return Box(
            piece.id,
            piece.symbol,
            x,
            y,
            shape.length_mm,
            shape.width_mm,
            self.flow,
            turned,
            number in self.order.mirrored,
            tuple(sorted(ports.items())),
        )

    def _wires(self) -> list[Line]:
        net_of = {pin: index for index, net in enumerate(self.nets) for pin in net.pins}
        edges = defaultdict(list)
        for edge in self.made.graph.edges:
            edges[edge.wire].append(edge)
        lines = []
        for run in self.made.wires:
            points: list[Point] = []
            numbers = []
            for edge in edges[run.index]:
                net = self.nets[net_of[edge.a]]
                a, b = self.places.at(edge.a), self.places.at(edge.b)
                points.append(self.xy(self.pin_level(edge.a), a))
                if net.track >= 0:
                    points += [self.xy(self.track_level(net), a), self.xy(self.track_level(net), b)]
                points.append(self.xy(self.pin_level(edge.b), b))
                numbers.append(net_of[edge.a])
            wire = self.made.diagram.wires[run.index]
            if run.upper != wire.a:
                points.reverse()
            lines.append(Line(wire.id, _corners(points), tuple(numbers)))
        return lines

    def _dots(self) -> list[Dot]:
        graph, diagram = self.made.graph, self.made.diagram
        dots = []
        wire_of: dict[Pin, str] = {}
        for edge in graph.edges:
            for pin in (edge.a, edge.b):
                wire_of.setdefault(pin, diagram.wires[edge.wire].id)
        for pin, v in self.places.taps.items():
            x, y = self.xy(self.level[graph.nodes[pin.node].layer], v)
            dots.append(Dot(x, y, _BAR_DOT_MM, wire_of[pin]))
        for net in self.nets:
            if net.track < 0 or len(net.pins) < 3:
                continue
            low, high = net.span
            for v in sorted({round(self.places.at(pin), 3) for pin in net.pins}):
                here = [pin for pin in net.pins if abs(self.places.at(pin) - v) < 0.005]
                if len({pin.side for pin in here}) + (v > low + 0.005) + (v < high - 0.005) >= 3:
                    x, y = self.xy(self.track_level(net), v)
                    dots.append(Dot(x, y, _DOT_MM, wire_of[here[0]]))
        return dots


def _channel_mm(tracks: int, outer: bool = False) -> float:
    if tracks:
        return _TRACK_MM * tracks
    return 0.0 if outer else _GAP_MM


def _corners(points: list[Point]) -> tuple[Point, ...]:
    """Drop repeated points and points in the middle of a straight piece."""
    kept: list[Point] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and (kept[-2][0] == kept[-1][0] == point[0] or kept[-2][1] == kept[-1][1] == point[1]):
            kept[-1] = point
        else:
            kept.append(point)
    return tuple(kept)


def _to_origin(page: Page) -> Page:
    """Move everything so that the ink begins at the margin, and set the size of the page."""
    rects: list[Rect] = [t.rect for t in page.texts] + [b.rect for b in page.boxes] + [b.rect for b in page.bars]
    rects += [f.rect for f in page.frames]
    rects += [(x, y, x, y) for w in page.wires for x, y in w.points]
    if not rects:
        return page
    dx = _MARGIN_MM - min(r[0] for r in rects)
    dy = _MARGIN_MM - min(r[1] for r in rects)
    width = max(r[2] for r in rects) + dx + _MARGIN_MM
    height = max(r[3] for r in rects) + dy + _MARGIN_MM
    return page.moved(dx, dy, width, height)

