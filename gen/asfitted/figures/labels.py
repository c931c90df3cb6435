"""The few lines of text beside a symbol: ratings as marked on the equipment, cables as bought."""

from __future__ import annotations

from asfitted import words
from asfitted.description.kinds import AcSupply, Equipment, Fuse, Isolator, Load, NeutralBond
from asfitted.network.labels import cable_size
from asfitted.network.model import Cable, Core, Item, Network
from asfitted.numbers import NBSP, figures, quantity

_UNITS = {"_a": "A", "_v": "V", "_w": "W", "_ah": "Ah", "_hz": "Hz", "_ohm": "ohm"}
_FOOT_M = 0.3048


def _fields(spec: Equipment) -> dict[str, str]:
    """Return every marked value of a piece of equipment as text; an empty text for what is not given."""
    found: dict[str, str] = {}
    for name in type(spec).model_fields:
        value = getattr(spec, name)
        suffix = next((s for s in _UNITS if name.endswith(s)), "")
        if isinstance(value, float | int) and not isinstance(value, bool):
            found[name.removesuffix(suffix)] = quantity(value, _UNITS[suffix]) if suffix else figures(value)
        else:
            found[name.removesuffix(suffix)] = value if isinstance(value, str) else ""
    curve = found.get("curve", "")
    rating = found.get("rating", "")
    found["rated"] = f"{curve}{rating.removesuffix(f'{NBSP}A')}" if curve else rating
    found["normally"] = words.text("figures", "normally open") if found.get("normally") == "open" else ""
    if isinstance(spec, Fuse):
        found["type"] = words.text("figures", f"fuse.{spec.type}")
    if isinstance(spec, Load):
        power_w = sum(load.power_w or 0.0 for load in spec.loads.values())
        found["power"] = quantity(power_w, "W") if power_w else ""
    if isinstance(spec, AcSupply) and spec.split_phase:
        found["voltage"] = f"{figures(spec.voltage_v)}/{quantity(2 * spec.voltage_v, 'V')}"
    return found


def piece_lines(network: Network, item: Item) -> tuple[str, ...]:
    """Return the lines under the name of a piece of equipment."""
    text = words.text("figures", f"lines.{item.kind}", **_fields(item.spec))
    lines = [" ".join(line.split()) for line in text.splitlines()]
    lines.append(bond_line(network, item))
    if item.planned:
        lines.append(words.text("figures", "planned"))
    return tuple(line for line in lines if line)


def is_normally_open(item: Item) -> bool:
    """Tell whether a piece of equipment stands open in normal service."""
    return isinstance(item.spec, Isolator) and item.spec.normally == "open"


def bond_line(network: Network, item: Item) -> str:
    """Return where a source ties its neutral to earth: the place where the link truly lands."""
    bond = getattr(item.spec, "neutral_bond", None)
    if isinstance(item.spec, AcSupply):
        return words.text("figures", f"bond.supply.{item.spec.earthing}")
    if not isinstance(bond, NeutralBond):
        return ""
    where = bond.lands_on
    if where == "own earth terminal":
        where = words.text("figures", "bond.own terminals")
    else:
        where = network.items[where.split(".")[0]].name if where.split(".")[0] in network.items else where
    return words.text("figures", f"bond.{bond.kind}", where=where)


def cable_lines(network: Network, cable: Cable) -> tuple[str, ...]:
    """Return the designation and size, and the length, of a cable."""
    lines = [f"{cable.id} {cable_size(cable)}", length(network, cable.length_m)]
    if cable.planned:
        lines.append(words.text("figures", "planned"))
    return tuple(lines)


def earth_core_lines(network: Network, cable: Cable, core: Core) -> tuple[str, ...]:
    """Return the designation, the size of the core that earths, and the length."""
    size = core_size(core)
    kind = words.text("figures", "cable.earth core", cable=cable.id, size=size)
    alone = f"{cable.id} {size}"
    lines = [kind if len(cable.cores) > 1 else alone, length(network, cable.length_m)]
    if cable.planned:
        lines.append(words.text("figures", "planned"))
    return tuple(lines)


def core_size(core: Core) -> str:
    """Return the size of one core."""
    return core.size.designation if core.size else words.text("labels", "auto")


def length(network: Network, metres: float) -> str:
    """Return a length in the reader's unit."""
    if network.description.build.units == "US":
        return quantity(metres / _FOOT_M, "ft")
    return quantity(metres, "m")
