"""What things are called on a page and in a figure: equipment, cables, ratings."""

from asfitted import words
from asfitted.description.kinds import (
    AcSupply,
    Battery,
    Breaker,
    EarthElectrode,
    Equipment,
    Fuse,
    GfciBreaker,
    Inline,
    Inverter,
    Load,
    Rcbo,
    Rcd,
    Sockets,
)
from asfitted.network.model import Cable, Item, Network
from asfitted.numbers import NBSP, figures, quantity


def kind_word(item: Item) -> str:
    """Return what a piece of equipment is, in a word or two."""
    return words.text("labels", f"kinds.{item.kind}")


def rating(spec: Equipment) -> str:
    """Return the rating of a piece of equipment as it is marked: `C16 30 mA type A 2P 6 kA`."""
    parts: list[str] = []
    if isinstance(spec, Breaker):
        parts.append(f"{spec.curve or ''}{figures(spec.rating_a)}" + ("" if spec.curve else f"{NBSP}A"))
    elif isinstance(spec, Fuse):
        parts += [words.text("labels", f"fuses.{spec.type}"), quantity(spec.rating_a, "A")]
    elif isinstance(spec, Battery):
        parts += [spec.chemistry, quantity(spec.voltage_v, "V"), quantity(spec.capacity_ah, "Ah", 4)]
    elif isinstance(spec, AcSupply):
        parts += [
            quantity(spec.voltage_v, "V"),
            quantity(spec.frequency_hz, "Hz"),
            quantity(spec.rating_a, "A"),
            spec.earthing,
        ]
    elif isinstance(spec, Inverter):
        parts += [quantity(spec.dc_voltage_v, "V"), quantity(spec.power_w, "W")]
    elif isinstance(spec, Sockets):
        parts.append(f"{figures(spec.count)}{NBSP}×{NBSP}{quantity(spec.rating_a, 'A')}")
    elif isinstance(spec, EarthElectrode):
        parts.append(quantity(spec.resistance_ohm, "ohm"))
    elif isinstance(spec, Load):
        parts.append(quantity(sum(load.power_w or 0 for load in spec.loads.values()) or None, "W"))
    else:
        for name, unit in (("voltage_v", "V"), ("power_w", "W"), ("array_voltage_v", "V"), ("rating_a", "A")):
            value = getattr(spec, name, None)
            if value is not None:
                parts.append(quantity(value, unit, 4))
    if isinstance(spec, Rcbo | Rcd):
        parts.append(
            f"{quantity(spec.residual_a, 'A')} {words.text('labels', 'type')}{NBSP}{spec.residual_type}"
        )
    if isinstance(spec, GfciBreaker):
        parts.append(words.text("labels", "class A"))
    poles = getattr(spec, "poles", None)
    if poles and not (isinstance(spec, Inline) and spec.contacts in (("plus",), ("minus",))):
        parts.append(poles)
    if getattr(spec, "breaking_capacity_a", None):
        parts.append(quantity(spec.breaking_capacity_a, "A"))  # type: ignore[attr-defined]
    if getattr(spec, "dc_voltage_v", None) and isinstance(spec, Inline):
        parts.append(f"{quantity(spec.dc_voltage_v, 'V')}{NBSP}{words.text('labels', 'dc')}")  # type: ignore[attr-defined]
    return " ".join(part for part in parts if part)


def cable_size(cable: Cable) -> str:
    """Return the cores of a cable as bought: `3G2.5`, `2 × 50 mm²`, `2 × 10 AWG + PE`.

    A thinner protective core is said apart: `2 × 35 mm² + PE 16 mm²`.
    """
    if cable.size is None:
        return words.text("labels", "auto")
    count = len(cable.cores)
    earth = next((core.size for core in cable.cores if core.conductor == "PE" and core.size), None)
    if count > 1 and earth == cable.size and not cable.size.awg:
        return f"{count}G{figures(cable.size.mm2)}"
    live = count - 1 if earth and count > 1 else count
    text = cable.size.designation if live == 1 else f"{live}{NBSP}×{NBSP}{cable.size.designation}"
    if live == count:
        return text
    return f"{text} + PE" if earth == cable.size else f"{text} + PE {earth.designation}"  # type: ignore[union-attr]


def ends(network: Network, cable: Cable) -> tuple[str, str]:
    """Return the ids of the equipment at both ends of a cable, that of its first live core."""
    core = cable.cores[0]
    return network.owner[core.a], network.owner[core.b]


def where(item: Item) -> str:
    """Return where a piece of equipment is: its place, else the board it sits in."""
    return item.spec.place or item.board or ""


def found_at(network: Network, item: Item) -> str:
    """Return where to look for a piece of equipment: its place, or its board with the place of that; if neither is
    said, the two things that its cables lead to.
    """
    if item.spec.place:
        return item.spec.place
    if item.board:
        board = network.description.boards.get(item.board)
        return ", ".join(part for part in (item.board, board.place if board else None) if part)
    beside = neighbours(network, item.id)
    if len(beside) < 2:
        return ""
    names = [network.items[id_].name for id_ in beside]
    return words.text("labels", "between", first=names[0], last=names[1])


def neighbours(network: Network, id_: str) -> list[str]:
    """Return what the cables of a piece of equipment lead to, and what it is bolted to."""
    both = [ends(network, cable) for cable in network.cables.values() if id_ in ends(network, cable)]
    both += [
        (network.owner[join.a], network.owner[join.b]) for join in network.joins if join.reason == "bolted"
    ]
    return list(dict.fromkeys(end for pair in both if id_ in pair for end in pair if end != id_))
