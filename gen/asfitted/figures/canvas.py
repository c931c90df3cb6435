"""A sheet to plot on: lines, areas and letters in millimetres become SVG, text as text, the same bytes every time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal
from xml.etree import ElementTree as ET

from .layout.measure import MM_PER_PT, printable
from .symbols import FONT
from .symbols.pen import number

_SVG = "http://www.w3.org/2000/svg"
SIZE_PT = 7.0
THIN_PT, LINE_PT, _OUTLINE_PT = 0.5, 1.2, 0.7
Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
#: strokes and gaps in points that tell curves apart without colour; the first is a solid line
DASHES = ("", "5,2", "1.4,1.6", "7,2,1.4,2")


class Canvas:
    """Collects shapes; x to the right, y down, in mm. Without colour: what differs, differs in stroke, tone and word."""

    def __init__(self, width_mm: float, height_mm: float, title: str, description: str) -> None:
        width, height = number(width_mm / MM_PER_PT), number(height_mm / MM_PER_PT)
        self.root = ET.Element(
            f"{{{_SVG}}}svg",
            {
                "width": f"{number(width_mm)}mm",
                "height": f"{number(height_mm)}mm",
                "viewBox": f"0 0 {width} {height}",
                "role": "img",
                "lang": "en",
                "font-family": FONT,
                "font-size": number(SIZE_PT),
                "fill": "black",
            },
        )
        ET.SubElement(self.root, f"{{{_SVG}}}title").text = printable(title)
        ET.SubElement(self.root, f"{{{_SVG}}}desc").text = printable(description)

    def line(
        self, points: Iterable[Point], width_pt: float = LINE_PT, dash: str = "", ink: str = "black"
    ) -> None:
        """Draw a polyline."""
        attributes = {
            "d": "M" + " L".join(_pair(point) for point in points),
            "fill": "none",
            "stroke": ink,
            "stroke-width": number(width_pt),
            "stroke-linejoin": "round",
        }
        if dash:
            attributes["stroke-dasharray"] = dash
        self._add("path", attributes)

    def area(self, points: Iterable[Point], tone: str, opacity: float = 1.0) -> None:
        """Fill a closed shape without an outline; what lies below shows through as `opacity` lets it."""
        path = "M" + " L".join(_pair(point) for point in points) + " Z"
        self._add("path", {"d": path, "fill": tone, "fill-opacity": number(opacity)})

    def band(self, left: Sequence[float], right: Sequence[float], tone: str) -> None:
        """Draw a flow from (x, top, bottom) at the left to (x, top, bottom) at the right."""
        (xa, ta, ba), (xb, tb, bb) = left, right
        middle = (xa + xb) / 2
        path = (
            f"M{_pair((xa, ta))} C{_pair((middle, ta))} {_pair((middle, tb))} {_pair((xb, tb))} "
            f"L{_pair((xb, bb))} C{_pair((middle, bb))} {_pair((middle, ba))} {_pair((xa, ba))} Z"
        )
        self._add("path", {"d": path, "fill": tone, "stroke": "black", "stroke-width": number(THIN_PT)})

    def box(self, x: float, y: float, width: float, height: float, tone: str) -> None:
        """Draw a filled rectangle."""
        where = {"x": x, "y": y, "width": width, "height": height}
        placed = {name: number(value / MM_PER_PT) for name, value in where.items()}
        self._add("rect", {**placed, "fill": tone, "stroke": "black", "stroke-width": number(THIN_PT)})

    def frame(self, x: float, y: float, width: float, height: float, dash: str = "") -> None:
        """Draw a white rectangle with an outline."""
        where = {"x": x, "y": y, "width": width, "height": height}
        placed = {name: number(value / MM_PER_PT) for name, value in where.items()}
        style = {"fill": "white", "stroke": "black", "stroke-width": number(_OUTLINE_PT)}
        self._add("rect", {**placed, **style, **({"stroke-dasharray": dash} if dash else {})})

    def dot(self, x: float, y: float, radius: float) -> None:
        """Draw a filled circle."""
        self._circle(x, y, radius, {"fill": "black"})

    def ring(self, x: float, y: float, radius: float) -> None:
        """Draw a white circle with an outline."""
        self._circle(x, y, radius, {"fill": "white", "stroke": "black", "stroke-width": number(_OUTLINE_PT)})

    def ellipse(self, x: float, y: float, half_width: float, half_height: float) -> None:
        """Draw the outline of an ellipse."""
        where = {"cx": x, "cy": y, "rx": half_width, "ry": half_height}
        placed = {name: number(value / MM_PER_PT) for name, value in where.items()}
        style = {"fill": "none", "stroke": "black", "stroke-width": number(_OUTLINE_PT)}
        self._add("ellipse", {**placed, **style})

    def shrink(self, scale: float) -> None:
        """Print the picture smaller than it was drawn."""
        for name in ("width", "height"):
            self.root.set(name, f"{number(float(self.root.get(name, '0mm').removesuffix('mm')) * scale)}mm")

    def text(self, x: float, y: float, text: str, anchor: Anchor = "start", bold: bool = False) -> None:
        """Write one line; y is its middle."""
        attributes = {"x": number(x / MM_PER_PT), "y": number(y / MM_PER_PT + 0.36 * SIZE_PT)}
        if anchor != "start":
            attributes["text-anchor"] = anchor
        if bold:
            attributes["font-weight"] = "bold"
        self._add("text", attributes).text = printable(text)

    def svg(self) -> bytes:
        """Return the picture."""
        ET.register_namespace("", _SVG)
        picture: bytes = ET.tostring(self.root, encoding="utf-8", xml_declaration=False)
        return picture + b"\n"

    def _circle(self, x: float, y: float, radius: float, style: dict[str, str]) -> None:
        where = {"cx": x, "cy": y, "r": radius}
        self._add("circle", {**{name: number(value / MM_PER_PT) for name, value in where.items()}, **style})

    def _add(self, name: str, attributes: dict[str, str]) -> ET.Element:
        return ET.SubElement(self.root, f"{{{_SVG}}}{name}", attributes)


def _pair(point: Point) -> str:
    return f"{number(point[0] / MM_PER_PT)} {number(point[1] / MM_PER_PT)}"


def spread(wanted: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Return positions for labels, in the order of `wanted`, at least `pitch` apart and as near to it as that allows."""
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    placed = [0.0] * len(wanted)
    at = low - pitch
    for i in order:
        at = max(wanted[i], at + pitch)
        placed[i] = at
    ceiling = high + pitch
    for i in reversed(order):
        ceiling = min(placed[i], ceiling - pitch)
        placed[i] = ceiling
    return placed
