"""Continuous loads: the part of a current that may flow for three hours and more."""

from asfitted.description.kinds import (
    BatteryCharger,
    DcDcCharger,
    Inverter,
    InverterCharger,
    Load,
    Sockets,
    SolarController,
)
from asfitted.network.model import Cable, Core, Item
from asfitted.studies.scenario import Scenario
from asfitted.studies.trial import Trial


def continuous_share(item: Item) -> float:
    """Return the share of an item's current that counts as continuous.

    Chargers and converters count in full: they may run at full output for hours. Of loads, those that the
    description calls continuous.
    """
    spec = item.spec
    if isinstance(spec, BatteryCharger | DcDcCharger | Inverter | InverterCharger | SolarController):
        return 1.0
    if not isinstance(spec, Load | Sockets):
        return 0.0
    weights = {name: load.power_w or load.current_a or 0.0 for name, load in spec.loads.items()}
    total = sum(weights.values())
    if not total:
        return 0.0
    return sum(w for name, w in weights.items() if spec.loads[name].duty == "continuous") / total


def required_a(trial: Trial, scenario: Scenario, items: tuple[str, ...], current_a: float) -> float:
    """Return the current that conductor and device must be chosen for: the load, continuous parts counted
    by the factor of the rule set.

    `items` are the consumers whose current flows, `current_a` is what flows of it.
    """
    factor = trial.rules.continuous
    if factor is None:
        return current_a
    lasting = sum(
        abs(i.current_a) * continuous_share(trial.network.items[i.item])
        for i in scenario.injections
        if i.item in items
    )
    return current_a + (factor.value - 1) * min(lasting, current_a)


def consumers_over(trial: Trial, scenario: Scenario, cable: Cable) -> tuple[str, ...]:
    """Return the consumers of a scenario whose current passes a cable, out or back."""
    out, back = trial.trees(scenario)
    ids = {core.id for core in cable.live}

    def on(way: tuple[object, ...]) -> bool:
        return any(isinstance(e, Core) and e.id in ids for e in way)

    return tuple(
        i.item
        for i in scenario.injections
        if (i.out in out.came and on(out.way(i.out))) or (i.back in back.came and on(back.way(i.back)))
    )
