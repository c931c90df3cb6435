"""What charges batteries, as sources of fault current: limited, and giving in one direction only.

A rectifier, a diode or a converter stands in each of them, so that no battery drives current back into it. What it
gives into a fault is little more than its rating, and no fuse that is sized for that rating opens on it.
"""

from collections.abc import Mapping

from asfitted.description.kinds import (
    Alternator,
    Battery,
    BatteryCharger,
    DcDcCharger,
    DcSupply,
    InverterCharger,
    SolarArray,
    SolarController,
)
from asfitted.network.circuit import Branch
from asfitted.network.model import Item
from asfitted.network.parts import Parts, Source
from asfitted.tables.batteries import battery_voltage
from asfitted.tables.solar import cold_voltage_factor

Node = Mapping[str, str]


def charge_port(item: Item) -> str | None:
    """Return the port, with its point, at which a converter charges a battery; None if it is none."""
    if isinstance(item.spec, BatteryCharger | InverterCharger):
        return ""
    if isinstance(item.spec, DcDcCharger):
        return "out."
    return "battery." if isinstance(item.spec, SolarController) else None


def add_direct_source(parts: Parts, item: Item, node: Node, battery: Battery | None, lowest_c: float) -> None:
    """Add what gives direct current from a piece of equipment other than a battery; nothing if it gives none.

    `battery` is the one that a charger charges: it sets the voltage. `lowest_c` is the temperature at which a
    solar array has its highest voltage.
    """
    spec = item.spec
    port = charge_port(item)
    if isinstance(spec, Alternator):
        _one_way(parts, item, node, "", spec.voltage_v, spec.rating_a, "alternator")
    elif port is not None and battery is not None:
        assert isinstance(spec, BatteryCharger | InverterCharger | DcDcCharger | SolarController)  # noqa: S101
        rated = spec.charge_current_a if isinstance(spec, InverterCharger) else spec.rating_a
        _one_way(parts, item, node, port, highest_v(battery), rated, "charger")
    elif isinstance(spec, SolarArray):
        least = parts.bound == "least"
        volts = spec.open_circuit_voltage_v * (1.0 if least else cold_voltage_factor(lowest_c).value)
        _one_way(parts, item, node, "", volts, spec.short_circuit_current_a, "array")
    elif isinstance(spec, DcSupply):
        _from_outside(parts, item, node, spec)


def highest_v(battery: Battery) -> float:
    """Return the voltage up to which a battery is charged, as described or by its chemistry."""
    given = battery.highest_voltage_v
    return given or battery_voltage(battery.chemistry, battery.voltage_v, "highest").value


def _one_way(
    parts: Parts, item: Item, node: Node, port: str, volts: float, rated_a: float, family: str
) -> None:
    plus = node[f"{item.id}.{port}plus"]
    minus = node.get(f"{item.id}.{port}minus") or node.get(f"{item.id}.minus") or parts.body
    if minus is None or minus == plus:
        return
    name = f"{item.id}#charge"
    limit = parts.default(f"{family} limit", item.id) * rated_a
    ohm = parts.default("charging resistance", item.id) * volts / rated_a
    parts.add(
        Branch(name, minus, plus, "source", r_ohm=ohm, emf_dc_v=volts, of=item.id, source=f"{item.id} charge")
    )
    starves = family == "alternator"
    parts.direct_sources.append(
        Source(
            item.id, (name,), "one way", limit,
            starves_below_v=parts.default("field voltage", item.id) * volts if starves else 0.0,
            starves_s=parts.default("field time", item.id) if starves else 0.0,
        )
    )  # fmt: skip


def _from_outside(parts: Parts, item: Item, node: Node, spec: DcSupply) -> None:
    """Add the battery that stands behind a supply from outside: it limits nothing but by its resistance."""
    volts = parts.default("charging voltage", item.id) * spec.voltage_v
    given = spec.fault_current_max_a if parts.bound == "greatest" else None
    current = float(given) if given else parts.default("outside current", item.id)
    name = f"{item.id}#cells"
    ends = node[f"{item.id}.minus"], node[f"{item.id}.plus"]
    parts.add(Branch(name, *ends, "source", r_ohm=volts / current, emf_dc_v=volts, of=item.id))
