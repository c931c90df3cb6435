"""Flags: labels that stand on poles along an axis, in as few rows as let no text meet a pole or another text."""

from __future__ import annotations

from collections.abc import Sequence

from .layout.measure import text_width_mm

_GAP_MM = 1.2


def flag_rows(flags: Sequence[tuple[float, str]], gap_mm: float = _GAP_MM) -> list[int]:
    """Return the row, from 0 nearest to the axis, of each flag (x of its pole in mm, its text right of the pole)."""
    rows = [0] * len(flags)
    placed: list[tuple[float, float, int]] = []
    for n in sorted(range(len(flags)), key=lambda i: (-flags[i][0], -i)):
        x, text = flags[n]
        end = x + gap_mm + text_width_mm(text, bold=True)
        rows[n] = 1 + max((row for start, _, row in placed if start < end), default=-1)
        placed.append((x, end, rows[n]))
    return rows
