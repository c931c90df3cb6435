"""The voltage that a cable to be sized may lose: what its way has left, shared among its `auto` cables by length.

Each way from a source to a consumer has its limit of drop; the way to an inverter has a second one at its surge,
when the battery sags and the inverter must not cut out.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from asfitted.description.kinds import Inverter
from asfitted.description.values import Size
from asfitted.network.model import Cable
from asfitted.studies.drop import drop_v
from asfitted.studies.limits import drop_limit
from asfitted.studies.surge import source_ohm, surge_current_a
from asfitted.studies.trial import Trial


@dataclass(frozen=True)
class Budget:
    """A drop in V that one core of a cable may have at a current; `check` names the check that sets it."""

    check: str
    current_a: complex
    ac: bool
    drop_v: float


def used(trial: Trial, cable: Cable, size: Size, shares: tuple[Budget, ...]) -> dict[str, float]:
    """Return for each check the largest of drop/budget, where it is exceeded."""
    worst: dict[str, float] = {}
    for share in shares:
        drop = abs(drop_v(share.current_a, trial.impedance(cable.live[0], share.ac, size)))
        ratio = drop / share.drop_v if share.drop_v > 0 else float("inf")
        worst[share.check] = max(worst.get(share.check, 0.0), ratio)
    return {check: ratio for check, ratio in worst.items() if ratio > 1}


def budgets(trial: Trial, automatic: set[str]) -> dict[str, tuple[Budget, ...]]:
    """Return cable id -> its budgets, one for each way that it lies on."""
    found: dict[str, list[Budget]] = {}
    for number in range(len(trial.scenarios)):
        for cable, budget in (*_of_drops(trial, number, automatic), *_of_surges(trial, number, automatic)):
            found.setdefault(cable, []).append(budget)
    return {id_: tuple(entries) for id_, entries in found.items()}


def _of_drops(trial: Trial, number: int, automatic: set[str]) -> Iterator[tuple[str, Budget]]:
    scenario = trial.scenarios[number]
    for item, cores in trial.drops(number).items():
        limit = drop_limit(trial.network, trial.rules, scenario, item)
        ours = dict(_ours(trial, cores, automatic))
        left = limit.value / 100 * scenario.voltage_v - sum(v for id_, v in cores.items() if id_ not in ours)
        length = sum(cable.length_m for cable in ours.values())
        for core, cable in ours.items():
            current, share = trial.flows[number].core_a[core], cable.length_m / length
            yield cable.id, Budget("voltage drop", current, scenario.mode == "supply", left * share)


def _of_surges(trial: Trial, number: int, automatic: set[str]) -> Iterator[tuple[str, Budget]]:
    scenario = trial.scenarios[number]
    if scenario.mode != "discharge":
        return
    drops = trial.drops(number)
    for injection in scenario.injections:
        spec = trial.network.items[injection.item].spec
        if not isinstance(spec, Inverter) or not spec.surge or not spec.cut_out_below_v:
            continue
        # at the voltage that must be left: the current at which the inverter is about to cut out
        surge = surge_current_a(spec, spec.cut_out_below_v)
        more = surge - abs(injection.current_a)
        cores = drops.get(injection.item, {})
        ours = dict(_ours(trial, cores, automatic))
        sag = surge * source_ohm(trial.network.items[scenario.source])
        fixed = sum(
            volts + more * trial.impedance(trial.network.cores[id_], ac=False).real
            for id_, volts in cores.items()
            if id_ not in ours
        )
        left = scenario.voltage_v - sag - spec.cut_out_below_v - fixed
        length = sum(cable.length_m for cable in ours.values())
        for core, cable in ours.items():
            current = abs(trial.flows[number].core_a[core]) + more
            yield cable.id, Budget("surge drop", complex(current), False, left * cable.length_m / length)


def _ours(trial: Trial, cores: Mapping[str, float], automatic: set[str]) -> Iterator[tuple[str, Cable]]:
    for id_ in cores:
        cable = trial.network.cores[id_].cable
        if cable in automatic:
            yield id_, trial.network.cables[cable]
