"""What must hold in every figure that was drawn without a page object, read back from its SVG."""

import re
from collections.abc import Iterator
from itertools import pairwise
from xml.etree import ElementTree as ET

from asfitted.figures.layout.measure import ASCENT, DESCENT, MM_PER_PT, text_width_mm

from .geometry import Rect, meet

SVG = "{http://www.w3.org/2000/svg}"
LEAST_PT = 6.0


def texts(svg: bytes) -> list[tuple[str, float, Rect]]:
    """Return each line of text with its size in points and its place in mm."""
    root = ET.fromstring(svg)  # noqa: S314  (our own picture)
    found = []
    for text in root.iter(f"{SVG}text"):
        size = float(text.get("font-size") or root.get("font-size") or 0)
        bold = text.get("font-weight") == "bold"
        long = text_width_mm(text.text or "", bold, size)
        x, y = (float(text.get(axis) or 0) * MM_PER_PT for axis in "xy")
        left = x - {"end": long, "middle": long / 2}.get(text.get("text-anchor") or "", 0.0)
        up, down = ASCENT * size * MM_PER_PT, DESCENT * size * MM_PER_PT
        found.append((text.text or "", size, (left, y - up, left + long, y + down)))
    return found


def plot_faults(svg: bytes, overlap_mm: float = -0.35) -> Iterator[str]:
    """Yield every fault: texts on texts or outside, too small, without description; a colour.

    The extents of a line count letters that most lines have not: rows may share a third of a millimetre.
    """
    root = ET.fromstring(svg)  # noqa: S314  (our own picture)
    width, height = (float(v) * MM_PER_PT for v in (root.get("viewBox") or "").split()[2:])
    if not (root.findtext(f"{SVG}title") and root.findtext(f"{SVG}desc")):
        yield "no title or no description"
    lines = texts(svg)
    for n, (text, size, rect) in enumerate(lines):
        if size < LEAST_PT:
            yield f"{text!r} is printed in {size} pt"
        if rect[0] < -0.01 or rect[1] < -0.5 or rect[2] > width + 0.01 or rect[3] > height + 0.01:
            yield f"{text!r} leaves the sheet"
        for other, _, place in lines[n + 1 :]:
            if meet(rect, place, overlap_mm):
                yield f"{text!r} overlaps {other!r}"
    for tone in re.findall(r"#[0-9a-f]{6}", svg.decode()):
        if not tone[1:3] == tone[3:5] == tone[5:7]:
            yield f"{tone} is lost in black and white"


def uprights(svg: bytes) -> list[tuple[float, float, float]]:
    """Return every upright piece of a path or polyline as (x, top, bottom) in mm."""
    found = []
    for path in ET.fromstring(svg).iter(f"{SVG}path"):  # noqa: S314  (our own picture)
        if path.get("fill") != "none":
            continue
        points = [
            tuple(float(v) * MM_PER_PT for v in pair.split())
            for pair in re.split(r"[ML]", path.get("d") or "")
            if pair.strip()
        ]
        for (x0, y0), (x1, y1) in pairwise(points):
            if abs(x0 - x1) < 0.01:
                found.append((x0, min(y0, y1), max(y0, y1)))
    return found
