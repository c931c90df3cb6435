"""A sheet on which figures without symbols are drawn: lines, boxes and words, in millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from .layout.measure import MM_PER_PT, printable
from .symbols import FONT
from .symbols.pen import number

_SVG = "http://www.w3.org/2000/svg"
SIZE_PT, _THIN_PT = 7.0, 0.9
BOX_MM = 10.0


class Sheet:
    """An SVG picture in the making; coordinates in millimetres."""

    def __init__(self, width_mm: float, height_mm: float, title: str, description: str) -> None:
        self.root = ET.Element(
            f"{{{_SVG}}}svg",
            {
                "width": f"{number(width_mm)}mm",
                "height": f"{number(height_mm)}mm",
                "viewBox": f"0 0 {number(width_mm / MM_PER_PT)} {number(height_mm / MM_PER_PT)}",
                "role": "img",
                "lang": "en",
                "font-family": FONT,
                "fill": "black",
            },
        )
        ET.SubElement(self.root, f"{{{_SVG}}}title").text = printable(title)
        ET.SubElement(self.root, f"{{{_SVG}}}desc").text = printable(description)

    def line(self, points: Sequence[tuple[float, float]], width_pt: float, dashed: bool = False) -> None:
        """Draw a line."""
        where = " ".join(f"{number(x / MM_PER_PT)},{number(y / MM_PER_PT)}" for x, y in points)
        style = {"fill": "none", "stroke": "black", "stroke-width": number(width_pt)}
        style |= {"stroke-dasharray": "2 2"} if dashed else {}
        ET.SubElement(self.root, f"{{{_SVG}}}polyline", {"points": where, **style})

    def shape(self, points: Sequence[tuple[float, float]], fill: str) -> None:
        """Draw a closed shape with a thin outline."""
        where = " ".join(f"{number(x / MM_PER_PT)},{number(y / MM_PER_PT)}" for x, y in points)
        style = {"fill": fill, "stroke": "black", "stroke-width": number(_THIN_PT)}
        ET.SubElement(self.root, f"{{{_SVG}}}polygon", {"points": where, **style})

    def clear(self, points: Sequence[tuple[float, float]]) -> None:
        """Take away what lies under a closed shape."""
        where = " ".join(f"{number(x / MM_PER_PT)},{number(y / MM_PER_PT)}" for x, y in points)
        ET.SubElement(self.root, f"{{{_SVG}}}polygon", {"points": where, "fill": "white"})

    def box(self, x: float, y: float, width: float, lines: Sequence[str], height: float = BOX_MM) -> None:
        """Draw a white box with its name, its centre at x, y."""
        x0, x1, y0, y1 = x - width / 2, x + width / 2, y - height / 2, y + height / 2
        self.shape(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), "white")
        self.text(x, y, lines)

    def text(self, x: float, y: float, lines: Sequence[str], bold: bool = False, left: bool = False) -> None:
        """Write lines around a centre, or with their left ends at `x`."""
        pitch = 1.12 * SIZE_PT * MM_PER_PT
        first = y - pitch * (len(lines) - 1) / 2 + 0.26 * SIZE_PT * MM_PER_PT
        for n, line in enumerate(lines):
            where = {"x": number(x / MM_PER_PT), "y": number((first + n * pitch) / MM_PER_PT)}
            style = {"font-size": number(SIZE_PT), "text-anchor": "start" if left else "middle"}
            weight = {"font-weight": "bold"} if bold else {}
            ET.SubElement(self.root, f"{{{_SVG}}}text", {**where, **style, **weight}).text = printable(line)

    def bytes(self) -> bytes:
        """Return the picture."""
        ET.register_namespace("", _SVG)
        picture: bytes = ET.tostring(self.root, encoding="utf-8", xml_declaration=False)
        return picture + b"\n"
