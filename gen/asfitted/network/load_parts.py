"""Loads, filters and metalwork in an equivalent circuit.

Without a load on the circuits, a neutral that touches a case, a lost neutral and a broken PEN have no
current: the study would find nothing.
"""

from collections.abc import Iterable

from asfitted.description.kinds import (
    BatteryCharger,
    EarthElectrode,
    GfciReceptacle,
    InverterCharger,
    Load,
    LoadItem,
    Sockets,
)
from asfitted.network.circuit import EARTH
from asfitted.network.model import Item
from asfitted.network.parts import Parts


def add_load(parts: Parts, item: Item, node: dict[str, str], dc_v: float) -> None:
    """Add what is plugged in or fixed: all listed loads of the circuit at once, and their filters
    to the case.
    """
    spec = item.spec
    assert isinstance(spec, Load | Sockets)  # noqa: S101  (called by kind)
    port = "load." if isinstance(spec, GfciReceptacle) else ""
    line = next((n for c in ("L", "L1", "L2") if (n := node.get(f"{item.id}.{port}{c}"))), None)
    if line is None:
        plus, minus = node.get(f"{item.id}.plus"), node.get(f"{item.id}.minus")
        if plus and minus:
            current = _current_a(parts, item.id, spec.loads.values(), dc_v)
            parts.resistor(f"{item.id}#load", plus, minus, "load", dc_v / current, item.id)
        return
    second = node.get(f"{item.id}.{port}N") or node.get(f"{item.id}.L2")
    if second is None or second == line:
        return
    current = _current_a(parts, item.id, spec.loads.values(), parts.nominal_v) * parts.load_share
    parts.resistor(f"{item.id}#load", line, second, "load", parts.nominal_v / current, item.id)
    classes = {load.safety_class for load in spec.loads.values()}
    own = getattr(spec, "safety_class", "I")
    if own == "I" and (not classes or "I" in classes):
        _add_filter(parts, item.id, line, second, node.get(f"{item.id}.PE"))


def _current_a(parts: Parts, id_: str, loads: Iterable[LoadItem], volts: float) -> float:
    total = sum(load.current_a or (load.power_w or 0) / volts for load in loads)
    return total or parts.default("load current", id_)


def _add_filter(parts: Parts, id_: str, line: str, neutral: str, case: str | None) -> None:
    if case is not None:
        farad = parts.default("load filter", id_)
        parts.capacitor(f"{id_}#input filter L", line, case, farad, id_)
        parts.capacitor(f"{id_}#input filter N", neutral, case, farad, id_)


def add_charger(parts: Parts, item: Item, node: dict[str, str]) -> None:
    """Add the a.c. side of a charger as a load at full output."""
    spec = item.spec
    if isinstance(spec, InverterCharger):
        port, output_w = "ac in.", spec.charge_current_a * spec.dc_voltage_v
        efficiency = spec.charge_efficiency or 0.9
    else:
        assert isinstance(spec, BatteryCharger)  # noqa: S101  (called by kind)
        port, output_w = "", spec.rating_a * spec.voltage_v
        efficiency = spec.efficiency or 0.9
    line, neutral = node[f"{item.id}.{port}L"], node[f"{item.id}.{port}N"]
    watts = output_w / efficiency
    parts.resistor(f"{item.id}#input", line, neutral, "load", parts.nominal_v**2 / watts, item.id)
    if spec.safety_class == "I":
        _add_filter(parts, item.id, line, neutral, node.get(f"{item.id}.PE"))


def add_metalwork(parts: Parts, item: Item, node: dict[str, str], setting: str, ashore: bool) -> None:
    """Add the way from the structure, or from an electrode, to true earth; `ashore` for a boat out of the water."""
    spec = item.spec
    if isinstance(spec, EarthElectrode):
        parts.resistor(f"{item.id}#soil", node[item.id], EARTH, "electrode", spec.resistance_ohm, item.id)
        return
    if setting == "boat" and ashore:
        ohm = parts.default("hull ashore", item.id)
        parts.resistor(f"{item.id}#blocks", node[item.id], EARTH, "electrode", ohm, item.id)
    elif setting == "boat":
        parts.resistor(
            f"{item.id}#water", node[item.id], EARTH, "water", parts.default("hull", item.id), item.id
        )
    elif setting in ("road vehicle", "trailer"):
        ohm = parts.default("tyres", item.id)
        parts.resistor(f"{item.id}#tyres", node[item.id], EARTH, "electrode", ohm, item.id)
    else:
        ohm = parts.default("foundation", item.id)
        parts.resistor(f"{item.id}#foundation", node[item.id], EARTH, "electrode", ohm, item.id)
