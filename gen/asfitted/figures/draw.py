"""A laid-out page becomes an SVG picture: text stays text, black on white, the same bytes every time.

Widths in points. In a state figure what is live is heavy; a dead wire is thin and dashed, a dead symbol thin
but never dashed (dashes destroy crosses and arcs). Planned parts are dashed and thin of stroke.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal
from xml.etree import ElementTree as ET

import schemdraw
from schemdraw.backends import svg as backend
from schemdraw.elements import Element
from schemdraw.segments import Segment, SegmentCircle, SegmentPoly

from .graph import Diagram
from .layout import Page, Text
from .layout.measure import NOMINAL_PT, printable, text_width_mm
from .symbols import FONT, Lettering, Link, Pose, Symbol
from .symbols.pen import Dash, number

Life = Literal["normal", "live", "dead"]

_SVG = "http://www.w3.org/2000/svg"
_PT_PER_MM = 72 / 25.4
_WIRE_PT: dict[Life, float] = {"normal": 1.0, "live": 2.1, "dead": 0.7}
_SYMBOL_PT: dict[Life, float] = {"normal": 1.0, "live": 1.25, "dead": 0.57}
_DEAD_DASH: Dash = "2.4,1.8"
_PLANNED_DASH: Dash = "4,2"
_EARTH_DASH: Dash = "7,1.8,1.4,1.8"
_FRAME_DASH: Dash = "6,2,1,2"
_FRAME_PT = 0.6
_LINK_PT = 0.9
_BAR_PT: dict[Life, float] = {"normal": 3.4, "live": 4.0, "dead": 1.4}
_DEAD_DOT = 0.6


@dataclass(frozen=True)
class Look:
    """How one figure of a series shows the diagram: by wire id and by piece id; missing ones are normal.

    `word` stands beside the name of a piece ("open"); `pose` is the position of its contacts, `link` how its
    link from neutral to earth stands.
    """

    wires: Mapping[str, Life] = field(default_factory=dict)
    pieces: Mapping[str, Life] = field(default_factory=dict)
    pose: Mapping[str, Pose] = field(default_factory=dict)
    link: Mapping[str, Pose] = field(default_factory=dict)
    word: Mapping[str, str] = field(default_factory=dict)


PLAIN = Look()


def draw(
    page: Page, diagram: Diagram, title: str, description: str, look: Look = PLAIN, lang: str = "en"
) -> bytes:
    """Return the page as SVG with a title and description for readers who cannot see it."""
    backend.config.text = "text"  # an installed ziamath would turn letters into outlines
    width, height = page.width * _PT_PER_MM, page.height * _PT_PER_MM
    root = ET.Element(
        f"{{{_SVG}}}svg",
        {
            "width": f"{number(page.width)}mm",
            "height": f"{number(page.height)}mm",
            "viewBox": f"0 0 {number(width)} {number(height)}",
            "role": "img",
            "lang": lang,
            "font-family": FONT,
            "fill": "black",
        },
    )
    ET.SubElement(root, "title").text = printable(title)
    ET.SubElement(root, "desc").text = printable(description)
    if page.boxes or page.bars or page.texts or page.wires:
        drawing = schemdraw.Drawing(show=False)
        drawing.config(inches_per_unit=1 / 25.4, margin=0)
        for group in _elements(page, diagram, look):
            drawing.add(group.at((0, 0)).theta(0))
        drawing.draw(show=False, canvas=root).getsvg()
    for element in root.iter():
        _tidy(element)
    ET.register_namespace("", _SVG)
    picture: bytes = ET.tostring(root, encoding="utf-8", xml_declaration=False)
    return picture + b"\n"


class _Strokes(Element):  # type: ignore[no-untyped-call]
    """Segments in page coordinates."""

    def __init__(self, segments: list[Any]) -> None:
        super().__init__()
        self.segments.extend(segments)


def _elements(page: Page, diagram: Diagram, look: Look) -> list[Element]:
    scale = page.size_pt / NOMINAL_PT
    planned = {piece.id for piece in diagram.pieces if piece.planned}
    leads: dict[str, dict[str, float]] = defaultdict(dict)
    for wire in diagram.wires:
        for piece, port in (wire.a, wire.b):
            leads[piece][port] = _WIRE_PT[look.wires.get(wire.id, "normal")]
    elements: list[Element] = [_Strokes(_wire_segments(page, diagram, look) + _frame_segments(page))]
    for box in page.boxes:
        # In a figure of a state a dash means dead; there the word says that a part is planned.
        dash: Dash = _PLANNED_DASH if box.piece in planned and box.piece not in look.pieces else None
        lw = _SYMBOL_PT[look.pieces.get(box.piece, "normal")]
        elements.append(Symbol(box, scale, lw, dash, look.pose.get(box.piece, ""), leads[box.piece]))
        if box.link:
            elements.append(Link(box, scale, _LINK_PT, look.link.get(box.piece, "closed")))
    above: list[Any] = []
    for bar in page.bars:
        life = look.pieces.get(bar.piece, "normal")
        lw = _BAR_PT[life] * scale
        dash = _DEAD_DASH if life == "dead" else None
        if bar.piece in planned and life == "normal":
            dash = _PLANNED_DASH
        above.append(
            Segment(
                [(bar.x0, -bar.y0), (bar.x1, -bar.y1)], lw=round(lw, 2), ls=dash, capstyle="butt", zorder=3
            )
        )
    for dot in page.dots:
        radius = dot.radius * (_DEAD_DOT if look.wires.get(dot.owner) == "dead" else 1.0)
        above.append(SegmentCircle((dot.x, -dot.y), radius, fill="black", lw=0.3, zorder=4))
    for text in page.texts:
        above += _letters(text, look.word.get(text.owner, "") if text.room else "")
    return [*elements, _Strokes(above)]


def _letters(text: Text, word: str) -> list[Lettering]:
    """One line; a state word follows the bold name in the plain weight."""
    if not word:
        return [Lettering(text.x, text.y, text.text, text.size_pt, text.anchor, text.bold)]
    name_mm = text_width_mm(text.text, text.bold, text.size_pt)
    word_mm = text_width_mm(f" {word}", size_pt=text.size_pt)
    left = text.x - {"left": 0.0, "center": (name_mm + word_mm) / 2, "right": name_mm + word_mm}[text.anchor]
    return [
        Lettering(left, text.y, text.text, text.size_pt, "left", text.bold),
        Lettering(left + name_mm + word_mm, text.y, word, text.size_pt, "right"),
    ]


def _wire_segments(page: Page, diagram: Diagram, look: Look) -> list[Any]:
    wires = {wire.id: wire for wire in diagram.wires}
    mixed = any(wire.kind != "earth" for wire in diagram.wires)
    segments = []
    for line in page.wires:
        wire = wires[line.wire]
        life = look.wires.get(line.wire, "normal")
        dash: Dash = _EARTH_DASH if wire.kind == "earth" and mixed else None
        if wire.planned and life == "normal":
            dash = _PLANNED_DASH
        if life == "dead":
            dash = _DEAD_DASH
        points = [(x, -y) for x, y in line.points]
        # Live wires lie on top where they share a trunk with a dead one.
        zorder = 2 if life == "live" else 1
        segments.append(
            Segment(points, lw=_WIRE_PT[life], ls=dash, capstyle="butt", joinstyle="miter", zorder=zorder)
        )
    return segments


def _frame_segments(page: Page) -> list[Any]:
    return [
        SegmentPoly(
            [(x0, -y0), (x1, -y0), (x1, -y1), (x0, -y1)],
            lw=_FRAME_PT,
            ls=_FRAME_DASH,
            fill="none",
            joinstyle="miter",
            zorder=0,
        )
        for x0, y0, x1, y1 in (frame.rect for frame in page.frames)
    ]


_NUMBER = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")


def _tidy(element: ET.Element) -> None:
    """Round numbers and drop what schemdraw writes needlessly or wrongly."""
    style = element.get("style")
    if style is not None:
        # "stroke-dasharray:-" is schemdraw's invalid way to say solid.
        parts = [part for part in style.split(";") if part and part != "stroke-dasharray:-"]
        parts = [part.replace("fill:None", "fill:none") for part in parts]
        element.set("style", _rounded(";".join(parts)))
    for name in ("d", "points", "cx", "cy", "r", "rx", "ry"):
        value = element.get(name)
        if value is not None:
            element.set(name, _rounded(value).strip())


def _rounded(text: str) -> str:
    return _NUMBER.sub(lambda match: number(float(match.group())), text)
