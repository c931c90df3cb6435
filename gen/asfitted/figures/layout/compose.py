"""A page from a layout: places along (u) and across (v) the flow become page coordinates."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from .cells import Cell, Word
from .channels import Net
from .coordinates import Places
from .frames import frames
from .measure import NOMINAL_PT
from .ordering import Order
from .page import Bar, Box, Dot, Flow, Line, Page, Point, Port, Rect, Text
from .proper import Pin, Proper
from .shapes import BAR_THICKNESS_MM, END, SHAPES

LAYER_GAP_MM = 1.0
_TRACK_MM = 2.4
_MARGIN_MM = 2.0
_BAR_DOT_MM = 0.9
_DOT_MM = 0.65


@dataclass(frozen=True)
class Composition:
    """Everything that is known about a layout, `tracks` being the number of tracks of each channel."""

    graph: Proper
    order: Order
    flow: Flow
    cells: list[Cell]
    places: Places
    nets: list[Net]
    tracks: list[int]

    @cached_property
    def levels(self) -> tuple[list[float], list[float]]:
        """Where the axis of each layer and the beginning of each channel lie along the flow."""
        layers: list[float] = []
        channels: list[float] = []
        u = 0.0
        for layer, members in enumerate(self.graph.layers):
            channels.append(u)
            u += _channel_mm(self.tracks[layer], outer=layer == 0)
            u += max((self.cells[n].before for n in members), default=0.0)
            layers.append(u)
            u += max((self.cells[n].after for n in members), default=0.0)
        return layers, [*channels, u]

    def _xy(self, u: float, v: float) -> Point:
        x, y = (v, u) if self.flow == "down" else (u, v)
        return round(x, 3), round(y, 3)

    def _pin_level(self, pin: Pin) -> float:
        node = self.graph.nodes[pin.node]
        half = 0.0
        if node.piece >= 0:
            shape = SHAPES[self.graph.diagram.pieces[node.piece].symbol]
            half = shape.length_mm / 2 if shape.manner != "bar" else 0.0
        return self.levels[0][node.layer] + (half if pin.side == END else -half)

    def _track_level(self, net: Net) -> float:
        return self.levels[1][net.channel] + _TRACK_MM * (net.track + 0.5)

    def page(self) -> Page:
        """Return the page at its natural size, text 7 pt."""
        boxes, bars, texts = self._symbols()
        symbols = tuple(boxes), tuple(bars), tuple(texts)
        page = Page(*symbols, tuple(self._wires()), tuple(self._dots()), (), 0.0, 0.0, NOMINAL_PT)
        return _to_origin(frames(page, self.graph.diagram))

    def _symbols(self) -> tuple[list[Box], list[Bar], list[Text]]:
        boxes: list[Box] = []
        bars: list[Bar] = []
        texts: list[Text] = []
        for number, node in enumerate(self.graph.nodes):
            u, v = self.levels[0][node.layer], self.places.axis[number]
            x, y = self._xy(u, v)
            owner = self.graph.diagram.wires[node.wire].id if node.piece < 0 else ""
            if node.piece >= 0:
                piece = self.graph.diagram.pieces[node.piece]
                owner = piece.id
                if number in self.places.ends:
                    low, high = self.places.ends[number]
                    bars.append(
                        Bar(piece.id, piece.symbol, *self._xy(u, low), *self._xy(u, high), BAR_THICKNESS_MM)
                    )
                else:
                    boxes.append(self._box(number, x, y))
            texts += [_text(word, x, y, owner) for word in self.cells[number].words]
        return boxes, bars, texts

    def _box(self, number: int, x: float, y: float) -> Box:
        piece = self.graph.diagram.pieces[self.graph.nodes[number].piece]
        shape = SHAPES[piece.symbol]
        ports: dict[str, Port] = {}
        for edge in self.graph.edges:
            for pin in (edge.a, edge.b):
                if pin.node == number:
                    away = 1 if pin.side == END else -1
                    px, py = self._xy(self._pin_level(pin), self.places.at(pin))
                    ports[pin.slot] = Port(px, py, (0, away) if self.flow == "down" else (away, 0))
        turned = self.graph.turned.get(piece.id, False)
        if shape.manner == "terminal":
            # A one-port symbol has its port at the end of the flow; turned, it hangs below its wire.
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
            self.cells[number].link,
        )

    def _wires(self) -> list[Line]:
        net_of = {pin: index for index, net in enumerate(self.nets) for pin in net.pins}
        edges = defaultdict(list)
        for edge in self.graph.edges:
            edges[edge.wire].append(edge)
        lines = []
        for run in self.graph.wires:
            points: list[Point] = []
            numbers = []
            for edge in edges[run.index]:
                net = self.nets[net_of[edge.a]]
                a, b = self.places.at(edge.a), self.places.at(edge.b)
                points.append(self._xy(self._pin_level(edge.a), a))
                if net.track >= 0:
                    points += [self._xy(self._track_level(net), a), self._xy(self._track_level(net), b)]
                points.append(self._xy(self._pin_level(edge.b), b))
                numbers.append(net_of[edge.a])
            wire = self.graph.diagram.wires[run.index]
            if run.upper != wire.a:
                points.reverse()
            lines.append(Line(wire.id, _corners(points), tuple(numbers)))
        return lines

    def _dots(self) -> list[Dot]:
        graph, diagram = self.graph, self.graph.diagram
        dots = []
        wire_of: dict[Pin, str] = {}
        for edge in graph.edges:
            for pin in (edge.a, edge.b):
                wire_of.setdefault(pin, diagram.wires[edge.wire].id)
        for pin, v in self.places.taps.items():
            x, y = self._xy(self.levels[0][graph.nodes[pin.node].layer], v)
            dots.append(Dot(x, y, _BAR_DOT_MM, wire_of[pin]))
        for net in self.nets:
            if net.track < 0 or len(net.pins) < 3:
                continue
            low, high = net.span
            for v in sorted({round(self.places.at(pin), 3) for pin in net.pins}):
                here = [pin for pin in net.pins if abs(self.places.at(pin) - v) < 0.005]
                if len({pin.side for pin in here}) + (v > low + 0.005) + (v < high - 0.005) >= 3:
                    x, y = self._xy(self._track_level(net), v)
                    dots.append(Dot(x, y, _DOT_MM, wire_of[here[0]]))
        return dots


def _text(word: Word, x: float, y: float, owner: str) -> Text:
    place = round(x + word.x, 3), round(y + word.y, 3)
    bold = word.role == "name"
    return Text(*place, word.text, word.anchor, NOMINAL_PT, bold, owner, word.role, word.room)


def _channel_mm(tracks: int, outer: bool = False) -> float:
    if tracks:
        return _TRACK_MM * tracks
    return 0.0 if outer else LAYER_GAP_MM


def _corners(points: list[Point]) -> tuple[Point, ...]:
    """Drop repeated points and points in the middle of a straight piece."""
    kept: list[Point] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and (
            kept[-2][0] == kept[-1][0] == point[0] or kept[-2][1] == kept[-1][1] == point[1]
        ):
            kept[-1] = point
        else:
            kept.append(point)
    return tuple(kept)


def _to_origin(page: Page) -> Page:
    """Move everything so that the ink begins at the margin, and set the size of the page."""
    rects: list[Rect] = (
        [t.rect for t in page.texts] + [r for b in page.boxes for r in b.rects] + [b.rect for b in page.bars]
    )
    rects += [f.rect for f in page.frames]
    rects += [(x, y, x, y) for w in page.wires for x, y in w.points]
    if not rects:
        return page
    dx = _MARGIN_MM - min(r[0] for r in rects)
    dy = _MARGIN_MM - min(r[1] for r in rects)
    width = max(r[2] for r in rects) + dx + _MARGIN_MM
    height = max(r[3] for r in rects) + dy + _MARGIN_MM
    return page.moved(dx, dy, width, height)
