"""Sizes for cables written `auto`: the smallest standard size that passes every check.

The voltage drop that the given cables of a way leave over is shared among its `auto` cables by length. A
share that does not depend on the load keeps the choice monotonic: more load never gives a thinner cable.
"""

from asfitted.description.values import Size
from asfitted.network.model import Cable, Network
from asfitted.studies.budgets import Budget, budgets, used
from asfitted.studies.cable_checks import Margins, design_current, margins, protections
from asfitted.studies.protection import Abilities, Feed
from asfitted.studies.trial import LEAST_MM2, Trial, standard_sizes
from asfitted.tables.rules.iec60364 import connecting_lead_mm2
from asfitted.tables.rules.rule_set import SILENT, RuleSet


def least_mm2(network: Network, rules: RuleSet, cable: Cable) -> float:
    """Return the smallest size a cable may have whatever it carries."""
    floors = [LEAST_MM2, cable.at_least.mm2 if cable.at_least else 0.0]
    supplies = {i.id: i.spec for i in network.of_kind("ac supply")}
    owners = {network.owner[end] for core in cable.cores for end in (core.a, core.b)}
    vehicle = network.description.build.setting in ("road vehicle", "trailer")
    if vehicle and rules.clause("connecting lead") != SILENT:
        for id_ in owners & supplies.keys():
            lead = connecting_lead_mm2(float(getattr(supplies[id_], "rating_a", 0.0)))
            floors.append(lead.value if lead else 0.0)
    return max(floors)


def starting_sizes(network: Network, rules: RuleSet) -> dict[str, Size]:
    """Return the given sizes, with the least allowed one for each `auto` cable."""
    return {cable.id: cable.size or _least(network, rules, cable) for cable in network.cables.values()}


def _least(network: Network, rules: RuleSet, cable: Cable) -> Size:
    sizes, floor = standard_sizes(network, rules, cable), least_mm2(network, rules, cable)
    return next((size for size in sizes if size.mm2 >= floor), sizes[-1])


def fitting_size(trial: Trial, cable: Cable, current_a: float) -> str:
    """Return the designation of the smallest standard size that carries a current where a cable lies, or a
    dash.
    """
    sizes = standard_sizes(trial.network, trial.rules, cable)
    fitting = (size for size in sizes if trial.capacity_of(cable, size).current_a >= current_a)
    return next((size.designation for size in fitting), "–")


def size_for_device(trial: Trial, cable: Cable, rating_a: float) -> str:
    """Return the designation of the smallest standard size that a device of a rating may protect, or a
    dash.
    """
    for size in standard_sizes(trial.network, trial.rules, cable):
        capacity_a = trial.capacity_of(cable, size).current_a
        if trial.permitted_of(cable, size, capacity_a).strict_a >= rating_a:
            return size.designation
    return "–"


def choose(trial: Trial, feeds: tuple[Feed, ...]) -> dict[str, tuple[Size, str]]:
    """Return for each `auto` cable its size and the check that governs it.

    The check is `least size` if no smaller one was tried, and `no size` if even the largest one fails a
    check.
    """
    automatic = [cable for cable in trial.loaded if cable.size is None]
    shares = budgets(trial, {cable.id for cable in automatic})
    return {cable.id: _smallest(trial, feeds, cable, shares.get(cable.id, ())) for cable in automatic}


def _smallest(
    trial: Trial, feeds: tuple[Feed, ...], cable: Cable, shares: tuple[Budget, ...]
) -> tuple[Size, str]:
    floor, load = least_mm2(trial.network, trial.rules, cable), design_current(trial, cable)
    governs = "least size"
    sizes = standard_sizes(trial.network, trial.rules, cable)
    for size in sizes:
        if size.mm2 < floor:
            continue
        found = margins(trial, cable, size, load, protections(trial, cable, feeds, _with(trial, cable, size)))
        found = Margins({**found.ratio, **used(trial, cable, size, shares)})
        if not found.failing:
            return size, governs
        governs = found.failing[0]
    return sizes[-1], "no size"


def _with(trial: Trial, cable: Cable, size: Size) -> Abilities:
    """Return what the cables are able to carry if one of them had conductors of `size`."""
    carries = trial.capacity_of(cable, size).current_a
    device = trial.permitted_of(cable, size, carries).strict_a

    def carries_a(other: str) -> float:
        return carries if other == cable.id else trial.capacity_a(other)

    def device_a(other: str) -> float:
        return device if other == cable.id else trial.permitted(other).rating_a

    return Abilities(carries_a, device_a)
