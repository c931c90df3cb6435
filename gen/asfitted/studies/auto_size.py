"""Sizes for cables written `auto`: the smallest standard size that passes every check.

The voltage drop that the given cables of a way leave over is shared among its `auto` cables by length. A
share that does not depend on the load keeps the choice monotonic: more load never gives a thinner cable.
"""

from collections.abc import Iterator, Mapping

from asfitted.description.values import METRIC_SIZES_MM2, Size
from asfitted.network.model import Cable, Network
from asfitted.studies.cable_checks import Margins, design_current, margins, protections
from asfitted.studies.drop import drop_v
from asfitted.studies.limits import drop_limit
from asfitted.studies.protection import Feed
from asfitted.studies.trial import Trial
from asfitted.tables.rules.iec60364 import connecting_lead_mm2

#: IEC 60364-5-52 Table 52.2 and 721.524.1 (from memory): copper in power and lighting circuits
LEAST_MM2 = 1.5
LARGEST_MM2 = 240.0
STANDARD = tuple(
    Size(mm2=mm2, designation=f"{mm2:g} mm²") for mm2 in METRIC_SIZES_MM2 if LEAST_MM2 <= mm2 <= LARGEST_MM2
)


def least_mm2(network: Network, cable: Cable) -> float:
    """Return the smallest size a cable may have whatever it carries."""
    floors = [LEAST_MM2, cable.at_least.mm2 if cable.at_least else 0.0]
    supplies = {i.id: i.spec for i in network.of_kind("ac supply")}
    owners = {network.owner[end] for core in cable.cores for end in (core.a, core.b)}
    if network.description.build.setting in ("road vehicle", "trailer"):
        for id_ in owners & supplies.keys():
            lead = connecting_lead_mm2(float(getattr(supplies[id_], "rating_a", 0.0)))
            floors.append(lead.value if lead else 0.0)
    return max(floors)


def starting_sizes(network: Network) -> dict[str, Size]:
    """Return the given sizes, with the least allowed one for each `auto` cable."""
    return {
        cable.id: cable.size or next(s for s in STANDARD if s.mm2 >= least_mm2(network, cable))
        for cable in network.cables.values()
    }


def fitting_size(trial: Trial, cable: Cable, current_a: float) -> str:
    """Return the designation of the smallest standard size that carries a current where a cable lies, or a
    dash.
    """
    fitting = (size for size in STANDARD if trial.capacity_of(cable, size).current_a >= current_a)
    return next((size.designation for size in fitting), "–")


def choose(trial: Trial, feeds: tuple[Feed, ...]) -> dict[str, tuple[Size, str]]:
    """Return for each `auto` cable its size and the check that governs it.

    The check is `least size` if no smaller one was tried, and `no size` if even the largest one fails a
    check.
    """
    automatic = [cable for cable in trial.loaded if cable.size is None]
    budgets = _budgets(trial, {cable.id for cable in automatic})
    return {cable.id: _smallest(trial, feeds, cable, budgets.get(cable.id, ())) for cable in automatic}


def _smallest(
    trial: Trial, feeds: tuple[Feed, ...], cable: Cable, budgets: tuple[tuple[complex, bool, float], ...]
) -> tuple[Size, str]:
    floor, load = least_mm2(trial.network, cable), design_current(trial, cable)
    governs = "least size"
    for size in STANDARD:
        if size.mm2 < floor:
            continue
        limit = trial.capacity_of(cable, size).current_a

        def capacity_a(other: str, limit: float = limit) -> float:
            return limit if other == cable.id else trial.capacity_a(other)

        found = margins(trial.rules, limit, load, protections(trial, cable, feeds, capacity_a))
        worst = _drop_ratio(trial, cable, size, budgets)
        if worst > 1:
            found = Margins({**found.ratio, "voltage drop": worst})
        if not found.failing:
            return size, governs
        governs = found.failing[0]
    return STANDARD[-1], "no size"


def _drop_ratio(
    trial: Trial, cable: Cable, size: Size, budgets: tuple[tuple[complex, bool, float], ...]
) -> float:
    """Return the largest of drop/budget over the ways on which a cable lies."""
    worst = 0.0
    for current, ac, budget in budgets:
        drop = abs(drop_v(current, trial.impedance(cable.live[0], ac, size)))
        worst = max(worst, drop / budget if budget > 0 else float("inf"))
    return worst


def _budgets(trial: Trial, automatic: set[str]) -> dict[str, tuple[tuple[complex, bool, float], ...]]:
    """Return cable id -> (current, whether a.c., drop in V that one core of it may use) for each way it lies
    on.
    """
    found: dict[str, list[tuple[complex, bool, float]]] = {}
    for number, scenario in enumerate(trial.scenarios):
        for item, cores in trial.drops(number).items():
            limit = drop_limit(trial.network, scenario, item)
            by_core = list(_ours(trial, cores, automatic))
            left = limit.value / 100 * scenario.voltage_v - sum(
                v for id_, v in cores.items() if id_ not in dict(by_core)
            )
            length = sum(cable.length_m for _, cable in by_core)
            for core, cable in by_core:
                current = trial.flows[number].core_a[core]
                found.setdefault(cable.id, []).append(
                    (current, scenario.mode == "supply", left * cable.length_m / length)
                )
    return {id_: tuple(entries) for id_, entries in found.items()}


def _ours(trial: Trial, cores: Mapping[str, float], automatic: set[str]) -> Iterator[tuple[str, Cable]]:
    for id_ in cores:
        cable = trial.network.cores[id_].cable
        if cable in automatic:
            yield id_, trial.network.cables[cable]
