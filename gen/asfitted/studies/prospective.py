"""The greatest fault current at a device: strongest source, cold conductors, batteries in parallel added up."""

from dataclasses import dataclass, replace

from asfitted.description.kinds import (
    AcSupply,
    Battery,
    DcSupply,
    Generator,
    IsolatingTransformer,
    SolarArray,
)
from asfitted.network.model import Core, Item
from asfitted.network.resistance import core_resistance_20c
from asfitted.studies.dc_checks import lowest_c
from asfitted.studies.demand_dc import CHARGE_OVER_NOMINAL, highest_voltage_v
from asfitted.studies.feeding import Tree
from asfitted.studies.protection import Feed
from asfitted.studies.scenario import Demand
from asfitted.studies.trial import Trial
from asfitted.tables.solar import cold_voltage_factor

#: first peak of a small rotating set, as a multiple of its rated current (from memory, on the high side)
SET_PEAK = 10.0
#: short-circuit impedance of a small transformer, as a share of its rated one (from memory, on the low side)
TRANSFORMER_IMPEDANCE = 0.03


@dataclass(frozen=True)
class Origin:
    """A source for fault currents: the greatest one at its terminals (None if unknown) and the voltage that
    drives it.
    """

    current_a: float | None
    voltage_v: float


def origin(trial: Trial, notes: Demand, feed: Feed) -> Origin:
    """Return the greatest fault current at the terminals of a source: cold conductors, full battery,
    strongest supply.
    """
    item = trial.network.items[feed.source]
    spec = item.spec
    if isinstance(spec, Battery):
        voltage = highest_voltage_v(notes, item)
        if spec.fault_current_max_a:
            return Origin(float(spec.fault_current_max_a), voltage)
        resistance = spec.internal_resistance
        return Origin(voltage / resistance.new_warm_ohm if resistance else None, voltage)
    if isinstance(spec, DcSupply):
        volts = CHARGE_OVER_NOMINAL * spec.voltage_v
        return Origin(float(spec.fault_current_max_a) if spec.fault_current_max_a else None, volts)
    if isinstance(spec, AcSupply):
        usual = spec.fault_current_max_a
        elsewhere = [v.fault_current_max_a for v in spec.at.values() if v.fault_current_max_a]
        return Origin(float(max(usual, *elsewhere, 0.0)) if usual else None, float(spec.voltage_v))
    if isinstance(spec, Generator):
        return Origin(SET_PEAK * spec.power_w / spec.voltage_v, float(spec.voltage_v))
    if isinstance(spec, SolarArray):
        coldest = cold_voltage_factor(lowest_c(trial, item)).value
        return Origin(feed.limit_a, coldest * spec.open_circuit_voltage_v)
    voltage = _voltage_at(trial, feed)
    if isinstance(spec, IsolatingTransformer):
        return Origin(float(spec.power_w) / voltage / TRANSFORMER_IMPEDANCE if voltage else None, voltage)
    return Origin(feed.limit_a, voltage)


def _voltage_at(trial: Trial, feed: Feed) -> float:
    """Return the voltage at which a source is seen: its own as a supply, that of the battery which it
    charges.
    """
    direct = feed.tree.root.endswith(".plus")
    fitting = [
        s.voltage_v
        for s in trial.scenarios
        if (s.source == feed.source and (s.mode == "supply") != direct)
        or (direct and s.mode == "charge" and any(i.item == feed.source for i in s.injections))
    ]
    return max(fitting, default=0.0)


@dataclass(frozen=True)
class Prospective:
    """The greatest fault current at a terminal, from a voltage behind the resistances of source and
    conductors; `parallel_a` is what batteries in parallel add.
    """

    own_a: float
    voltage_v: float
    source_ohm: float
    cables_ohm: float
    parallel_a: float = 0.0

    @property
    def current_a(self) -> float:
        """The current of all batteries together."""
        return self.own_a + self.parallel_a


def prospective(trial: Trial, feed: Feed, source: Origin, terminal: str) -> Prospective | None:
    """Return the greatest fault current at a terminal: only the outgoing conductors count, at 20 °C; None if
    unknown.
    """
    if source.current_a is None:
        return None
    if source.current_a == 0 or source.voltage_v == 0:
        return Prospective(source.current_a, source.voltage_v, 0.0, 0.0)
    cables_ohm = 0.0
    for element in feed.tree.way(terminal):
        if isinstance(element, Core):
            cable = trial.network.cables[element.cable]
            conductor_class = trial.network.description.cables[cable.id].conductor_class
            cables_ohm += core_resistance_20c(cable, trial.sizes[cable.id], conductor_class, "least").value
    source_ohm = source.voltage_v / source.current_a
    current = source.voltage_v / (source_ohm + cables_ohm)
    return Prospective(current, source.voltage_v, source_ohm, cables_ohm)


Known = tuple[Prospective, Feed, str]


def greatest_at(trial: Trial, known: list[Known]) -> Known | tuple[None, None, str]:
    """Return the greatest fault current that enters a device at one terminal; batteries in parallel
    add up.
    """
    best: Known | tuple[None, None, str] = (None, None, "")
    for found, feed, terminal in known:
        batteries: dict[str, float] = {}
        for other, of, at in known:
            battery = isinstance(trial.network.items[of.source].spec, Battery)
            if battery and at == terminal and of.source != feed.source:
                batteries[of.source] = max(batteries.get(of.source, 0.0), other.current_a)
        is_battery = isinstance(trial.network.items[feed.source].spec, Battery)
        total = replace(found, parallel_a=sum(batteries.values()) if is_battery else 0.0)
        if best[0] is None or total.current_a > best[0].current_a:
            best = (total, feed, terminal)
    return best


def entry(trial: Trial, tree: Tree, item: Item) -> str | None:
    """Return the terminal at which a source reaches a device, or None."""
    ends = [t for t in item.terminals if t in tree.came]
    return min(ends, key=lambda t: len(tree.terminals(t)), default=None)
