"""The pen: strokes of a symbol, given along (u) and across (v) the flow, become schemdraw segments."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal
from xml.etree import ElementTree as ET

from schemdraw.segments import Segment, SegmentArc, SegmentBezier, SegmentCircle, SegmentPoly
from schemdraw.types import BBox

FONT = "Source Sans Pro"
Dash = Any
"""Lengths of strokes and gaps in points, or None. schemdraw's own type knows four named styles only, but its
SVG writer passes any list through."""

DOTTED: Dash = "0.9,1.1"

Pose = Literal["", "open", "closed", "idle", "s1", "s2", "off"]
"""How contacts are drawn: "" as drawn in a catalogue (at rest), or as they stand in an operating state.
`idle` is a link that is closed and ties nothing that feeds.
"""
PE_PT = 1.0
"""The protective conductor is drawn alike whatever the state: nothing switches it."""


def number(value: float) -> str:
    """Return a coordinate with two decimals at most and no needless zero."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"


class Lettering(Segment):
    """One line of text on its base line.

    Takes the place of schemdraw's SegmentText, which reads "$" as mathematics, fails on "&", knows no bold
    and rests on the viewer's idea of a vertical middle.
    """

    def __init__(
        self, x: float, y: float, text: str, size_pt: float, anchor: str = "center", bold: bool = False
    ):
        super().__init__([(x, -y)])
        self.text, self.size_pt, self.bold = text, size_pt, bold
        self.anchor = {"left": "start", "center": "middle", "right": "end"}[anchor]

    def get_bbox(self) -> BBox:
        """Return the anchor only: the size of the figure is known from its page."""
        x, y = self.path[0]
        return BBox(x, y, x, y)

    def xform(self, transform: Any, **style: Any) -> Lettering:
        """Return itself: only asked for when schemdraw measures, which we do not need."""
        return self

    def draw(self, fig: Any, transform: Any, **style: Any) -> None:
        """Append a text element to the figure."""
        x, y = fig.xform(*transform.transform(self.path[0]))
        element = ET.Element("text", {"x": number(x), "y": number(y), "font-size": number(self.size_pt)})
        if self.anchor != "start":
            element.set("text-anchor", self.anchor)
        if self.bold:
            element.set("font-weight", "bold")
        element.text = self.text
        fig.svgelements.append((5, element))


@dataclass
class Pen:
    """Collects segments. Page x = centre + across, y = down for a flow down; the scale is that of the page.

    Strokes are given in mm at 7 pt. `side` -1 exchanges left and right ports; `along` -1 turns the symbol.
    `leads` gives the width in points of the wire at a port, for leads that carry on inside the symbol.
    """

    x: float
    y: float
    down: bool
    scale: float
    lw: float
    dash: Dash = None
    side: int = 1
    along: int = 1
    pose: Pose = ""
    leads: Mapping[str, float] = field(default_factory=dict)
    segments: list[Any] = field(default_factory=list)

    def at(self, u: float, v: float) -> tuple[float, float]:
        """Return the point in schemdraw's directions (y up)."""
        u, v = u * self.along * self.scale, v * self.side * self.scale
        dx, dy = (v, u) if self.down else (u, v)
        return self.x + dx, -(self.y + dy)

    def page(self, u: float, v: float, dx: float, dy: float) -> tuple[float, float]:
        """Return a point near (u, v), moved by dx to the right and dy down on the page."""
        x, y = self.at(u, v)
        return x + dx * self.scale, y - dy * self.scale

    def line(self, *points: tuple[float, float], weight: float = 1.0, dash: Dash = None) -> None:
        """Draw a stroke through (u, v) points; `weight` multiplies the line width."""
        self.stroke([self.at(*p) for p in points], weight, dash or self.dash)

    def lead(self, port: str, *points: tuple[float, float]) -> None:
        """Draw a stroke as heavy as the wire at `port`."""
        self.line(*points, weight=self.leads.get(port, self.lw) / self.lw)

    def mark(self, *points: tuple[float, float], weight: float = 1.0) -> None:
        """Draw a small solid stroke: dashes would destroy the mark that tells the function."""
        self.stroke([self.at(*p) for p in points], weight)

    def stroke(self, points: list[tuple[float, float]], weight: float = 1.0, dash: Dash = None) -> None:
        """Draw a stroke through points of the page."""
        self.segments.append(Segment(points, lw=self.lw * weight, ls=dash, capstyle="round", zorder=3))

    def polygon(self, *points: tuple[float, float], fill: str = "white", weight: float = 1.0) -> None:
        """Draw a closed outline."""
        self.segments.append(
            SegmentPoly(
                [self.at(*p) for p in points],
                fill=fill,
                lw=self.lw * weight,
                ls=self.dash,
                joinstyle="miter",
                zorder=3,
            )
        )

    def box(
        self, u0: float, v0: float, u1: float, v1: float, fill: str = "white", weight: float = 1.0
    ) -> None:
        """Draw a rectangle."""
        self.polygon((u0, v0), (u0, v1), (u1, v1), (u1, v0), fill=fill, weight=weight)

    def circle(self, u: float, v: float, radius: float, fill: str = "white", weight: float = 1.0) -> None:
        """Draw a circle."""
        self.segments.append(
            SegmentCircle(
                self.at(u, v), radius * self.scale, fill=fill, lw=self.lw * weight, ls=self.dash, zorder=3
            )
        )

    def ellipse(self, u: float, v: float, length: float, width: float) -> None:
        """Draw an ellipse, `length` along and `width` across the flow."""
        w, h = (width, length) if self.down else (length, width)
        self.segments.append(
            SegmentArc(
                self.at(u, v), w * self.scale, h * self.scale, 0, 360, lw=self.lw, ls=self.dash, zorder=3
            )
        )

    def half_circle(self, u: float, v: float, radius: float) -> None:
        """Draw the half of a circle whose top points against the flow."""
        k = 0.5523
        for sign in (1, -1):
            points = [(u, v + sign * radius), (u - k * radius, v + sign * radius)]
            points += [(u - radius, v + sign * k * radius), (u - radius, v)]
            self.segments.append(SegmentBezier([self.at(*p) for p in points], lw=self.lw, zorder=3))

    def text(
        self, u: float, v: float, text: str, size_pt: float = 7.0, dx: float = 0.0, dy: float = 0.0
    ) -> None:
        """Write upright text with its middle at (u, v), moved on the page."""
        x, y = self.page(u, v, dx, dy + 0.33 * size_pt * 25.4 / 72)
        self.segments.append(Lettering(x, -y, text, size_pt * self.scale))

    def sign(
        self, kind: str, u: float, v: float, dx: float = 0.0, dy: float = 0.0, size: float = 2.6
    ) -> None:
        """Draw an upright "~" or "=" as strokes, so that it looks the same in every font."""
        half = size / 2
        if kind == "=":
            for rise in (-0.5, 0.5):
                self.stroke([self.page(u, v, dx - half, dy + rise), self.page(u, v, dx + half, dy + rise)])
            return
        top, bottom = dy - half * 1.1, dy + half * 1.1
        curve = [(dx - half, dy), (dx - half * 0.3, top), (dx + half * 0.3, bottom), (dx + half, dy)]
        self.segments.append(SegmentBezier([self.page(u, v, *p) for p in curve], lw=self.lw, zorder=3))
