"""Earthing figures: every protective conductor and neutral link, as built and in each operating state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from asfitted import words
from asfitted.network.model import Bond, Network
from asfitted.network.states import State

from .draw import Life, Look, draw
from .earth_view import EarthView, earth_view
from .figure import Figure
from .layout import Paper, Sheet, lay_out
from .sheet_words import sheet_title, wording
from .symbols import Pose


def earthing(network: Network, paper: Paper) -> list[Figure]:
    """Return the earthing and bonding of a network on as many sheets as it needs; none if it has none."""
    view = earth_view(network)
    if not view.diagram.pieces:
        return []
    pose: dict[str, Pose] = {piece.id: "off" for piece in view.diagram.pieces if piece.symbol == "bond"}
    for piece, bond in view.bonds.items():
        pose[piece] = "closed" if bond.when == "always" else "open"
    sheets = lay_out(view.diagram, paper, wording())
    alternative = words.text("figures", "earthing.alternative", build=network.description.build.title)
    return [
        _figure("earthing", number, sheets, alternative, _in_words(view, sheet), Look(pose=pose))
        for number, sheet in enumerate(sheets, 1)
    ]


def earthing_states(
    network: Network, states: Sequence[State], paper: Paper, names: Mapping[str, str] | None = None
) -> dict[str, list[Figure]]:
    """Return for each state (by its id) the earthing in it: the link in use heavy, an idle one in outline.

    `names` gives the name of each state as the document uses it.
    """
    reserved = {
        bond.equipment: tuple(sorted({_word(bond, state) for state in states})) for bond in network.bonds
    }
    unplugged = words.text("figures", "state.unplugged")
    reserved |= {inlet.id: (unplugged,) for inlet in network.of_kind("supply inlet")}
    view = earth_view(network, reserved)
    if not view.diagram.pieces:
        return {state.id: [] for state in states}
    sheets = lay_out(view.diagram, paper, wording())
    found = {}
    for state in states:
        shown = _look(view, state)
        name = (names or {}).get(state.id) or state.name or state.id
        alternative = words.text(
            "figures", "earthing.state alternative", build=network.description.build.title, state=name
        )
        found[state.id] = [
            _figure(
                f"earthing-{state.id.lower()}",
                number,
                sheets,
                alternative,
                _bonds_in_words(network, view, state, sheet),
                shown,
                state=name,
            )
            for number, sheet in enumerate(sheets, 1)
        ]
    return found


def _figure(
    name: str,
    number: int,
    sheets: Sequence[Sheet],
    alternative: str,
    description: Sequence[str],
    look: Look,
    state: str = "",
) -> Figure:
    sheet = sheets[number - 1]
    title = sheet_title("earthing state" if state else "earthing", number, len(sheets), state=state)
    svg = draw(sheet.page, sheet.diagram, title, alternative, look)
    return Figure(f"{name}-{number}", svg, title, alternative, tuple(description))


def _in_use(bond: Bond, state: State) -> bool:
    return bond.equipment in state.sources and state.bond_closed(bond)


def _word(bond: Bond, state: State) -> str:
    if _in_use(bond, state):
        return words.text("figures", "earthing.in use")
    return words.text("figures", "earthing.idle" if state.bond_closed(bond) else "state.open")


def _look(view: EarthView, state: State) -> Look:
    pieces: dict[str, Life] = {}
    pose: dict[str, Pose] = {piece.id: "off" for piece in view.diagram.pieces if piece.symbol == "bond"}
    word: dict[str, str] = {}
    wires: dict[str, Life] = {}
    for source, bond in view.bonds.items():
        life: Life = "live" if _in_use(bond, state) else "dead"
        for shown in (source, f"{source} N"):
            pieces[shown] = life
            word[shown] = _word(bond, state)
        pose[source] = "closed" if state.bond_closed(bond) else "open"
        wires[f"{source} link"] = "normal" if state.bond_closed(bond) else "dead"
    for piece in view.diagram.pieces:
        if piece.symbol == "inlet":
            contacts = [c for c in state.network.contacts if c.equipment == piece.id and c.conductor == "PE"]
            if any(contact not in state.closed for contact in contacts):
                pieces[piece.id] = "dead"
                word[piece.id] = words.text("figures", "state.unplugged")
                wires |= {
                    wire.id: "dead" for wire in view.diagram.wires if (piece.id, "in") in (wire.a, wire.b)
                }
    return Look(wires, pieces, pose, word)


def _in_words(view: EarthView, sheet: Sheet) -> list[str]:
    names = {piece.id: piece.name for piece in view.diagram.pieces}
    here = {wire.id for wire in sheet.diagram.wires}
    lines = [
        words.text("figures", "description.piece", piece=piece.name, lines=", ".join(piece.lines))
        for piece in sheet.diagram.pieces
        if piece.id in names and piece.lines
    ]
    for wire in view.diagram.wires:
        if wire.id in here:
            a, b = names[wire.a[0]], names[wire.b[0]]
            label = " ".join(wire.lines) or words.text("figures", "earthing.bolted")
            lines.append(words.text("figures", "description.conductor", wire=label, a=a, b=b))
    return lines


def _bonds_in_words(network: Network, view: EarthView, state: State, sheet: Sheet) -> list[str]:
    here = {piece.id for piece in sheet.diagram.pieces}
    return [
        words.text("figures", "description.bond", piece=network.items[source].name, word=_word(bond, state))
        for source, bond in view.bonds.items()
        if source in here or f"{source} N" in here
    ]
