"""Earthing figures: every protective conductor and neutral link, as built and by the links in use."""

from __future__ import annotations

from collections.abc import Sequence

from asfitted import words
from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.bonding import islands

from .draw import Life, Look, draw
from .earth_view import EarthView, earth_view
from .figure import Figure
from .layout import Paper, Sheet, lay_out
from .life import ties_in_use
from .sheet_words import capital, sheet_title, wording
from .symbols import Pose

_MOST_NAMED = 4


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
        _figure(
            "earthing",
            number,
            sheet,
            sheet_title("earthing", number, len(sheets)),
            alternative,
            _in_words(view, sheet),
            Look(pose=pose),
        )
        for number, sheet in enumerate(sheets, 1)
    ]


def earthing_states(network: Network, states: Sequence[State], paper: Paper) -> list[Figure]:
    """Return one figure for each set of links that are in use together, with the states in which they are.

    A link in use is filled, an idle one in outline; the lead is dashed where it may be unplugged. States in
    which nothing is fed have no link in use and no figure.
    """
    groups: dict[frozenset[str], list[State]] = {}
    for state in states:
        if not all(island.idle for island in islands(state)):
            groups.setdefault(ties_in_use(state), []).append(state)
    in_use, idle = (words.text("figures", f"link.{pose}") for pose in ("closed", "idle"))
    view = earth_view(network, {bond.equipment: (in_use, idle) for bond in network.bonds})
    if not view.diagram.pieces:
        return []
    sheets = lay_out(view.diagram, paper, wording())
    figures = []
    for group, (ties, valid) in enumerate(groups.items(), 1):
        fields = {
            "states": _named(valid),
            "ties": ", ".join(_name(network, tie) for tie in sorted(ties)),
        }
        build = network.description.build.title
        alternative = words.text("figures", "earthing.state alternative", build=build, **fields)
        kind = "earthing state" if ties else "earthing without link"
        shown = _look(view, ties, valid)
        for number, sheet in enumerate(sheets, 1):
            title = capital(sheet_title(kind, number, len(sheets), **fields))
            description = _links_in_words(network, view, shown, sheet)
            description += [words.text("figures", "earthing.valid", states="; ".join(s.name for s in valid))]
            description += [
                words.text("figures", "earthing.unplugged", inlet=_name(network, inlet))
                for inlet in _unplugged(view, valid)
            ]
            figures.append(
                _figure(f"earthing-state-{group}", number, sheet, title, alternative, description, shown)
            )
    return figures


def _figure(
    name: str,
    number: int,
    sheet: Sheet,
    title: str,
    alternative: str,
    description: Sequence[str],
    look: Look,
) -> Figure:
    svg = draw(sheet.page, sheet.diagram, title, alternative, look)
    return Figure(f"{name}-{number}", svg, title, alternative, tuple(description))


def _named(states: Sequence[State]) -> str:
    """Return the names of states, of many only the first."""
    names = [state.name for state in states]
    if len(names) > _MOST_NAMED:
        others = len(names) - _MOST_NAMED + 1
        names[_MOST_NAMED - 1 :] = [words.text("figures", "earthing.other states", count=others)]
    return "; ".join(names)


def _name(network: Network, tie: str) -> str:
    return network.items[tie].name if tie in network.items else tie


def _look(view: EarthView, ties: frozenset[str], states: Sequence[State]) -> Look:
    """Return how the earthing looks with some links in use, in all the states in which they are."""
    pieces: dict[str, Life] = {}
    pose: dict[str, Pose] = {piece.id: "off" for piece in view.diagram.pieces if piece.symbol == "bond"}
    word: dict[str, str] = {}
    wires: dict[str, Life] = {
        wire: "live" for wire, cables in view.cables.items() if ties.intersection(cables)
    }
    for source, bond in view.bonds.items():
        in_use = source in ties
        # A relay may be open in one of these states and closed in another: idle it is in all of them.
        pose[source] = "closed" if in_use else "idle" if bond.when == "always" else "open"
        life: Life = "live" if in_use else "dead"
        wires[f"{source} link"] = life
        for shown in (source, f"{source} N"):
            pieces[shown] = life
            word[shown] = words.text("figures", f"link.{'closed' if in_use else 'idle'}")
    for inlet in _unplugged(view, states):
        pieces[inlet] = "dead"
        wires |= {wire.id: "dead" for wire in view.diagram.wires if (inlet, "in") in (wire.a, wire.b)}
    return Look(wires, pieces, pose, word=word)


def _unplugged(view: EarthView, states: Sequence[State]) -> list[str]:
    """Return the inlets whose lead may be away in one of the states."""
    return [
        piece.id
        for piece in view.diagram.pieces
        if piece.symbol == "inlet" and any(_is_unplugged(piece.id, state) for state in states)
    ]


def _is_unplugged(inlet: str, state: State) -> bool:
    contacts = [c for c in state.network.contacts if c.equipment == inlet and c.conductor == "PE"]
    return any(contact not in state.closed for contact in contacts)


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


def _links_in_words(network: Network, view: EarthView, shown: Look, sheet: Sheet) -> list[str]:
    here = {piece.id for piece in sheet.diagram.pieces}
    return [
        words.text("figures", "description.bond", piece=network.items[source].name, word=shown.word[source])
        for source in view.bonds
        if source in here or f"{source} N" in here
    ]
