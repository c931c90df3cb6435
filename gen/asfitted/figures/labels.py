"""The few lines of text beside a symbol: ratings as marked on the equipment, cables as bought."""

from __future__ import annotations

import math

from asfitted import words
from asfitted.description.kinds import AcSupply, Equipment, Fuse, Isolator, Load, NeutralBond
from asfitted.network.model import Cable, Core, Item, Network

_UNITS = {"_a": "A", "_v": "V", "_w": "W", "_ah": "Ah", "_hz": "Hz", "_ohm": "Ω"}
_PREFIXED = {
    "A": ((1e3, "kA"), (1.0, "A"), (1e-3, "mA")),
    "W": ((1e3, "kW"), (1.0, "W")),
    "Ω": ((1.0, "Ω"), (1e-3, "mΩ")),
}
_FOOT_M = 0.3048


def amount(value: float, unit: str) -> str:
    """Return a quantity as marked on equipment: `30 mA`, `1.6 kW`, `25.6 V`."""
    for factor, prefixed in _PREFIXED.get(unit, ()):
        if value >= factor * 0.9999:
            return f"{_digits(value / factor)} {prefixed}"
    return f"{_digits(value)} {unit}"


def _digits(value: float) -> str:
    """Three significant figures without exponent or superfluous zeros."""
    decimals = 0 if value == 0 else max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _fields(spec: Equipment) -> dict[str, str]:
    """Return every marked value of a piece of equipment as text; an empty text for what is not given."""
    found: dict[str, str] = {}
    for name in type(spec).model_fields:
        value = getattr(spec, name)
        suffix = next((s for s in _UNITS if name.endswith(s)), "")
        if isinstance(value, float | int) and not isinstance(value, bool):
            found[name.removesuffix(suffix)] = amount(value, _UNITS[suffix]) if suffix else _digits(value)
        else:
            found[name.removesuffix(suffix)] = value if isinstance(value, str) else ""
    curve = found.get("curve", "")
    found["rated"] = f"{curve}{found['rating'].removesuffix(' A')}" if curve else found.get("rating", "")
    found["normally"] = words.text("figures", "normally open") if found.get("normally") == "open" else ""
    if isinstance(spec, Fuse):
        found["type"] = words.text("figures", f"fuse.{spec.type}")
    if isinstance(spec, Load):
        power_w = sum(load.power_w or 0.0 for load in spec.loads.values())
        found["power"] = amount(power_w, "W") if power_w else ""
    if isinstance(spec, AcSupply) and spec.split_phase:
        found["voltage"] = f"{_digits(spec.voltage_v)}/{amount(2 * spec.voltage_v, 'V')}"
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
    size = core.size.designation if core.size else words.text("figures", "cable.auto")
    kind = words.text("figures", "cable.earth core", cable=cable.id, size=size)
    alone = f"{cable.id} {size}"
    lines = [kind if len(cable.cores) > 1 else alone, length(network, cable.length_m)]
    if cable.planned:
        lines.append(words.text("figures", "planned"))
    return tuple(lines)


def cable_size(cable: Cable) -> str:
    """Return the cores as bought: `3G2.5`, `2 × 50 mm²`, `10 AWG`."""
    if cable.size is None:
        return words.text("figures", "cable.auto")
    count = len(cable.cores)
    earthed = any(core.conductor == "PE" for core in cable.cores)
    if count == 1:
        return cable.size.designation
    if cable.size.awg:
        return words.text("figures", "cable.awg", count=count - earthed, size=cable.size.designation)
    key = "cable.earthed" if earthed else "cable.cores"
    return words.text("figures", key, count=count, area=_digits(cable.size.mm2), size=cable.size.designation)


def length(network: Network, metres: float) -> str:
    """Return a length in the reader's unit."""
    if network.description.build.units == "US":
        return f"{_digits(metres / _FOOT_M)} ft"
    return f"{_digits(metres)} m"
