"""The battery minus of converters: broken, so that the current looks for another way back, or joined to the case.

Where minus and case are joined inside, the conductor of the case lies beside that of the minus: it carries part of
the current in service, and all of it when the minus is open.
"""

from collections.abc import Iterator

from asfitted.description.kinds import BatteryCharger, Inverter
from asfitted.network.equivalent import Equivalent, cases_of
from asfitted.network.model import Item
from asfitted.network.potentials import Potentials
from asfitted.studies.faults.fault import Fault
from asfitted.tables.circuit_defaults import circuit_default


def minus_faults(equivalent: Equivalent) -> Iterator[Fault]:
    """Yield each minus conductor broken whose loss parts a converter with a case from its battery, and the minus of
    each converter joined to its case.

    If nobody says that minus and case are apart, a broken minus finds its way through the case.
    """
    network = equivalent.network
    minus = [core for core in network.cores.values() if core.conductor == "minus"]
    always = [(c.a, c.b) for c in network.contacts if c.conductor == "minus"]
    always += [(join.a, join.b) for join in network.joins]
    ohm = circuit_default("bond", equivalent.bound).value
    for item in network.items.values():
        if not isinstance(item.spec, Inverter | BatteryCharger):
            continue
        port = _port(equivalent, item)
        battery = _battery(equivalent, item)
        if port is None or battery is None:
            continue
        draw = _full_draw(equivalent, item, battery)
        yield Fault("minus to case", f"{item.id}.minus", (item.id,), port, ohm, direct=True, also=draw)
        inside = port if item.spec.minus_to_case is None else None
        for core in minus:
            rest = Potentials([*always, *((c.a, c.b) for c in minus if c is not core)])
            if not rest.same(f"{item.id}.minus", f"{battery}.minus"):
                yield Fault(
                    "minus broken", core.id, (item.id, core.cable), inside, ohm, frozenset({core.id}),
                    direct=True, also=draw,
                )  # fmt: skip


def _port(equivalent: Equivalent, item: Item) -> tuple[str, str] | None:
    """Return the nodes of minus and case; None where one is missing or both are one."""
    node = equivalent.node_of
    case = next(iter(cases_of(item, node)), None)
    ends = node.get(f"{item.id}.minus"), node.get(case or "")
    known = equivalent.circuit.node_index
    if ends[0] not in known or ends[1] not in known or ends[0] == ends[1]:
        return None
    return (str(ends[0]), str(ends[1]))


def _battery(equivalent: Equivalent, item: Item) -> str | None:
    network = equivalent.network
    for battery in network.of_kind("battery", "dc supply"):
        if network.plus_closed.same(f"{battery.id}.plus", f"{item.id}.plus"):
            return battery.id
    return None


def _full_draw(equivalent: Equivalent, item: Item, battery: str) -> tuple[tuple[tuple[str, str], float], ...]:
    """Return what an inverter draws at its rated power beside what the circuit has it draw, which is half as much.

    Its power is constant: at the voltage that the battery has at this bound.
    """
    spec, node, circuit = item.spec, equivalent.node_of, equivalent.circuit
    if not isinstance(spec, Inverter):
        return ()
    volts = abs(circuit.branches[circuit.index[f"{battery}#cells"]].emf_dc_v)
    there = circuit.branches[circuit.index[f"{item.id}#draw"]].r_ohm
    full_ohm = volts**2 * (spec.efficiency or 1.0) / spec.power_w
    ends = node[f"{item.id}.plus"], node[f"{item.id}.minus"]
    return ((ends, 1 / (1 / full_ohm - 1 / there)),) if full_ohm < there else ()
