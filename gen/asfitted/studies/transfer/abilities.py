"""What a source of limited power can give: for good, for seconds, for milliseconds, and what it does beyond."""

from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import AcSupply
from asfitted.network.model import Network
from asfitted.numbers import exceeds
from asfitted.studies.demand_ac import ac_limit_a, ac_voltage_v

#: carries: for good; for a time: until its surge ends; starts not: the running load is carried, the starting motors are
#: not; trips: off until reset; restarts: tries again by itself; sags: goes on at a lower voltage
Outcome = Literal["carries", "for a time", "starts not", "trips", "restarts", "sags", "not known"]
_THEN: dict[str, Outcome] = {"latched off": "trips", "restarts": "restarts", "folds back": "sags"}


@dataclass(frozen=True)
class Ability:
    """Currents in A and times in s; None where the description does not say. `then` is what follows the limit."""

    source: str
    voltage_v: float
    lasting_a: float
    surge_a: float | None
    surge_s: float | None
    limit_a: float | None
    limit_s: float | None
    then: str

    @property
    def most_a(self) -> float | None:
        """The most that it gives at all, for however short."""
        known = [a for a in (self.surge_a, self.limit_a) if a is not None]
        return min(known) if len(known) == 2 else known[0] if known else None


def ability(network: Network, source: str) -> Ability:
    """Return what a source of a.c. can give; a supply from outside is held by its breaker, not by a limit."""
    spec = network.items[source].spec
    voltage = ac_voltage_v(network, source)
    surge, limit = getattr(spec, "surge", None), getattr(spec, "output_limit", None)
    return Ability(
        source,
        voltage,
        ac_limit_a(network, source),
        surge.power_w / voltage if surge else None,
        surge.duration_s if surge else None,
        limit.current_a if limit else None,
        limit.duration_s if limit else None,
        limit.then if limit else "",
    )


def limited(network: Network, source: str) -> bool:
    """Tell whether a source is one that an overload stops: not a supply from outside."""
    return not isinstance(network.items[source].spec, AcSupply)


def beyond(able: Ability) -> Outcome:
    """Return what a source does once it can give no more."""
    return _THEN.get(able.then, "not known")


def outcome(able: Ability, lasting_a: float, peak_a: float) -> Outcome:
    """Return what becomes of a load of `lasting_a`, and of `peak_a` while motors start, on a source."""
    if not exceeds(lasting_a, able.lasting_a):
        most = able.most_a
        if not exceeds(peak_a, able.lasting_a) or (most is not None and not exceeds(peak_a, most)):
            return "carries"
        return "not known" if most is None else "starts not"
    if able.most_a is None:
        return "not known"
    if not exceeds(max(lasting_a, peak_a), able.most_a) and able.surge_s:
        return "for a time"
    return beyond(able)
