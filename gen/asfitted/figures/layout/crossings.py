"""How well a page reads: crossings and bends of its wires, counted on the finished geometry."""

from __future__ import annotations

from .page import Page, Point

Piece = tuple[float, float, float, float, int]


def pieces(page: Page) -> tuple[list[Piece], list[Piece]]:
    """Return the horizontal and the vertical pieces of all wires as (x0, y0, x1, y1, wire number)."""
    flat: list[Piece] = []
    upright: list[Piece] = []
    for number, wire in enumerate(page.wires):
        for (x0, y0), (x1, y1) in zip(wire.points, wire.points[1:], strict=False):
            item = (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1), number)
            (flat if y0 == y1 else upright).append(item)
    return flat, upright


def crossings(page: Page) -> int:
    """Count the points where wires of different nets cross."""
    flat, upright = pieces(page)
    nets = [set(wire.nets) for wire in page.wires]
    found: set[Point] = set()
    for x0, y, x1, _, a in flat:
        for x, y0, _, y1, b in upright:
            if a != b and x0 + 0.01 < x < x1 - 0.01 and y0 + 0.01 < y < y1 - 0.01 and not nets[a] & nets[b]:
                found.add((round(x, 1), round(y, 1)))
    return len(found)


def bends(page: Page) -> int:
    """Count the corners of all wires."""
    return sum(max(0, len(wire.points) - 2) for wire in page.wires)
