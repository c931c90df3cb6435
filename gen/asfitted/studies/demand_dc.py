"""D.c. scenarios: what each battery gives and takes in a state, and what a solar array delivers."""

from collections.abc import Iterator
from typing import Literal

from asfitted.description.kinds import (
    Alternator,
    Battery,
    BatteryCharger,
    DcDcCharger,
    DcSupply,
    Inverter,
    InverterCharger,
    Load,
    SolarController,
)
from asfitted.network.flow import Injection
from asfitted.network.model import Item
from asfitted.network.states import State
from asfitted.studies.loads import dc_load, inverter_input
from asfitted.studies.scenario import Demand, Scenario
from asfitted.tables.batteries import battery_voltage

#: share of the nominal voltage at which a charger delivers where no battery says more
CHARGE_OVER_NOMINAL = 1.2
#: a solar array may deliver more than under standard conditions (IEC 60364-7-712, from memory)
SOLAR_FACTOR = 1.25


def lowest_voltage_v(found: Demand, battery: Item) -> float:
    """Return the voltage of an empty battery, as described or by its chemistry."""
    return _voltage_v(found, battery, "lowest")


def highest_voltage_v(found: Demand, battery: Item) -> float:
    """Return the voltage of a battery on charge, as described or by its chemistry."""
    return _voltage_v(found, battery, "highest")


def _voltage_v(found: Demand, battery: Item, bound: Literal["lowest", "highest"]) -> float:
    spec = battery.spec
    assert isinstance(spec, Battery)  # noqa: S101  (called for batteries only)
    given = spec.lowest_voltage_v if bound == "lowest" else spec.highest_voltage_v
    if given:
        return float(given)
    looked = battery_voltage(spec.chemistry, spec.voltage_v, bound)
    found.assume(f"battery-{bound}-voltage", battery.id, looked.source, value=round(looked.value, 2))
    return looked.value


def dc_scenarios(found: Demand, state: State) -> Iterator[Scenario]:
    """Yield each battery twice: discharging into all loads and inverters, and on charge from all chargers
    without a load.

    Each solar array follows, with the controller that it feeds.
    """
    network = state.network
    for battery in network.of_kind("battery"):
        spec = battery.spec
        assert isinstance(spec, Battery)  # noqa: S101  (asked for by kind)
        ends = (f"{battery.id}.plus", f"{battery.id}.minus")
        low, high = lowest_voltage_v(found, battery), highest_voltage_v(found, battery)
        joined = [i for i in network.items.values() if i.id != battery.id]
        drawn = [x for item in joined for x in _draws(found, state, item, ends, low)]
        fed = [x for item in joined for x in _feeds(state, item, ends)]
        limit = spec.discharge_limit_a or float("inf")
        yield Scenario(state, battery.id, "discharge", ends, low, limit, tuple(drawn))
        yield Scenario(
            state, battery.id, "charge", ends, high, spec.charge_limit_a or float("inf"), tuple(fed)
        )
    for array in network.of_kind("solar array"):
        yield from _array(state, array)
    for outside in network.of_kind("dc supply"):
        yield from _outside(found, state, outside)


def _outside(found: Demand, state: State, outside: Item) -> Iterator[Scenario]:
    """Yield a supply from outside with all that draws on it there."""
    spec = outside.spec
    assert isinstance(spec, DcSupply)  # noqa: S101  (asked for by kind)
    ends = (f"{outside.id}.plus", f"{outside.id}.minus")
    volts = float(spec.voltage_v)
    drawn = [x for item in state.network.items.values() for x in _draws(found, state, item, ends, volts)]
    yield Scenario(state, outside.id, "discharge", ends, volts, float(spec.rating_a), tuple(drawn))


