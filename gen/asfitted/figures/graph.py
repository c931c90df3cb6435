"""The abstract input of every figure: pieces of equipment joined by wires. Nothing here knows the network."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["ac", "dc", "earth"]
End = tuple[str, str]
"""One end of a wire: the id of a piece and the name of its port (ignored by bars and one-port symbols)."""


@dataclass(frozen=True)
class Piece:
    """One piece of equipment.

    `symbol` is a key of `layout.shapes.SHAPES`. `lines` stand under the name. `words` are the state words
    that figures of a series may write beside the name ("open"): room is kept for the widest of them.
    `sheet` forces pieces with the same number onto one sheet. `link`: its link from neutral to earth is drawn
    beside it.
    """

    id: str
    symbol: str
    name: str
    lines: tuple[str, ...] = ()
    board: str = ""
    planned: bool = False
    words: tuple[str, ...] = ()
    sheet: int = 0
    link: bool = False


@dataclass(frozen=True)
class Wire:
    """One line of the figure: a cable, a conductor or a direct joint; described from `a` towards `b`."""

    id: str
    a: End
    b: End
    lines: tuple[str, ...] = ()
    kind: Kind = "ac"
    planned: bool = False


@dataclass(frozen=True)
class Diagram:
    """Pieces and wires in the order of the description, which is the order from left to right on paper."""

    pieces: tuple[Piece, ...]
    wires: tuple[Wire, ...]

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn: repeated ids, wires to nowhere, a wire from a piece to itself."""
        known = {piece.id for piece in self.pieces}
        if len(known) != len(self.pieces) or len({wire.id for wire in self.wires}) != len(self.wires):
            raise ValueError("ids of pieces and wires must be unique")
        for wire in self.wires:
            if wire.a[0] not in known or wire.b[0] not in known:
                raise ValueError(f"wire {wire.id} ends at an unknown piece")
            if wire.a[0] == wire.b[0]:
                raise ValueError(f"wire {wire.id} leads from a piece to itself")

    def piece(self, piece_id: str) -> Piece:
        """Return the piece with this id; KeyError if there is none."""
        for piece in self.pieces:
            if piece.id == piece_id:
                return piece
        raise KeyError(piece_id)
