"""Single-line figures: the installation as described, and the same drawing in each operating state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from asfitted import words
from asfitted.network.labels import cable_size
from asfitted.network.model import Network
from asfitted.network.states import State

from .draw import Look, draw
from .figure import Figure
from .graph import Diagram
from .labels import is_normally_open, length
from .layout import Paper, Sheet, lay_out
from .life import look, state_words, states_in_words
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
    alternative = _alternative(network, view, "single line")
    figures = []
    for number, sheet in enumerate(sheets, 1):
        title = sheet_title("single line", number, len(sheets))
        description = [*_pieces(sheet), *_connections(network, view, sheet)]
        if number == len(sheets):
            description += _not_drawn(network, view)
        figures.append(_figure(f"single-line-{number}", sheet, title, alternative, description, at_rest))
    return figures


def state_figures(
    network: Network, states: Sequence[State], paper: Paper, names: Mapping[str, str] | None = None
) -> dict[str, list[Figure]]:
    """Return for each state (by its id) the sheets that show it; all share one layout, so they compare.

    `names` gives the name of each state as the document uses it; else the builder's name or the id stands.
    """
    view = single_line_view(network, state_words(network, states))
    if not view.diagram.pieces:
        return {state.id: [] for state in states}
    sheets = lay_out(view.diagram, paper, wording())
    called = {state.id: (names or {}).get(state.id) or state.name or state.id for state in states}
    return {state.id: _state_sheets(network, view, sheets, state, called[state.id]) for state in states}


def _state_sheets(network: Network, view: View, sheets: list[Sheet], state: State, name: str) -> list[Figure]:
    shown = look(network, view, state)
    figures = []
    for number, sheet in enumerate(sheets, 1):
        title = sheet_title("state", number, len(sheets), state=name)
        here = {piece.id for piece in sheet.diagram.pieces}
        description = states_in_words(network, view, state, here)
        figures.append(
            _figure(
                f"state-{state.id.lower()}-{number}",
                sheet,
                title,
                _alternative(network, view, "state", state=name),
                description,
                _on_sheet(shown, sheet.diagram),
            )
        )
    return figures


def _figure(
    name: str, sheet: Sheet, title: str, alternative: str, description: Sequence[str], shown: Look
) -> Figure:
    svg = draw(sheet.page, sheet.diagram, title, alternative, shown)
    return Figure(name, svg, title, alternative, tuple(description))


def _on_sheet(shown: Look, diagram: Diagram) -> Look:
    """Let the arrows of a sheet look like their wires."""
    arrows = {}
    symbol = {piece.id: piece.symbol for piece in diagram.pieces}
    for wire in diagram.wires:
        for end in (wire.a[0], wire.b[0]):
            if symbol[end] == _ARROW and wire.id in shown.wires:
                arrows[end] = shown.wires[wire.id]
    return replace(shown, pieces={**shown.pieces, **arrows})


def _alternative(network: Network, view: View, figure: str, **fields: str) -> str:
    return words.text(
        "figures",
        f"{figure}.alternative",
        build=network.description.build.title,
        pieces=len(view.diagram.pieces),
        cables=len(set(view.cables.values())),
        **fields,
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


def _not_drawn(network: Network, view: View) -> list[str]:
    drawn = {piece.id for piece in view.diagram.pieces}
    missing = [item.name for item in network.items.values() if item.id not in drawn]
    missing += [cable for cable in network.cables if cable not in view.cables.values()]
    return [words.text("figures", "description.not drawn", names=", ".join(missing))] if missing else []
