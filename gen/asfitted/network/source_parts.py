"""Inverters, generators, transformers and batteries in an equivalent circuit.

A source that stands still keeps its bond, its filter and its earth terminal: only its output is open.
"""

from typing import Literal

from asfitted.description.kinds import Battery, Generator, Inverter, InverterCharger, IsolatingTransformer
from asfitted.network.circuit import EARTH, Branch
from asfitted.network.model import Item
from asfitted.network.parts import LimitRow, Parts, Source, Then
from asfitted.tables.batteries import battery_voltage

#: an inverter loaded a little above its rating stops within this time (common practice)
OVERLOAD_S = 60.0


def add_inverter(parts: Parts, item: Item, node: dict[str, str]) -> None:
    """Add an inverter, or the inverter in an inverter charger: output, filter, and its draw from
    the battery.
    """
    spec = item.spec
    assert isinstance(spec, Inverter)  # noqa: S101  (called by kind)
    port = "ac out." if isinstance(spec, InverterCharger) else ""
    line, neutral = node[f"{item.id}.{port}L"], node[f"{item.id}.{port}N"]
    case = node.get(f"{item.id}.{port}PE") or node.get(f"{item.id}.PE")
    volts = spec.ac_voltage_v or parts.nominal_v
    base = volts**2 / spec.power_w
    r = parts.default("inverter resistance", item.id) * base
    x = parts.default("inverter reactance", item.id) * base
    dc = node[f"{item.id}.plus"], node[f"{item.id}.minus"]
    if spec.isolation == "isolated":
        names: tuple[str, ...] = (f"{item.id}#output",)
        parts.add(
            Branch(names[0], neutral, line, "source", r_ohm=r, x_ohm=x, emf_v=volts, of=item.id,
                   source=item.id)
        )  # fmt: skip
    else:
        # two legs about the middle of the d.c. link, which stands half its voltage above battery minus
        middle, link = f"{item.id}#middle", parts.default("dc link", item.id) * volts / 230
        names = (f"{item.id}#leg L", f"{item.id}#leg N")
        for name, end, sign in zip(names, (line, neutral), (1, -1), strict=True):
            parts.add(
                Branch(name, middle, end, "source", r_ohm=r / 2, x_ohm=x / 2, emf_v=sign * volts / 2,
                       of=item.id, source=item.id)
            )  # fmt: skip
        parts.add(
            Branch(f"{item.id}#link", dc[1], middle, "source", r_ohm=0.1, emf_dc_v=link, of=item.id,
                   source=item.id)
        )  # fmt: skip
    limit = _inverter_limit(parts, item.id, spec, spec.power_w / volts, volts)
    parts.sources.append(
        Source(item.id, names, "limited", *limit, dc_input=dc, dc_voltage_v=spec.dc_voltage_v)
    )
    if case is not None and spec.safety_class == "I":
        for conductor, end in (("L", line), ("N", neutral)):
            filter_f = parts.default("inverter filter", item.id)
            parts.capacitor(f"{item.id}#filter {conductor}", end, case, filter_f, item.id)
    draw_w = 0.5 * spec.power_w
    parts.resistor(f"{item.id}#draw", *dc, "load", spec.dc_voltage_v**2 / draw_w, item.id)


Limit = tuple[float, tuple[LimitRow, ...], Then]


def _inverter_limit(parts: Parts, id_: str, spec: Inverter, rated: float, volts: float) -> Limit:
    """Return the current that an inverter limits itself to, its stopping times, and what it does then."""
    limit = spec.output_limit
    if limit is None:
        current = parts.default("inverter limit", id_) * rated
        slow = parts.default("inverter limit time", id_)
        then: Then = "restarts"
    else:
        current, slow, then = limit.current_a, limit.duration_s, limit.then
    if then == "folds back":
        return current, (), then
    rows = [LimitRow(1.03 * rated, OVERLOAD_S, 1.0)]
    if spec.surge is not None:
        rows.append(LimitRow(1.03 * spec.surge.power_w / volts, spec.surge.duration_s, 0.1))
    rows.append(LimitRow(0.99 * current, slow, min(slow, 0.02)))
    return current, tuple(rows), then


