"""In which order the battery's side lets go: the inverter must cut out first, the battery's own protection last.

When the protection opens everything goes dark at once, alarms included, and whatever charges loses its battery.
"""

from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import Alternator, Battery, Inverter
from asfitted.network.model import Network
from asfitted.studies.scenario import Scenario
from asfitted.studies.surge import surge_current_a
from asfitted.studies.trial import Trial
from asfitted.tables.load_dump import load_dump
from asfitted.tables.looked import Looked

#: reversed: by voltage; overtaken: by the current of the inverter's surge
Order = Literal["right", "reversed", "overtaken", "not known", "no protection"]


@dataclass(frozen=True)
class CutOuts:
    """An inverter and the battery that feeds it: voltages in V and currents in A at which each lets go.

    `dark` is what the battery alone feeds, `bereft` what charges it; `load_dump` the voltage of an alternator that
    loses it, where one charges it directly.
    """

    inverter: str
    battery: str
    inverter_v: float | None
    protection_v: float | None
    protection_a: float | None
    surge_a: float
    order: Order
    dark: tuple[str, ...]
    bereft: tuple[str, ...]
    load_dump: tuple[str, Looked, Looked] | None


def cut_outs(trial: Trial) -> tuple[CutOuts, ...]:
    """Return the order of each pair of inverter and battery."""
    found: dict[tuple[str, str], CutOuts] = {}
    for scenario in trial.scenarios:
        if scenario.mode != "discharge" or trial.network.items[scenario.source].kind != "battery":
            continue
        for injection in scenario.injections:
            spec = trial.network.items[injection.item].spec
            key = (injection.item, scenario.source)
            if isinstance(spec, Inverter) and key not in found:
                found[key] = _cut_outs(trial, scenario, injection.item, spec)
    return tuple(found.values())


def _cut_outs(trial: Trial, scenario: Scenario, inverter: str, spec: Inverter) -> CutOuts:
    battery = trial.network.items[scenario.source].spec
    assert isinstance(battery, Battery)  # noqa: S101  (only batteries discharge into inverters)
    cut_out, below, above = (
        spec.cut_out_below_v,
        battery.protection_opens_below_v,
        battery.protection_opens_above_a,
    )
    # the lower the voltage the more it takes: most of all just before it cuts out
    surge = surge_current_a(spec, cut_out or scenario.voltage_v)
    dark, bereft = _alone(trial, scenario.source), _charging(trial, scenario.source)
    return CutOuts(
        inverter,
        scenario.source,
        cut_out,
        below,
        above,
        surge,
        _order(battery, cut_out, below, above, surge),
        dark,
        bereft,
        _load_dump(trial.network, bereft),
    )


def _order(
    battery: Battery, cut_out: float | None, below: float | None, above: float | None, surge: float
) -> Order:
    if below is not None and cut_out is not None and below >= cut_out:
        return "reversed"
    if above is not None and surge > above:
        return "overtaken"
    if below is None and battery.chemistry != "LiFePO4":
        return "no protection"
    return "not known" if below is None or cut_out is None else "right"


def _alone(trial: Trial, battery: str) -> tuple[str, ...]:
    """Return what no other battery feeds: it goes dark with this one."""
    others = [item.id for item in trial.network.of_kind("battery") if item.id != battery]
    found = []
    for scenario in trial.scenarios:
        same = scenario.state.live_potentials.same
        if scenario.source == battery and scenario.mode == "discharge":
            joined = any(same(f"{battery}.plus", f"{other}.plus") for other in others)
            found += [] if joined else [i.item for i in scenario.injections]
    return tuple(dict.fromkeys(found))


def _charging(trial: Trial, battery: str) -> tuple[str, ...]:
    found = [
        i.item for s in trial.scenarios if s.source == battery and s.mode == "charge" for i in s.injections
    ]
    return tuple(dict.fromkeys(found))


def _load_dump(network: Network, bereft: tuple[str, ...]) -> tuple[str, Looked, Looked] | None:
    for id_ in bereft:
        spec = network.items[id_].spec
        if isinstance(spec, Alternator):
            dump = load_dump(float(spec.voltage_v))
            return id_, dump.least_v, dump.greatest_v
    return None
