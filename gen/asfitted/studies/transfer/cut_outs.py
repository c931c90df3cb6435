"""In which order the battery's side lets go: the inverter must cut out first, the battery's own protection last.

When the protection opens everything goes dark at once, alarms included, and whatever charges loses its battery.
"""

from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import Alternator, Battery, Inverter
from asfitted.description.values import Bearable
from asfitted.network.model import Network
from asfitted.studies.loads import ASSUMED_INVERTER_EFFICIENCY
from asfitted.studies.scenario import Scenario
from asfitted.studies.surge import cables_ohm, rest_v, source_ohm, surge_current_a, terminal_v
from asfitted.studies.trial import Trial
from asfitted.tables.load_dump import load_dump
from asfitted.tables.looked import Looked

#: reversed: by voltage; overtaken: by the current of the inverter's surge; not known: a voltage is not said; surge not
#: known: what the protection lets through for so long is not said
Order = Literal["right", "reversed", "overtaken", "not known", "surge not known", "no protection"]
#: what the maker of a battery says of the surge: borne, beyond what it allows, or not said for so short a time
Allowed = Literal["borne", "beyond", "not said", "no limit"]


@dataclass(frozen=True)
class CutOuts:
    """An inverter and the battery that feeds it: voltages in V and currents in A at which each lets go.

    `surge_a` is what the inverter takes for `surge_s`; `allowed` says whether the battery's limit bears that, and
    `deep_v` is the voltage at the inverter below which only an overdrawn lead-acid battery can be, None for others.
    `dark` is what the battery alone feeds, `bereft` what charges it; `load_dump` the voltage of an alternator that
    loses it, where one charges it directly.
    """

    inverter: str
    battery: str
    inverter_v: float | None
    protection_v: float | None
    protection_a: float | None
    surge_a: float
    surge_s: float
    limit_a: float | None
    allowed: Allowed
    deep_v: float | None
    order: Order
    dark: tuple[str, ...]
    bereft: tuple[str, ...]
    load_dump: tuple[str, Looked, Looked] | None

    @property
    def overdraws(self) -> bool:
        """Whether the inverter goes on where only an overdrawn battery can be, and nothing else stops it."""
        return self.deep_v is not None and self.inverter_v is not None and self.inverter_v < self.deep_v


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
                ends = (injection.out, injection.back)
                found[key] = _cut_outs(trial, scenario, injection.item, spec, ends)
    return tuple(found.values())


def _cut_outs(
    trial: Trial, scenario: Scenario, inverter: str, spec: Inverter, ends: tuple[str, str]
) -> CutOuts:
    battery = trial.network.items[scenario.source].spec
    assert isinstance(battery, Battery)  # noqa: S101  (only batteries discharge into inverters)
    cut_out, below = spec.cut_out_below_v, battery.protection_opens_below_v
    # the lower the voltage the more it takes: most of all just before it cuts out
    surge = surge_current_a(spec, cut_out or scenario.voltage_v)
    seconds = spec.surge.duration_s if spec.surge else 0.0
    # a lead-acid battery with no protection of its own has no other guard against deep discharge
    deep = _deep_v(trial, scenario, inverter, spec, ends) if not battery.has_protection else None
    dark, bereft = _alone(trial, scenario.source), _charging(trial, scenario.source)
    return CutOuts(
        inverter,
        scenario.source,
        cut_out,
        below,
        battery.protection_opens_above_a,
        surge,
        seconds,
        battery.discharge_limit_a,
        _allowed(battery.discharge_limit, surge, seconds),
        deep,
        _order(battery, cut_out, below, surge, seconds),
        dark,
        bereft,
        _load_dump(trial.network, bereft),
    )


def _order(
    battery: Battery, cut_out: float | None, below: float | None, surge: float, surge_s: float
) -> Order:
    if below is not None and cut_out is not None and below >= cut_out:
        return "reversed"
    opens, limit = battery.protection_opens_above, battery.discharge_limit
    if opens and not opens.bears(surge, surge_s):
        return "overtaken"
    if below is None and not battery.has_protection:
        return "no protection"
    if below is None or cut_out is None:
        return "not known"
    # where nobody says at what current it opens, it may be at what its maker allows
    silent = opens is None and battery.has_protection and surge > 0
    return "surge not known" if silent and not (limit and limit.bears(surge, surge_s)) else "right"


def _deep_v(trial: Trial, scenario: Scenario, inverter: str, spec: Inverter, ends: tuple[str, str]) -> float:
    """Return the voltage that an empty battery, aged and cold, still has at an inverter with everything at its most."""
    power = max(spec.power_w, spec.surge.power_w if spec.surge else 0.0)
    inner = source_ohm(trial.network.items[scenario.source])
    series = inner + cables_ohm(trial, scenario, *ends)
    efficiency = spec.efficiency or ASSUMED_INVERTER_EFFICIENCY
    left = scenario.voltage_v - rest_v(trial, scenario, inverter, ends, inner)
    return terminal_v(left, series, power / efficiency)


def _allowed(limit: Bearable | None, surge_a: float, surge_s: float) -> Allowed:
    if limit is None:
        return "no limit"
    bears = limit.bears(surge_a, surge_s)
    return "not said" if bears is None else "borne" if bears else "beyond"


def _alone(trial: Trial, battery: str) -> tuple[str, ...]:
    """Return what no other battery feeds: it goes dark with this one."""
    others = [item.id for item in trial.network.of_kind("battery") if item.id != battery]
    planned = trial.network.items[battery].planned
    found = []
    for scenario in trial.scenarios:
        same = scenario.state.live_potentials.same
        if scenario.source == battery and scenario.mode == "discharge":
            joined = any(same(f"{battery}.plus", f"{other}.plus") for other in others)
            # what is not there yet cannot go dark, unless all of it is still a plan
            there = [
                i.item for i in scenario.injections if planned or not trial.network.items[i.item].planned
            ]
            found += [] if joined else there
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