def add_generator(parts: Parts, item: Item, node: dict[str, str]) -> None:
    """Add a rotating set: its winding limits the current, then the excitation collapses."""
    spec = item.spec
    assert isinstance(spec, Generator)  # noqa: S101  (called by kind)
    line = node.get(f"{item.id}.L") or node[f"{item.id}.L1"]
    rated = spec.rating_a or spec.power_w / spec.voltage_v
    base = spec.voltage_v / rated
    name = f"{item.id}#output"
    parts.add(
        Branch(name, node[f"{item.id}.N"], line, "source", emf_v=spec.voltage_v, of=item.id, source=item.id,
               r_ohm=parts.default("generator resistance", item.id) * base,
               x_ohm=parts.default("generator reactance", item.id) * base)
    )  # fmt: skip
    if spec.output_limit is None:
        limit = parts.default("generator limit", item.id) * rated
        slow = parts.default("generator limit time", item.id)
        then: Then = "latched off"
    else:
        limit, slow, then = spec.output_limit.current_a, spec.output_limit.duration_s, spec.output_limit.then
    rows = () if then == "folds back" else (LimitRow(0.99 * limit, slow, min(slow, 0.1)),)
    parts.sources.append(Source(item.id, (name,), "limited", limit, rows, then))
    frame = node.get(f"{item.id}.PE")
    if frame is not None:
        parts.resistor(
            f"{item.id}#frame", frame, EARTH, "electrode", parts.default("generator frame", item.id), item.id
        )


def add_transformer(parts: Parts, item: Item, node: dict[str, str]) -> None:
    """Add an isolating transformer: it passes power on and no current to earth."""
    spec = item.spec
    assert isinstance(spec, IsolatingTransformer)  # noqa: S101  (called by kind)
    p, s = f"{item.id}.primary", f"{item.id}.secondary"
    base = parts.nominal_v**2 / spec.power_w
    parts.add(
        Branch(f"{item.id}#winding", node[f"{s}.N"], node[f"{s}.L"], "winding", of=item.id,
               r_ohm=parts.default("transformer resistance", item.id) * base,
               x_ohm=parts.default("transformer reactance", item.id) * base,
               primary=(node[f"{p}.N"], node[f"{p}.L"]))
    )  # fmt: skip
    magnetising = base / parts.default("magnetising", item.id)
    parts.resistor(f"{item.id}#magnetising", node[f"{p}.L"], node[f"{p}.N"], "load", magnetising, item.id)
    between = parts.default("winding capacitance", item.id)
    for conductor in ("L", "N"):
        ends = node[f"{p}.{conductor}"], node[f"{s}.{conductor}"]
        parts.capacitor(f"{item.id}#between {conductor}", *ends, between, item.id)


def add_battery(parts: Parts, item: Item, node: dict[str, str]) -> None:
    """Add a battery: empty, aged and cold for the least current; full, new and warm for the greatest."""
    spec = item.spec
    assert isinstance(spec, Battery)  # noqa: S101  (called by kind)
    least = parts.bound == "least"
    given = spec.internal_resistance
    if given is not None:
        ohm = given.aged_cold_ohm if least else given.new_warm_ohm
    else:
        ohm = parts.default("battery resistance", item.id) * spec.voltage_v / spec.capacity_ah
    described = spec.lowest_voltage_v if least else spec.highest_voltage_v
    end: Literal["lowest", "highest"] = "lowest" if least else "highest"
    volts = described or battery_voltage(spec.chemistry, spec.voltage_v, end).value
    ends = node[f"{item.id}.minus"], node[f"{item.id}.plus"]
    parts.add(Branch(f"{item.id}#cells", *ends, "source", r_ohm=max(ohm, 1e-4), emf_dc_v=volts, of=item.id))
