"""State figures: one drawing of the alternating-current side for every operating state, so they compare."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from asfitted import words
from asfitted.network.model import Network
from asfitted.network.states import State

from .draw import Look, draw
from .figure import Figure
from .graph import Diagram
from .layout import Paper, Sheet, lay_out
from .life import look, state_words, states_in_words
from .sheet_words import capital, sheet_title, wording
from .state_view import state_view
from .view import View


def state_figures(network: Network, states: Sequence[State], paper: Paper) -> dict[str, list[Figure]]:
    """Return for each state (by its id) the sheets that show it, without those that look alike in all."""
    view = state_view(network, state_words(network, states))
    if not view.diagram.pieces:
        return {state.id: [] for state in states}
    looks = {state.id: look(network, view, state) for state in states}
    sheets = lay_out(view.diagram, paper, wording())
    telling = [
        (number, sheet)
        for number, sheet in enumerate(sheets, 1)
        if len(sheets) == 1 or _tells_apart(sheet, list(looks.values()))
    ]
    return {
        state.id: [
            _figure(network, view, state, number, len(sheets), sheet, looks[state.id])
            for number, sheet in telling
        ]
        for state in states
    }


def _tells_apart(sheet: Sheet, looks: Sequence[Look]) -> bool:
    here = {piece.id for piece in sheet.diagram.pieces} | {wire.id for wire in sheet.diagram.wires}

    def part(shown: Look) -> list[dict[str, str]]:
        kinds = (shown.wires, shown.pieces, shown.pose, shown.link, shown.word)
        return [{id_: value for id_, value in kind.items() if id_ in here} for kind in kinds]

    return any(part(shown) != part(looks[0]) for shown in looks)


def _figure(
    network: Network, view: View, state: State, number: int, count: int, sheet: Sheet, shown: Look
) -> Figure:
    title = capital(sheet_title("state", number, count, state=state.name))
    alternative = words.text(
        "figures", "state.alternative", build=network.description.build.title, state=state.name
    )
    here = {piece.id for piece in sheet.diagram.pieces}
    svg = draw(sheet.page, sheet.diagram, title, alternative, _on_sheet(shown, sheet.diagram))
    return Figure(
        f"state-{state.id.lower()}-{number}",
        svg,
        title,
        alternative,
        tuple(states_in_words(network, view, state, here)),
    )


def _on_sheet(shown: Look, diagram: Diagram) -> Look:
    """Let arrows look like their wires."""
    arrows = {}
    symbol = {piece.id: piece.symbol for piece in diagram.pieces}
    for wire in diagram.wires:
        for end in (wire.a[0], wire.b[0]):
            if symbol[end] == "off_sheet" and wire.id in shown.wires:
                arrows[end] = shown.wires[wire.id]
    return replace(shown, pieces={**shown.pieces, **arrows})
