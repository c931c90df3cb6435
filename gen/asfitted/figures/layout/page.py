"""The result of a layout: plain geometry in millimetres at print size, x to the right, y down."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from .measure import ASCENT, DESCENT, MM_PER_PT, text_width_mm
from .shapes import LINK_HALF_MM, LINK_MM, SHAPES

Point = tuple[float, float]
Rect = tuple[float, float, float, float]
Flow = Literal["down", "right"]


@dataclass(frozen=True)
class Paper:
    """The room for a figure on a page of the book, in mm: as wide as its text, and so high that the heading
    of a chapter, a line of text and the caption find room on the same page.
    """

    name: str
    width_mm: float
    height_mm: float


PAPERS = {
    paper.name: paper
    for paper in (
        Paper("A4 portrait", 166, 206),
        Paper("Letter portrait", 168.9, 190),
        Paper("A5 portrait", 120, 134),
    )
}


@dataclass(frozen=True)
class Port:
    """Where wires meet a symbol: the point and the unit vector that points out of the symbol."""

    x: float
    y: float
    normal: tuple[int, int]


@dataclass(frozen=True)
class Box:
    """A placed symbol. `flow` is the page direction of its axis; `turned` it is passed from "out" to "in";
    `mirrored` its ports are exchanged across the axis. `link` is the side across the flow on which its link
    from neutral to earth is drawn: -1, 1, or 0 for none.
    """

    piece: str
    symbol: str
    x: float
    y: float
    length: float
    width: float
    flow: Flow
    turned: bool
    mirrored: bool
    ports: tuple[tuple[str, Port], ...]
    link: int = 0

    @property
    def rect(self) -> Rect:
        """Return (left, top, right, bottom) of the symbol."""
        w, h = (self.width, self.length) if self.flow == "down" else (self.length, self.width)
        return (self.x - w / 2, self.y - h / 2, self.x + w / 2, self.y + h / 2)

    @property
    def link_rect(self) -> Rect | None:
        """Return (left, top, right, bottom) of the link beside the symbol, if it has one."""
        if not self.link:
            return None
        scale = self.length / SHAPES[self.symbol].length_mm
        near, far = sorted(self.link * v for v in (self.width / 2, self.width / 2 + LINK_MM * scale))
        half = LINK_HALF_MM * scale
        if self.flow == "down":
            return (self.x + near, self.y - half, self.x + far, self.y + half)
        return (self.x - half, self.y + near, self.x + half, self.y + far)

    @property
    def rects(self) -> tuple[Rect, ...]:
        """Return the rectangles of everything drawn for the piece."""
        return (self.rect, self.link_rect) if self.link_rect else (self.rect,)


@dataclass(frozen=True)
class Bar:
    """A placed bar: a thick line from (x0, y0) to (x1, y1)."""

    piece: str
    symbol: str
    x0: float
    y0: float
    x1: float
    y1: float
    thickness: float

    @property
    def rect(self) -> Rect:
        """Return (left, top, right, bottom)."""
        half = self.thickness / 2
        if self.y0 == self.y1:
            return (self.x0, self.y0 - half, self.x1, self.y1 + half)
        return (self.x0 - half, self.y0, self.x1 + half, self.y1)


@dataclass(frozen=True)
class Text:
    """One line of text. (x, y) lies on the base line, at the left end, middle or right end as `anchor` says.

    `owner` is the id of its piece or wire (of a frame: the board); `room` is kept free for a state word.
    """

    x: float
    y: float
    text: str
    anchor: Literal["left", "center", "right"]
    size_pt: float
    bold: bool
    owner: str
    role: Literal["name", "line", "wire", "frame"]
    room: float = 0.0

    @property
    def rect(self) -> Rect:
        """Return (left, top, right, bottom) of the ink with its reserved room."""
        width = text_width_mm(self.text, self.bold, self.size_pt) + self.room
        left = self.x - {"left": 0.0, "center": width / 2, "right": width}[self.anchor]
        size_mm = self.size_pt * MM_PER_PT
        return (left, self.y - ASCENT * size_mm, left + width, self.y + DESCENT * size_mm)


@dataclass(frozen=True)
class Line:
    """A wire as drawn: corners from its end `a` to its end `b`; wires of a common net may share a trunk."""

    wire: str
    points: tuple[Point, ...]
    nets: tuple[int, ...]


@dataclass(frozen=True)
class Dot:
    """A junction dot, with the wires that meet there."""

    x: float
    y: float
    radius: float
    owner: str


@dataclass(frozen=True)
class Frame:
    """The dash-dot outline of a board."""

    board: str
    rect: Rect


@dataclass(frozen=True)
class Page:
    """One laid-out sheet."""

    boxes: tuple[Box, ...]
    bars: tuple[Bar, ...]
    texts: tuple[Text, ...]
    wires: tuple[Line, ...]
    dots: tuple[Dot, ...]
    frames: tuple[Frame, ...]
    width: float
    height: float
    size_pt: float

    def moved(self, dx: float, dy: float, width: float, height: float) -> Page:
        """Return the page shifted, with a new size."""
        return replace(self._mapped(1.0, dx, dy), width=width, height=height)

    def scaled(self, factor: float) -> Page:
        """Return the page with every length and the size of the text multiplied by `factor`."""
        return self._mapped(factor, 0.0, 0.0)

    def _mapped(self, k: float, dx: float, dy: float) -> Page:
        def at(x: float, y: float) -> Point:
            return round(x * k + dx, 3), round(y * k + dy, 3)

        def placed(box: Box) -> Box:
            x, y = at(box.x, box.y)
            ports = tuple((name, Port(*at(port.x, port.y), port.normal)) for name, port in box.ports)
            return replace(box, x=x, y=y, length=box.length * k, width=box.width * k, ports=ports)

        def bar(b: Bar) -> Bar:
            return Bar(b.piece, b.symbol, *at(b.x0, b.y0), *at(b.x1, b.y1), b.thickness * k)

        def text(t: Text) -> Text:
            x, y = at(t.x, t.y)
            return replace(t, x=x, y=y, size_pt=t.size_pt * k, room=t.room * k)

        return Page(
            tuple(placed(b) for b in self.boxes),
            tuple(bar(b) for b in self.bars),
            tuple(text(t) for t in self.texts),
            tuple(replace(w, points=tuple(at(x, y) for x, y in w.points)) for w in self.wires),
            tuple(Dot(*at(d.x, d.y), d.radius * k, d.owner) for d in self.dots),
            tuple(
                Frame(f.board, (*at(f.rect[0], f.rect[1]), *at(f.rect[2], f.rect[3]))) for f in self.frames
            ),
            self.width * k,
            self.height * k,
            self.size_pt * k,
        )
