"""Cells: a symbol with its texts, or a wire with its label, and the room they need. Cells never overlap,
therefore labels never overlap.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..graph import Piece, Wire
from .measure import line_pitch_mm, text_width_mm, wrap
from .page import Flow
from .shapes import LINK_MM, PAD_MM, SHAPES

Anchor = Literal["left", "center", "right"]
Role = Literal["name", "line", "wire"]

_BASE_LINE = 0.78
"""The base line lies this part of a line pitch below the top of its line."""

_WIRE_MM = 1.2
"""Half the room that a wire needs across."""

_TEXT_GAP_MM = 1.0


@dataclass(frozen=True)
class Word:
    """A line of text relative to the centre of its cell, in page directions."""

    x: float
    y: float
    text: str
    anchor: Anchor
    role: Role
    room: float = 0.0


@dataclass(frozen=True)
class Cell:
    """Room before and after the centre along the flow, left and right of the axis across it, and the texts.

    For a bar left and right count from its ends, and the texts hang on its lower end. `link` is the side of
    the link from neutral to earth: -1 left of the axis, 1 right of it, 0 if there is none.
    """

    before: float
    after: float
    left: float
    right: float
    words: tuple[Word, ...] = ()
    link: int = 0


@dataclass(frozen=True)
class _Block:
    """Wrapped text: (text, role) and the width of the widest line with reserved room."""

    lines: tuple[tuple[str, Role], ...]
    width: float
    room: float

    @property
    def height(self) -> float:
        return len(self.lines) * line_pitch_mm()

    def words(self, x: float, top: float, anchor: Anchor) -> tuple[Word, ...]:
        pitch = line_pitch_mm()
        names = [i for i, (_, role) in enumerate(self.lines) if role == "name"]
        return tuple(
            Word(
                x,
                top + pitch * (i + _BASE_LINE),
                text,
                anchor,
                role,
                self.room if names and i == names[-1] else 0.0,
            )
            for i, (text, role) in enumerate(self.lines)
        )


def _piece_block(piece: Piece) -> _Block:
    room = max((text_width_mm(f" {word}") for word in piece.words), default=0.0)
    names = wrap(piece.name, bold=True)
    rest = [line for text in piece.lines for line in wrap(text)]
    widths = [text_width_mm(name, bold=True) for name in names]
    if widths:
        widths[-1] += room
    widths += [text_width_mm(line) for line in rest]
    lines: list[tuple[str, Role]] = [(name, "name") for name in names]
    lines += [(line, "line") for line in rest]
    return _Block(tuple(lines), max(widths, default=0.0), room)


def piece_cell(piece: Piece, flow: Flow, text_left: bool) -> Cell:
    """Return the cell of a piece; `text_left` puts the texts on the other side (flow down only)."""
    shape = SHAPES[piece.symbol]
    block = _piece_block(piece)
    half_l, half_w = shape.length_mm / 2, shape.width_mm / 2
    link_mm = LINK_MM if piece.link else 0.0
    if shape.manner == "bar":
        return _bar_cell(block, flow)
    if flow == "down":
        along = max(half_l, block.height / 2)
        near, far = half_w + link_mm + PAD_MM, half_w + _TEXT_GAP_MM + block.width + PAD_MM
        if text_left:
            words = block.words(-half_w - _TEXT_GAP_MM, -block.height / 2, "right")
            return Cell(along, along, far, near, words, int(piece.link))
        words = block.words(half_w + _TEXT_GAP_MM, -block.height / 2, "left")
        return Cell(along, along, near, far, words, -int(piece.link))
    names = _Block(tuple(line for line in block.lines if line[1] == "name"), block.width, block.room)
    rest = _Block(tuple(line for line in block.lines if line[1] != "name"), block.width, 0.0)
    along = max(half_l, block.width / 2 + PAD_MM)
    gap = 0.4
    below = half_w + link_mm + gap
    words = names.words(0.0, -half_w - gap - names.height, "center") + rest.words(0.0, below, "center")
    above = half_w + gap + names.height + 0.6
    return Cell(along, along, above, below + rest.height + 0.6, words, int(piece.link))


def _bar_cell(block: _Block, flow: Flow) -> Cell:
    half = SHAPES["bar"].length_mm / 2
    if flow == "down":
        along = max(half, block.height / 2)
        words = block.words(-_TEXT_GAP_MM, -block.height / 2, "right")
        return Cell(along, along, block.width + _TEXT_GAP_MM + PAD_MM, PAD_MM, words)
    along = max(half, block.width / 2 + PAD_MM)
    words = block.words(0.0, -block.height - 0.8, "center")
    return Cell(along, along, block.height + 0.8 + 0.6, PAD_MM, words)


def wire_cell(wire: Wire, flow: Flow, text_left: bool, labelled: bool) -> Cell:
    """Return the cell of a wire that passes a layer, with its label if it stands here."""
    if not labelled:
        return Cell(0.0, 0.0, _WIRE_MM, _WIRE_MM)
    lines: tuple[tuple[str, Role], ...] = tuple((line, "wire") for text in wire.lines for line in wrap(text))
    block = _Block(lines, max(text_width_mm(text) for text, _ in lines), 0.0)
    if flow == "down":
        along = block.height / 2 + 0.3
        far = _TEXT_GAP_MM + block.width + PAD_MM
        if text_left:
            return Cell(along, along, far, _WIRE_MM, block.words(-_TEXT_GAP_MM, -block.height / 2, "right"))
        return Cell(along, along, _WIRE_MM, far, block.words(_TEXT_GAP_MM, -block.height / 2, "left"))
    along = block.width / 2 + 1.2
    words = block.words(0.0, -block.height - 0.3, "center")
    return Cell(along, along, block.height + 0.3 + 0.6, _WIRE_MM, words)