def _array(state: State, array: Item) -> Iterator[Scenario]:
    ends = (f"{array.id}.plus", f"{array.id}.minus")
    current = SOLAR_FACTOR * getattr(array.spec, "short_circuit_current_a", 0.0)
    for controller in state.network.of_kind("solar controller"):
        if state.live_potentials.same(ends[0], f"{controller.id}.array.plus"):
            into = Injection(
                controller.id, f"{controller.id}.array.plus", f"{controller.id}.array.minus", current
            )
            voltage = getattr(array.spec, "open_circuit_voltage_v", 0.0)
            yield Scenario(state, array.id, "discharge", ends, voltage, current, (into,))


def _draws(
    found: Demand, state: State, item: Item, battery: tuple[str, str], lowest_v: float
) -> Iterator[Injection]:
    """Yield what an item takes from the battery whose terminals are given."""
    spec = item.spec
    out, back = f"{item.id}.plus", _minus(item, battery)
    if isinstance(spec, DcDcCharger):
        out = f"{item.id}.in.plus"
    if not state.live_potentials.same(battery[0], out):
        return
    if isinstance(spec, Load) and out in item.terminals:
        loads = [
            found.take(item.id, dc_load(f"{item.id}.{name}", load, lowest_v))
            for name, load in spec.loads.items()
        ]
        if total := sum(loads, 0j):
            yield Injection(item.id, out, back, total)
    elif isinstance(spec, Inverter) and item.id in state.sources and state.feeding.get(item.id):
        voltage = max(spec.cut_out_below_v or 0.0, lowest_v)
        draw = inverter_input(item.id, spec.power_w, spec.efficiency, voltage)
        yield Injection(item.id, out, back, found.take(item.id, draw))
    elif isinstance(spec, DcDcCharger):
        # below its nominal input voltage it stops: it must not empty the battery of the engine
        output_w = spec.rating_a * spec.voltage_v * CHARGE_OVER_NOMINAL
        draw = inverter_input(item.id, output_w, spec.efficiency, float(spec.input_voltage_v))
        yield Injection(item.id, out, back, found.take(item.id, draw))


def charge_terminals(item: Item) -> tuple[str, str, float] | None:
    """Return plus and minus terminal at which an item charges a battery, and its rated current; None if it
    does not.
    """
    spec = item.spec
    if isinstance(spec, BatteryCharger | Alternator | DcSupply):
        return f"{item.id}.plus", f"{item.id}.minus", spec.rating_a
    if isinstance(spec, InverterCharger):
        return f"{item.id}.plus", f"{item.id}.minus", spec.charge_current_a
    if isinstance(spec, SolarController):
        return f"{item.id}.battery.plus", f"{item.id}.battery.minus", spec.rating_a
    if isinstance(spec, DcDcCharger):
        return f"{item.id}.out.plus", f"{item.id}.minus", spec.rating_a
    return None


def _feeds(state: State, item: Item, battery: tuple[str, str]) -> Iterator[Injection]:
    """Yield what an item feeds into the battery whose terminals are given, as a negative load."""
    ends = charge_terminals(item)
    if ends is None or not state.live_potentials.same(battery[0], ends[0]):
        return
    if isinstance(item.spec, BatteryCharger) and not state.energised.get(f"{item.id}.L"):
        return
    if isinstance(item.spec, InverterCharger) and state.position(item.id) != "source 1":
        return
    yield Injection(item.id, ends[0], _minus(item, battery, ends[1]), complex(-ends[2]))


def _minus(item: Item, battery: tuple[str, str], own: str = "") -> str:
    """Return the terminal by which a current returns: that of the battery where equipment returns through
    its body.
    """
    terminal = own or f"{item.id}.minus"
    return terminal if terminal in item.terminals else battery[1]


def charging_voltage_v(found: Demand, state: State, charger: Item, nominal_v: float) -> float:
    """Return the voltage at which a charger delivers: that of the battery it charges, else somewhat above
    the nominal one.
    """
    for battery in state.network.of_kind("battery"):
        if state.live_potentials.same(f"{charger.id}.plus", f"{battery.id}.plus"):
            return highest_voltage_v(found, battery)
    return nominal_v * CHARGE_OVER_NOMINAL
