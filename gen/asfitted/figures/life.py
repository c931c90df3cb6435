"""What is live in an operating state, and what stands where: the look of a state figure."""

from __future__ import annotations

from collections.abc import Sequence

from asfitted import words
from asfitted.description.kinds import InverterCharger
from asfitted.network.model import Bond, Item, Network
from asfitted.network.states import State
from asfitted.studies.bonding import islands

from .draw import Life, Look
from .symbols import Pose
from .view import View

_POSITIONS: dict[str, Pose] = {"source 1": "s1", "source 2": "s2", "off": "off", "in transit": "off"}


def live_terminals(network: Network, state: State) -> set[str]:
    """Return the terminals with voltage: a.c. from running sources, d.c. from batteries and chargers."""
    live = set(state.energised)
    find = state.live_potentials.find
    roots = {find(f"{item.id}.plus") for item in network.of_kind("battery", "alternator")}
    for item in network.of_kind("solar array"):
        roots.add(find(f"{item.id}.plus"))
    # A converter passes voltage on; each pass may wake another.
    converters = [
        *((f"{item.id}.in.plus", f"{item.id}.out.plus") for item in network.of_kind("DC-DC charger")),
        *(
            (f"{item.id}.array.plus", f"{item.id}.battery.plus")
            for item in network.of_kind("solar controller")
        ),
    ]
    roots |= {
        find(f"{item.id}.plus") for item in network.of_kind("battery charger") if f"{item.id}.L" in live
    }
    for _ in converters:
        roots |= {find(out) for into, out in converters if find(into) in roots}
    every = (terminal for item in network.items.values() for terminal in item.terminals)
    return live | {terminal for terminal in every if find(terminal) in roots}


def ties_in_use(state: State) -> frozenset[str]:
    """Return where the neutral of a source that feeds something is tied to earth: in sources or by cables."""
    return frozenset(tie.at for island in islands(state) for tie in island.effective)


def link_pose(bond: Bond, state: State) -> Pose:
    """Return how the link of a source is drawn: filled in use, in outline while idle, or open."""
    if bond.equipment in ties_in_use(state):
        return "closed"
    return "idle" if state.bond_closed(bond) else "open"


def look(network: Network, view: View, state: State) -> Look:
    """Return how a view looks in a state."""
    live = live_terminals(network, state)
    # A planned part is shown as it will be once it is in, with the word beside it: a dash means dead here.
    wires: dict[str, Life] = {
        wire: "live" if a in live or b in live else "dead" for wire, (a, b) in view.terminals.items()
    }
    pieces: dict[str, Life] = {piece.id: "dead" for piece in view.diagram.pieces}
    for wire in view.diagram.wires:
        if wires[wire.id] == "live":
            pieces[wire.a[0]] = pieces[wire.b[0]] = "live"
    items = [network.items[piece.id] for piece in view.diagram.pieces if piece.id in network.items]
    return Look(
        wires,
        pieces,
        {item.id: _pose(item, state) for item in items},
        {bond.equipment: link_pose(bond, state) for bond in network.bonds},
        {item.id: word for item in items if (word := _word(item, state))},
    )


def state_words(network: Network, states: Sequence[State]) -> dict[str, tuple[str, ...]]:
    """Return for each piece every word that may stand beside its name in one of the states."""
    return {
        item.id: tuple(sorted({word for state in states if (word := _word(item, state))}))
        for item in network.items.values()
    }


def _pose(item: Item, state: State) -> Pose:
    positions = dict(state.positions)
    if item.id in positions:
        if isinstance(item.spec, InverterCharger):
            return "closed" if positions[item.id] == "source 1" else "open"
        return _POSITIONS[positions[item.id]]
    contacts = [contact for contact in state.network.contacts if contact.equipment == item.id]
    if not contacts:
        return ""
    return "closed" if all(contact in state.closed for contact in contacts) else "open"


def _word(item: Item, state: State) -> str:
    """Return the word that says how a piece stands; nothing for what is closed as usual."""
    conditions, positions = dict(state.conditions), dict(state.positions)
    parts = []
    if item.id in conditions:
        parts.append(words.text("figures", f"state.condition.{conditions[item.id]}"))
    if item.id in positions and not isinstance(item.spec, InverterCharger):
        parts.append(words.text("figures", f"state.position.{positions[item.id]}"))
    elif _pose(item, state) == "open" and item.id not in positions:
        parts.append(
            words.text("figures", "state.unplugged" if item.kind == "supply inlet" else "state.open")
        )
    return ", ".join(parts)


def states_in_words(network: Network, view: View, state: State, here: set[str]) -> list[str]:
    """Return what a state figure shows, in lines of words, for the pieces of one sheet."""
    shown = look(network, view, state)
    names = {piece.id: piece.name for piece in view.diagram.pieces if piece.id in here & network.items.keys()}
    lines = [
        words.text("figures", "description.stands", piece=name, word=shown.word[piece])
        for piece, name in names.items()
        if piece in shown.word
    ]
    lines += [
        words.text(
            "figures", "description.bond", piece=names[source], word=words.text("figures", f"link.{pose}")
        )
        for source, pose in shown.link.items()
        if source in names
    ]
    for life in ("live", "dead"):
        those = [name for piece, name in names.items() if shown.pieces[piece] == life]
        listed = ", ".join(those) or words.text("figures", "description.nothing")
        lines.append(words.text("figures", f"description.{life}", names=listed))
    return lines
