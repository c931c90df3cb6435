"""The checks of one cable: design current, overload, place of the device; as shares of what is allowed."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from asfitted.network.model import Cable, Core
from asfitted.studies.protection import Feed, Manner, Protection, protect, protect_return
from asfitted.studies.trial import Trial
from asfitted.tables.rules.rule_set import RuleSet

_WORST: tuple[Manner, ...] = ("source", "before", "behind", "too large", "none")


@dataclass(frozen=True)
class Margins:
    """Check -> share of the allowed value that is used; above 1 the check fails."""

    ratio: Mapping[str, float]

    @property
    def failing(self) -> tuple[str, ...]:
        """The checks that fail, the most exceeded first."""
        over = [check for check, ratio in self.ratio.items() if ratio > 1 + 1e-9]
        return tuple(sorted(over, key=lambda check: -self.ratio[check]))

    @property
    def tightest(self) -> str:
        """The check that leaves the least."""
        return max(self.ratio, key=lambda check: self.ratio[check])


@dataclass(frozen=True)
class Load:
    """The design current of a cable: the largest over all scenarios, and the number of the scenario."""

    current_a: complex
    scenario: int | None


def design_current(trial: Trial, cable: Cable) -> Load:
    """Return the largest current that a cable carries in any scenario."""
    currents = [(abs(current := trial.current_a(n, cable)), n, current) for n in range(len(trial.scenarios))]
    largest, number, current = max(currents, key=lambda c: (c[0], -c[1]), default=(0.0, 0, 0j))
    return Load(current, number) if largest > 0 else Load(0j, None)


def protections(
    trial: Trial, cable: Cable, feeds: tuple[Feed, ...], capacity_a: Callable[[str], float]
) -> tuple[Protection, ...]:
    """Return how a cable is protected, once for each source that can drive current into it.

    `capacity_a` gives the capacity of a cable by its id; when sizes are tried it differs from that of the
    trial.
    """
    found: list[Protection] = []
    outgoing = [core for core in cable.live if core.conductor not in ("N", "minus")]
    for core in outgoing:
        found += [p for feed in feeds if (p := protect(feed, cable, core, capacity_a))]
    if not outgoing:
        found += _returning(trial, cable, cable.live[0], capacity_a(cable.id))
    # Where a cable leads nowhere in one state, it is judged by the states in which it does.
    judged = {p.source for p in found if not p.dead_end}
    return tuple(dict.fromkeys(p for p in found if not p.dead_end or p.source not in judged))


def _returning(trial: Trial, cable: Cable, core: Core, limit_a: float) -> Iterator[Protection]:
    for scenario in trial.scenarios:
        protection = protect_return(scenario, trial.trees(scenario), cable, core, limit_a)
        if protection:
            yield protection


def worst(found: tuple[Protection, ...]) -> Protection | None:
    """Return the protection that leaves most to be desired: the worst manner, then the largest current."""
    return max(found, key=severity, default=None)


def severity(protection: Protection) -> tuple[int, float]:
    """Return the order of protections from good to bad: by manner, then by current."""
    return _WORST.index(protection.manner), protection.limit_a


def margins(rules: RuleSet, capacity_a: float, load: Load, found: tuple[Protection, ...]) -> Margins:
    """Return the margins of a cable of the given capacity, its voltage drop left out."""
    ratio = {"design current": _share(abs(load.current_a), capacity_a)}
    allowed = rules.limits["unprotected length"].value
    factor = rules.limits["overload factor"].value
    for protection in found:
        values = {"overload": _share(protection.limit_a, capacity_a)}
        if protection.device:
            values["conventional current"] = _share(protection.device.i2_a, factor * capacity_a)
        if protection.manner == "behind" and protection.before is None:
            values["unprotected length"] = protection.unprotected_m / allowed
        for check, value in values.items():
            ratio[check] = max(ratio.get(check, 0.0), value)
    return Margins(ratio)


def _share(value: float, limit: float) -> float:
    if limit > 0:
        return value / limit
    return float("inf") if value > 0 else 0.0
