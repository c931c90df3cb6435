"""Layers: every piece gets a level of the page so that the wires are as short as possible.

Equipment stands on even layers, cable labels on the odd ones between (Gansner et al. 1993,
doi:10.1109/32.221135).
"""

from __future__ import annotations

from ..graph import Diagram
from .differences import Differences
from .links import Run


def assign_layers(diagram: Diagram, wires: list[Run]) -> dict[str, int]:
    """Return the even layer of each piece, 0 at the top."""
    rows = Differences()
    level = {piece.id: rows.unknown() for piece in diagram.pieces}
    for run in wires:
        rows.at_least(level[run.upper[0]], level[run.lower[0]], 1)
        rows.shorten(level[run.upper[0]], level[run.lower[0]], 1)
    values = rows.solve()
    return {piece: 2 * round(values[unknown]) for piece, unknown in level.items()}
