"""The view that tells operating states apart: the alternating-current side, its converters cut off at a stub.

The direct-current side looks the same in every state and stands once, in the single-line diagram.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

from asfitted import words
from asfitted.network.model import Network

from .graph import Diagram, Piece
from .labels import bond_line
from .view import View, single_line_view


def state_view(network: Network, state_words: Mapping[str, tuple[str, ...]]) -> View:
    """Return the view for state figures: names only, the link from neutral to earth beside its source.

    `state_words` reserves room beside the names of pieces. A build without alternating current has no pieces.
    """
    whole = single_line_view(network, state_words)
    wires = [replace(w, lines=w.lines and (w.id,)) for w in whole.diagram.wires if w.kind == "ac"]
    touched = {end[0] for wire in wires for end in (wire.a, wire.b)}
    cables = {wire.id: whole.cables[wire.id] for wire in wires if wire.id in whole.cables}
    terminals = {wire.id: whole.terminals[wire.id] for wire in wires}
    stubs: dict[str, list[Piece]] = defaultdict(list)
    for wire in whole.diagram.wires:
        for end in (wire.a, wire.b):
            stub = f"{end[0]} {end[1]} stub"
            if wire.kind == "dc" and end[0] in touched and stub not in terminals:
                lines = (words.text("figures", "state.stub"),)
                stubs[end[0]].append(Piece(stub, "off_sheet", "", lines, planned=wire.planned))
                wires.append(replace(wire, id=stub, a=end, b=(stub, ""), lines=()))
                terminals[stub] = whole.terminals[wire.id]
    bonded = {bond.equipment for bond in network.bonds}
    pieces: list[Piece] = []
    for piece in whole.diagram.pieces:
        if piece.id in touched:
            line = bond_line(network, network.items[piece.id])
            pieces.append(replace(piece, lines=(line,) if line else (), link=piece.id in bonded))
            pieces += stubs[piece.id]
    return View(Diagram(tuple(pieces), tuple(wires)), terminals, cables)
