"""Frames: the dash-dot outline of each board, drawn for all boards of a sheet or for none."""

from __future__ import annotations

from dataclasses import replace

from ..graph import Diagram
from .measure import ASCENT, DESCENT, MM_PER_PT, NOMINAL_PT
from .page import Frame, Page, Rect, Text

_PAD_MM = 0.9
_SIDE_PAD_MM = 1.2
_CLEAR_MM = 0.25


def frames(page: Page, diagram: Diagram) -> Page:
    """Return the page with a frame round each board, unless one would enclose or cut something foreign."""
    board = {piece.id: piece.board for piece in diagram.pieces}
    added = page
    for name in sorted({b for b in board.values() if b}):
        own = {piece for piece, b in board.items() if b == name}
        members = [rect for b in page.boxes if b.piece in own for rect in b.rects]
        members += [b.rect for b in page.bars if b.piece in own]
        members += [t.rect for t in page.texts if t.owner in own]
        left, top = min(r[0] for r in members) - _SIDE_PAD_MM, min(r[1] for r in members) - _PAD_MM
        right, bottom = max(r[2] for r in members) + _SIDE_PAD_MM, max(r[3] for r in members) + _PAD_MM
        rect = (left, top, right, bottom)
        foreign: list[Rect] = [rect for b in page.boxes if b.piece not in own for rect in b.rects]
        foreign += [b.rect for b in page.bars if b.piece not in own]
        foreign += [t.rect for t in page.texts if t.owner not in own]
        foreign += [f.rect for f in added.frames]
        lines = [
            (min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
            for wire in page.wires
            for a, b in zip(wire.points, wire.points[1:], strict=False)
        ]
        if any(_meet(rect, other, _CLEAR_MM) for other in foreign) or any(
            _along(rect, line) for line in lines
        ):
            return page
        added = replace(added, frames=(*added.frames, Frame(name, rect)))
        drawn = [rect for b in page.boxes for rect in b.rects] + [t.rect for t in added.texts]
        title = _title(name, rect, [*foreign, *lines, *drawn])
        if title is not None:
            added = replace(added, texts=(*added.texts, title))
    return added


def _title(name: str, frame: Rect, taken: list[Rect]) -> Text | None:
    """Return the name of the board outside a corner of its frame, or nothing if all four are taken."""
    size_mm = NOMINAL_PT * MM_PER_PT
    left, top, right, bottom = frame
    for x, y, anchor in (
        (left, top - 0.4 - DESCENT * size_mm, "left"),
        (right, top - 0.4 - DESCENT * size_mm, "right"),
        (left, bottom + 0.4 + ASCENT * size_mm, "left"),
        (right, bottom + 0.4 + ASCENT * size_mm, "right"),
    ):
        title = Text(x, y, name, "left" if anchor == "left" else "right", NOMINAL_PT, False, name, "frame")
        if not any(_meet(title.rect, other, 0.5) for other in taken):
            return title
    return None


def _meet(a: Rect, b: Rect, gap: float = 0.0) -> bool:
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def _along(frame: Rect, line: Rect) -> bool:
    """Return whether a wire runs along an edge of the frame closer than 0.8 mm."""
    near = 0.8
    if line[1] == line[3]:
        overlap = line[0] < frame[2] and frame[0] < line[2]
        return overlap and min(abs(line[1] - frame[1]), abs(line[1] - frame[3])) < near
    overlap = line[1] < frame[3] and frame[1] < line[3]
    return overlap and min(abs(line[0] - frame[0]), abs(line[0] - frame[2])) < near
