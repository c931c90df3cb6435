"""A.c. scenarios: the loads, chargers and transformers that each source of a.c. reaches in a state."""

from collections.abc import Iterator

from asfitted.description.kinds import (
    AcSupply,
    BatteryCharger,
    Generator,
    Inverter,
    InverterCharger,
    IsolatingTransformer,
    Load,
    Sockets,
)
from asfitted.network.build import input_terminals, output_lines, output_terminals
from asfitted.network.flow import Injection
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.demand_dc import charging_voltage_v
from asfitted.studies.feeding import overcurrent_device, tree
from asfitted.studies.loads import ac_load, charger_input
from asfitted.studies.results import Input, Working
from asfitted.studies.scenario import Demand, Scenario

ASSUMED_AC_VOLTAGE_V = 230.0


def ac_voltage_v(network: Network, source: str) -> float:
    """Return the nominal voltage of an a.c. source; what an inverter is not said to give is that of the
    supply.
    """
    spec = network.items[source].spec
    if isinstance(spec, AcSupply | Generator):
        return float(spec.voltage_v)
    if isinstance(spec, Inverter) and spec.ac_voltage_v:
        return float(spec.ac_voltage_v)
    supplies = [item.spec for item in network.items.values() if isinstance(item.spec, AcSupply)]
    return float(supplies[0].voltage_v) if supplies else ASSUMED_AC_VOLTAGE_V


def ac_limit_a(network: Network, source: str) -> float:
    """Return the current that an a.c. source can deliver for long."""
    spec = network.items[source].spec
    if isinstance(spec, AcSupply):
        return min(float(spec.rating_a), spec.upstream.rating_a)
    if isinstance(spec, Generator) and spec.rating_a:
        return float(spec.rating_a)
    power_w = getattr(spec, "power_w", None)
    return power_w / ac_voltage_v(network, source) if power_w else float("inf")


def ac_scenarios(found: Demand, state: State) -> Iterator[Scenario]:
    """Yield every energised supply, generator, inverter and isolating transformer with the consumers it
    reaches.
    """
    network = state.network
    #: transformers last named feed first: their load is a load of the source behind them
    through: dict[str, complex] = {}
    for source in sorted(state.sources, key=lambda s: network.items[s].kind != "isolating transformer"):
        ends = output_terminals(network.items[source])
        if ends is None:
            continue
        voltage = ac_voltage_v(network, source)
        if len(output_lines(network.items[source])) > 1:
            yield from _split_phase(found, state, source, ends[1])
            continue
        injections = [
            Injection(id_, *terminals, current)
            for id_ in state.feeding[source]
            if (terminals := input_terminals(network.items[id_]))
            and (current := _ac_current(found, state, network.items[id_], voltage, source))
        ]
        for transformer, current in through.items():
            primary = (f"{transformer}.primary.L", f"{transformer}.primary.N")
            if transformer != source and state.reaches(source, primary[0]):
                injections.append(Injection(transformer, *primary, current))
        if isinstance(network.items[source].spec, IsolatingTransformer):
            through[source] = sum((i.current_a for i in injections), 0j)
        limit = ac_limit_a(network, source)
        yield Scenario(state, source, "supply", ends, voltage, limit, tuple(injections))


def _split_phase(found: Demand, state: State, source: str, neutral: str) -> Iterator[Scenario]:
    """Yield each line of a split-phase supply with its own consumers, and both with those between the lines.

    What lies between the lines loads each of them too; in the neutral each line is taken alone: together they
    only relieve it.
    """
    network, voltage = state.network, ac_voltage_v(state.network, source)
    limit, same = ac_limit_a(network, source), state.live_potentials.same
    first, second = output_lines(network.items[source])
    alone: dict[str, list[Injection]] = {first: [], second: []}
    between: list[Injection] = []
    for id_ in state.feeding[source]:
        ends = input_terminals(network.items[id_])
        if ends is None:
            continue
        two_lines = ends[1].endswith(".L2")
        current = _ac_current(found, state, network.items[id_], (2 if two_lines else 1) * voltage, source)
        if current and two_lines:
            between.append(Injection(id_, *ends, current))
            alone[first].append(Injection(id_, *ends, current))
            alone[second].append(Injection(id_, ends[1], ends[0], current))
        elif current:
            alone[first if same(first, ends[0]) else second].append(Injection(id_, *ends, current))
    for line, injections in alone.items():
        yield Scenario(state, source, "supply", (line, neutral), voltage, limit, tuple(injections))
    yield Scenario(state, source, "supply", (first, second), 2 * voltage, limit, tuple(between))


def _ac_current(found: Demand, state: State, item: Item, voltage_v: float, source: str) -> complex:
    spec = item.spec
    if isinstance(spec, Load | Sockets):
        if isinstance(spec, Sockets) and not spec.loads:
            return _socket_current(found, state, item, spec, source)
        draws = [
            found.take(item.id, ac_load(f"{item.id}.{name}", load, voltage_v))
            for name, load in spec.loads.items()
        ]
        return sum(draws, 0j)
    if isinstance(spec, BatteryCharger):
        output_v = charging_voltage_v(found, state, item, spec.voltage_v)
        draw = charger_input(item.id, spec.rating_a, output_v, spec.efficiency, spec.power_factor, voltage_v)
        return found.take(item.id, draw)
    if isinstance(spec, InverterCharger):
        output_v = charging_voltage_v(found, state, item, spec.dc_voltage_v)
        draw = charger_input(
            item.id, spec.charge_current_a, output_v, spec.charge_efficiency, spec.power_factor, voltage_v
        )
        return found.take(item.id, draw)
    return 0j


def _socket_current(found: Demand, state: State, item: Item, spec: Sockets, source: str) -> complex:
    """Sockets without listed loads may be used up to their rating, or that of a device before them."""
    own = input_terminals(item)
    ends = state.ends(source, own[0]) if own else None
    ratings = [spec.rating_a]
    if ends and own:
        way = tree(state, ends[0]).way(own[0])
        ratings += [device.rating_a for e in way if (device := overcurrent_device(state.network, e))]
    current = min(ratings)
    inputs = (Input("I_n", current, "A", "rating"),)
    working = Working(item.id, "load_current", "I_b", "I_n", inputs, current, "A", "", verified="assumed")
    found.workings.setdefault(working.id, working)
    found.assume("socket-load", item.id, value=current)
    return complex(current)
