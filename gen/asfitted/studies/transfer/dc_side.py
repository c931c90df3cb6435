"""A motor starts on an inverter: the current from the battery and the voltage that is left, at both ends of the
battery's life.
"""

from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import Battery, Inverter
from asfitted.network.build import input_terminals
from asfitted.network.model import Item
from asfitted.studies.demand_ac import ac_limit_a, ac_voltage_v
from asfitted.studies.loads import ASSUMED_INVERTER_EFFICIENCY
from asfitted.studies.scenario import Scenario
from asfitted.studies.surge import cables_ohm, rest_v, terminal_v
from asfitted.studies.transfer.abilities import Ability, Outcome, ability, beyond
from asfitted.studies.transfer.changeovers import Behind
from asfitted.studies.transfer.starts import MotorStart, motor_starting, running_a
from asfitted.studies.trial import Trial

Age = Literal["new and warm", "aged and cold"]


@dataclass(frozen=True)
class DcBound:
    """The battery at one end of its life: V, ohm of battery and of the cables out and back, V at the inverter, A.

    `rest_v` is what everything else on the battery takes away meanwhile.
    """

    age: Age
    emf_v: float
    rest_v: float
    battery_ohm: float
    cables_ohm: float
    voltage_v: float
    current_a: float


@dataclass(frozen=True)
class InverterStart:
    """A motor that starts on an inverter which already carries what it can of the rest.

    `others_a` and `total_a` are a.c. currents, `power_w` the power drawn from the battery. `bounds` is empty where
    the description does not say how the battery sags. `outcome`: carries, starts not, or what the inverter does.
    """

    inverter: str
    battery: str
    start: MotorStart
    others_a: float
    total_a: float
    power_w: float
    efficiency: float
    able: Ability
    bounds: tuple[DcBound, ...]
    cut_out_v: float | None
    outcome: Outcome

    @property
    def lowest_v(self) -> float | None:
        """The lowest voltage at the inverter's terminals."""
        return min((bound.voltage_v for bound in self.bounds), default=None)

    @property
    def cuts_out(self) -> bool:
        """Whether the inverter sees less than the voltage at which it switches off."""
        return self.cut_out_v is not None and self.lowest_v is not None and self.lowest_v < self.cut_out_v


def inverter_starts(trial: Trial) -> tuple[InverterStart, ...]:
    """Return every start of a motor on every inverter, once for each battery that feeds it."""
    found: dict[tuple[str, str, str, str], InverterStart] = {}
    for scenario in trial.scenarios:
        if scenario.mode != "discharge":
            continue
        for injection in scenario.injections:
            item = trial.network.items[injection.item]
            if not isinstance(item.spec, Inverter):
                continue
            ends = (injection.out, injection.back)
            for start, others in _starts(trial, scenario, item):
                key = (scenario.source, item.id, start.behind.outlet, start.behind.name)
                if key not in found:
                    found[key] = _start(trial, scenario, item, ends, start, others)
    return tuple(found.values())


def _starts(trial: Trial, scenario: Scenario, item: Item) -> list[tuple[MotorStart, complex]]:
    """Return each motor on an inverter with the running current of everything else, held to what it carries."""
    network = trial.network
    voltage = ac_voltage_v(network, item.id)
    loads = [
        Behind(outlet, name, load)
        for outlet in scenario.state.feeding.get(item.id, ())
        if input_terminals(network.items[outlet])
        for name, load in getattr(network.items[outlet].spec, "loads", {}).items()
    ]
    limit = ac_limit_a(network, item.id)
    rows = []
    for load in loads:
        start = motor_starting(load, voltage)
        if start is None:
            continue
        others = sum((running_a(other, voltage) for other in loads if other is not load), 0j)
        room = max(0.0, limit - abs(start.running_a))
        share = min(1.0, room / abs(others)) if others else 1.0
        rows.append((start, others * share))
    return rows


def _start(
    trial: Trial, scenario: Scenario, item: Item, ends: tuple[str, str], start: MotorStart, others: complex
) -> InverterStart:
    spec, battery = item.spec, trial.network.items[scenario.source].spec
    assert isinstance(spec, Inverter)  # noqa: S101  (asked for by kind)
    assert isinstance(battery, Battery)  # noqa: S101  (only batteries discharge into inverters)
    able = ability(trial.network, item.id)
    total = others + start.starting_a
    eta = spec.efficiency or ASSUMED_INVERTER_EFFICIENCY
    power = able.voltage_v * total.real / eta
    wires = cables_ohm(trial, scenario, *ends)
    resistance = battery.internal_resistance
    ages: tuple[tuple[Age, float, float], ...] = ()
    if resistance:
        ages = (
            ("new and warm", float(battery.voltage_v), resistance.new_warm_ohm),
            ("aged and cold", scenario.voltage_v, resistance.aged_cold_ohm),
        )
    bounds = []
    for age, emf, ohm in ages:
        rest = rest_v(trial, scenario, item.id, ends, ohm)
        volts = terminal_v(emf - rest, ohm + wires, power)
        current = (emf - rest - volts) / (ohm + wires)
        bounds.append(DcBound(age, emf, rest, ohm, wires, volts, current))
    return InverterStart(
        item.id,
        scenario.source,
        start,
        abs(others),
        abs(total),
        power,
        eta,
        able,
        tuple(bounds),
        spec.cut_out_below_v,
        _outcome(able, start, abs(total)),
    )


def _outcome(able: Ability, start: MotorStart, total_a: float) -> Outcome:
    """An inverter bears a start that stays below its limits, or that is over before they act."""
    if total_a <= able.lasting_a:
        return "carries"
    if able.limit_a is not None and total_a > able.limit_a and start.duration_s > (able.limit_s or 0.0):
        return beyond(able)
    if able.surge_a is None:
        return "carries" if able.limit_a is not None and total_a <= able.limit_a else "not known"
    if total_a <= able.surge_a and start.duration_s <= (able.surge_s or 0.0):
        return "carries"
    return beyond(able)
