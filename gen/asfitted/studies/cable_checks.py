"""The checks of one cable: design current, overload, place of the device; as shares of what is allowed."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from asfitted.description.values import Size
from asfitted.network.model import Cable, Core
from asfitted.studies.continuous import consumers_over, required_a
from asfitted.studies.protection import Abilities, Feed, Manner, Protection, protect, protect_return
from asfitted.studies.trial import Trial
from asfitted.tables.looked import Looked
from asfitted.tables.rules.rule_set import Origin

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
    """The design current of a cable: the largest over all scenarios, and the number of the scenario.

    `required_a` is what conductor and device are chosen for: it counts continuous loads for more where the
    rules do.
    """

    current_a: complex
    scenario: int | None
    required_a: float = 0.0


def design_current(trial: Trial, cable: Cable) -> Load:
    """Return the largest current that a cable carries in any scenario."""
    currents = [(abs(current := trial.current_a(n, cable)), n, current) for n in range(len(trial.scenarios))]
    largest, number, current = max(currents, key=lambda c: (c[0], -c[1]), default=(0.0, 0, 0j))
    if largest <= 0:
        return Load(0j, None)
    scenario = trial.scenarios[number]
    return Load(current, number, required_a(trial, scenario, consumers_over(trial, scenario, cable), largest))


def protections(
    trial: Trial, cable: Cable, feeds: tuple[Feed, ...], able: Abilities
) -> tuple[Protection, ...]:
    """Return how a cable is protected, once for each source that can drive current into it.

    When sizes are tried, what the cables are `able` to carry differs from that of the trial.
    """
    found: list[Protection] = []
    outgoing = [core for core in cable.live if core.conductor not in ("N", "minus")]
    for core in outgoing:
        found += [p for feed in feeds if (p := protect(feed, cable, core, able))]
    neutral = next((core for core in cable.live if core.conductor == "N"), None)
    if len(outgoing) > 1 and neutral:  # shared by lines that may be in phase: their currents add up in it
        found += [replace(p, shared=True) for p in _returning(trial, cable, neutral, able)]
    if not outgoing:
        found += _returning(trial, cable, cable.live[0], able)
    # Where a cable leads nowhere in one state, it is judged by the states in which it does.
    judged = {p.source for p in found if not p.dead_end}
    return tuple(dict.fromkeys(p for p in found if not p.dead_end or p.source not in judged))


def _returning(trial: Trial, cable: Cable, core: Core, able: Abilities) -> Iterator[Protection]:
    for scenario in trial.scenarios:
        protection = protect_return(scenario, trial.trees(scenario), cable, core, able)
        if protection:
            yield protection


def worst(found: tuple[Protection, ...]) -> Protection | None:
    """Return the protection that leaves most to be desired: the worst manner, then the largest current."""
    return max(found, key=severity, default=None)


def severity(protection: Protection) -> tuple[int, float]:
    """Return the order of protections from good to bad: by manner, then by current."""
    return _WORST.index(protection.manner), protection.limit_a


def allowed_length(trial: Trial, protection: Protection) -> Looked:
    """Return the length that the way before the first device may have: by its source, and whether all of it
    is enclosed.
    """
    kind = trial.network.items[protection.source].kind
    origin: Origin = "battery" if kind == "battery" else "charging"
    if trial.network.cables[protection.cable].kind in ("ac", "L", "N"):
        origin = "ac"
    way = protection.open_way or (protection.cable,)
    enclosed = all(trial.network.cables[id_].method == "in conduit" for id_ in way)
    return trial.rules.unprotected_m(origin, enclosed)


def margins(trial: Trial, cable: Cable, size: Size, load: Load, found: tuple[Protection, ...]) -> Margins:
    """Return the margins that a cable would have with conductors of `size`, its voltage drop left out."""
    able = trial.capacity_of(cable, size)
    ratio = {"design current": _share(abs(load.current_a), able.current_a)}
    if trial.rules.continuous:
        ratio["continuous load"] = _share(load.required_a, able.uncorrected_a)
    permitted = trial.permitted_of(cable, size, able.current_a)
    factor = trial.rules.limits.get("overload factor")
    for protection in found:
        alone = protection.device is not None and " + " not in protection.device.id
        values = {"overload": _share(protection.limit_a, permitted.strict_a if alone else able.current_a)}
        if protection.device and factor:
            values["conventional current"] = _share(protection.device.i2_a, factor.value * able.current_a)
        if protection.manner == "behind" and protection.before is None and protection.unprotected_m:
            values["unprotected length"] = protection.unprotected_m / allowed_length(trial, protection).value
        for check, value in values.items():
            ratio[check] = max(ratio.get(check, 0.0), value)
    return Margins(ratio)


def _share(value: float, limit: float) -> float:
    if limit > 0:
        return value / limit
    return float("inf") if value > 0 else 0.0
