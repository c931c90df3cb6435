"""The same build under another rule set: what changes for each cable and device, and by which rule."""

from collections.abc import Iterable
from dataclasses import dataclass

from asfitted.description.values import METRIC_SIZES_MM2, Size
from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.results import Finding
from asfitted.studies.sizing import Sizing, size
from asfitted.tables.awg import next_smaller_awg
from asfitted.tables.rules.rule_set import RuleSet

#: findings of a cable for which a rule set has no current
NOT_PRINTED = ("no-capacity-row", "conductor-below-least")


@dataclass(frozen=True)
class CableDifference:
    """A cable whose capacity or largest device differs: both values in A, and what each rests on.

    `counts_as` is the size by which the other tables know it, empty if its own is printed there. The other values
    are None where those rules print no row for it, or do not allow so thin a conductor.
    """

    cable: str
    counts_as: str
    capacity_a: float
    other_capacity_a: float | None
    device_a: float | None
    other_device_a: float | None
    sources: str
    other_sources: str


@dataclass(frozen=True)
class BothWays:
    """A build held to two rule sets: `gone` are the findings of the first alone, `new` those of the second
    alone.

    `drops` names the ways (source, consumer) whose limit of voltage drop differs, with both limits in per
    cent.
    """

    rules: str
    other_rules: str
    cables: tuple[CableDifference, ...]
    drops: tuple[tuple[str, str, float, float], ...]
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]


def both_ways(
    network: Network, states: Iterable[State], first: Sizing, rules: RuleSet, other: RuleSet
) -> BothWays:
    """Return what changes if a build sized as `first` under `rules` is held to `other`, its copper
    unchanged.
    """
    second = size(network, tuple(states), other)
    cables = tuple(
        difference
        for id_ in first.cables
        if (difference := _cable(first, second, id_, other)).capacity_a != difference.other_capacity_a
        or difference.device_a != difference.other_device_a
    )
    limits = {(d.source, d.item): d.limit.value for d in second.drops}
    drops = tuple(
        (d.source, d.item, d.limit.value, limits[d.source, d.item])
        for d in first.drops
        if limits.get((d.source, d.item), d.limit.value) != d.limit.value
    )
    here = {(f.code, f.where) for f in first.findings}
    there = {(f.code, f.where) for f in second.findings}
    return BothWays(
        rules.name,
        other.name,
        cables,
        drops,
        tuple(f for f in first.findings if (f.code, f.where) not in there),
        tuple(f for f in second.findings if (f.code, f.where) not in here),
    )


def _cable(first: Sizing, second: Sizing, id_: str, other: RuleSet) -> CableDifference:
    refused = any(f.code in NOT_PRINTED and id_ in f.where for f in second.findings)
    return CableDifference(
        id_,
        counts_as(first.cables[id_].size, other),
        first.cables[id_].capacity_a,
        None if refused else second.cables[id_].capacity_a,
        _device_a(first, id_),
        None if refused else _device_a(second, id_),
        _sources(first, id_),
        _sources(second, id_),
    )


def counts_as(size: Size, rules: RuleSet) -> str:
    """Return the size of the other system as which the tables of a rule set count a conductor: the next smaller one.

    Empty where its own size is printed.
    """
    if rules.awg:
        return "" if size.awg else next_smaller_awg(size)
    smaller = [mm2 for mm2 in METRIC_SIZES_MM2 if mm2 <= size.mm2]
    return f"{smaller[-1]:g} mm²" if size.awg and smaller else ""


def _device_a(sizing: Sizing, cable: str) -> float | None:
    """Return the largest device that the rules let protect a cable; None where no device does."""
    working = next((w for w in sizing.workings if w.id.startswith(f"{cable}.rated_current")), None)
    return working.limit.value if working and working.limit else None


def _sources(sizing: Sizing, cable: str) -> str:
    found = [
        text
        for w in sizing.workings
        if w.subject == cable and w.quantity in ("capacity", "rated_current", "continuous_load")
        for text in (w.source, w.limit.source if w.limit else "")
    ]
    return "; ".join(dict.fromkeys(text for text in found if text))
