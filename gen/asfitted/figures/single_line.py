"""The single-line diagram: the installation as described, every sheet with its connections in words."""

from __future__ import annotations

from collections.abc import Mapping

from asfitted import words
from asfitted.network.labels import cable_size
from asfitted.network.model import Cable, Item, Network

from .draw import Look, draw
from .figure import Figure
from .labels import is_normally_open, length
from .layout import Paper, Sheet, lay_out
from .sheet_words import sheet_title, wording
from .view import View, single_line_view

_ARROW = "off_sheet"


def single_line(network: Network, paper: Paper) -> list[Figure]:
    """Return the single-line diagram of a network on as many sheets as it needs."""
    view = single_line_view(network)
    if not view.diagram.pieces:
        return []
    sheets = lay_out(view.diagram, paper, wording())
    at_rest = Look(pose={item.id: "open" for item in network.items.values() if is_normally_open(item)})
    alternative = words.text(
        "figures",
        "single line.alternative",
        build=network.description.build.title,
        pieces=len(view.diagram.pieces),
        cables=len(set(view.cables.values())),
    )
    figures = []
    for number, sheet in enumerate(sheets, 1):
        title = sheet_title("single line", number, len(sheets))
        description = [*_pieces(sheet), *_connections(network, view, sheet)]
        if number == len(sheets):
            description += _missing(network)
        svg = draw(sheet.page, sheet.diagram, title, alternative, at_rest)
        figures.append(Figure(f"single-line-{number}", svg, title, alternative, tuple(description)))
    return figures


def not_drawn(network: Network) -> tuple[tuple[Item, ...], tuple[Cable, ...]]:
    """Return the equipment and cables that a single line leaves out: returns, and what only they reach."""
    view = single_line_view(network)
    drawn = {piece.id for piece in view.diagram.pieces}
    return (
        tuple(item for item in network.items.values() if item.id not in drawn),
        tuple(cable for cable in network.cables.values() if cable.id not in view.cables.values()),
    )


def _pieces(sheet: Sheet) -> list[str]:
    return [
        words.text("figures", "description.piece", piece=piece.name, lines=", ".join(piece.lines))
        for piece in sheet.diagram.pieces
        if piece.symbol != _ARROW and piece.lines
    ]


def _connections(network: Network, view: View, sheet: Sheet) -> list[str]:
    names: Mapping[str, str] = {piece.id: piece.name for piece in view.diagram.pieces}
    lines = []
    whole = {wire.id: wire for wire in view.diagram.wires}
    for wire in sheet.diagram.wires:
        if wire.id not in whole:
            continue
        a, b = names[whole[wire.id].a[0]], names[whole[wire.id].b[0]]
        if wire.id in view.cables:
            cable = network.cables[view.cables[wire.id]]
            lines.append(
                words.text(
                    "figures",
                    "description.cable",
                    cable=cable.id,
                    size=cable_size(cable),
                    length=length(network, cable.length_m),
                    a=a,
                    b=b,
                )
            )
        else:
            lines.append(words.text("figures", "description.bolted", a=a, b=b))
    return lines


def _missing(network: Network) -> list[str]:
    items, cables = not_drawn(network)
    names = [item.name for item in items] + [cable.id for cable in cables]
    return [words.text("figures", "description.not drawn", names=", ".join(names))] if names else []
