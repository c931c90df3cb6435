"""Frames: the dash-dot outline of each board, drawn for all boards of a sheet or for none."""

from __future__ import annotations

from dataclasses import replace

from ..graph import Diagram
from .measure import ASCENT, MM_PER_PT, NOMINAL_PT
from .page import Frame, Page, Rect, Text

_PAD_MM = 1.4


def frames(page: Page, diagram: Diagram) -> Page:
    """Return the page with a frame round each board, unless a frame would enclose or cut something foreign."""
    board = {piece.id: piece.board for piece in diagram.pieces}
    added = page
    for name in sorted({b for b in board.values() if b}):
        own = {piece for piece, b in board.items() if b == name}
        members = [b.rect for b in page.boxes if b.piece in own]
        members += [b.rect for b in page.bars if b.piece in own]
        members += [t.rect for t in page.texts if t.owner in own]
        left, top = min(r[0] for r in members) - _PAD_MM, min(r[1] for r in members) - _PAD_MM
        right, bottom = max(r[2] for r in members) + _PAD_MM, max(r[3] for r in members) + _PAD_MM
        size_mm = NOMINAL_PT * MM_PER_PT
        title = Text(left + 1, top - 0.7, name, "left", NOMINAL_PT, False, name, "frame")
        rect = (left, top, right, bottom)
        foreign: list[Rect] = [b.rect for b in page.boxes if b.piece not in own]
        foreign += [b.rect for b in page.bars if b.piece not in own]
        foreign += [t.rect for t in page.texts if t.owner not in own]
        foreign += [f.rect for f in added.frames]
        lines = [
            (min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
            for wire in page.wires
            for a, b in zip(wire.points, wire.points[1:], strict=False)
        ]
        heading = (left, top - 0.7 - ASCENT * size_mm, title.rect[2], top)
        if any(_meet(rect, other) for other in foreign) or any(_along(rect, line) for line in lines):
            return page
        if any(_meet(heading, other, 0.3) for other in [*foreign, *lines]):
            # No room above the frame for its name: the pieces of the board say where they stand.
            return page
        added = replace(added, frames=(*added.frames, Frame(name, rect)), texts=(*added.texts, title))
    return added


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
