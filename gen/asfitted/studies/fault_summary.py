"""Fault results read as a whole: how bad each is, which stand in one row, where a build may be plugged in."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Literal, TypeVar

from asfitted.network.model import Network
from asfitted.network.sites import Site, described_sites
from asfitted.network.states import State
from asfitted.network.supply_parts import upstream_device
from asfitted.studies.faults.result import FaultResult, Operation, Touch, Verdict
from asfitted.studies.faults.touch import LIMIT_V
from asfitted.studies.study import Study
from asfitted.tables.devices import instantaneous_band

#: the greater, the worse; what is nought needs no remedy
SEVERITY: dict[Verdict, int] = {
    "harmless": 0,
    "in time": 0,
    "within rating": 0,
    "only when touched": 1,
    "current stays": 2,
    "late": 3,
    "stays": 4,
}
#: sources aboard that stop by themselves on too much current
SOURCES = ("inverter", "inverter charger", "generator")
#: a live conductor on metal that somebody can touch
LIVE_METAL = ("live to case", "live to structure", "live to the case of another source")
Cell = TypeVar("Cell", bound=Hashable)
Use = Literal["safe", "with the site's RCD", "too late", "not"]


def severity(result: FaultResult) -> int:
    """Return how bad a result is, from 0 (nothing to be done) to 4 (nothing ever ends it)."""
    return SEVERITY[result.verdict]


def first_units(result: FaultResult) -> tuple[str, ...]:
    """Return the units that open or stop on a fault before a transfer switch brings another source."""
    return tuple(operation.unit for operation in _first(result))


def cleared_s(result: FaultResult) -> float | None:
    """Return the latest time by which the fault is switched off for the first time; None if nothing does it.

    A transfer switch that then brings another source to the same fault does not count into it.
    """
    return max((operation.time_s for operation in _first(result)), default=None)


def _first(result: FaultResult) -> list[Operation]:
    found: list[Operation] = []
    for operation in result.opened:
        if not operation.moves:
            found.append(operation)
        elif found:
            break
    return found


def decisive_touch(result: FaultResult) -> Touch | None:
    """Return the touch that decides a result: of what ends with a touch the one that was played to its end."""
    ended = [touch for touch in result.touch if 0 < touch.time_s < inf]
    played = ended if result.verdict == "only when touched" and ended else result.touch
    return max(played, key=lambda touch: (touch.time_s, touch.across_v), default=None)


def felt_v(result: FaultResult) -> float:
    """Return the voltage that lies across a body at the touch that decides a result."""
    touch = decisive_touch(result)
    return touch.across_v if touch else 0.0


def badness(result: FaultResult) -> tuple[float, ...]:
    """Return a key by which the worst of several results is the greatest."""
    touch = decisive_touch(result)
    body_ma = touch.current_ma if touch else 0.0
    first = not result.second
    return (severity(result), first, result.touch_time_s, body_ma, felt_v(result), cleared_s(result) or 0.0)


def worst(results: Iterable[FaultResult]) -> FaultResult | None:
    """Return the worst of several results, None of none."""
    return max(results, key=badness, default=None)


@dataclass(frozen=True)
class Outlook:
    """What a live conductor on metal comes to in one state, over all its places and sites.

    `devices` open, `sources` stop, each group with the longest time it takes; `felt_v` is the highest voltage
    meanwhile; `silent` counts the faults that drive no current; `bad` is the worst that does not end well.
    """

    energised: bool
    live: int
    devices: tuple[str, ...]
    cleared_s: float | None
    sources: tuple[str, ...]
    stopped_s: float | None
    restarts: bool
    felt_v: float
    silent: int
    bad: FaultResult | None
    still_live: tuple[str, ...]

    @property
    def alike(self) -> tuple[object, ...]:
        """What two states must share for one sentence to fit both: all but figures."""
        bad = (self.bad.kind, self.bad.at, self.bad.verdict) if self.bad else None
        if bad or not self.energised:
            return (self.energised, bad)
        parts = frozenset(self.devices), frozenset(self.sources), frozenset(self.still_live)
        return (self.live > 0, *parts, self.restarts, self.felt_v > LIMIT_V / 2, self.silent == self.live)

    @property
    def height(self) -> tuple[object, ...]:
        """The greater, the worse."""
        return (badness(self.bad) if self.bad else (), self.felt_v, self.cleared_s or 0, self.stopped_s or 0)


def outlook(study: Study, state: State) -> Outlook:
    """Return the outlook of a state."""
    items = study.network.items
    here = [r for r in study.faults.faults if r.state == state.id]
    live = [r for r in here if r.kind in LIVE_METAL]
    well = [r for r in live if r.verdict == "in time"]
    by_source = {r.id: all(u in items and items[u].kind in SOURCES for u in first_units(r)) for r in well}
    cleared = [r for r in well if not by_source[r.id]]
    stopped = [r for r in well if by_source[r.id]]
    devices = dict.fromkeys(u for r in cleared for u in first_units(r))
    return Outlook(
        bool(here),
        len(live),
        tuple(u for u in devices if u not in items or items[u].kind not in SOURCES),
        max((cleared_s(r) or 0 for r in cleared), default=None),
        tuple(dict.fromkeys(u for r in stopped for u in first_units(r))),
        max((cleared_s(r) or 0 for r in stopped), default=None),
        any(r.restarts for r in stopped),
        max((touch.before_v for r in well for touch in r.touch), default=0.0),
        sum(r.outcome == "no trip expected" for r in live),
        worst(r for r in live if severity(r)),
        tuple(dict.fromkeys(id_ for r in well for id_ in r.still_live)),
    )


@dataclass(frozen=True)
class Row:
    """Results of one kind of fault that end alike: by the same units, with the same verdict, the worst first."""

    results: tuple[FaultResult, ...]

    @property
    def worst(self) -> FaultResult:
        """The result whose figures stand for the row."""
        return self.results[0]

    @property
    def states(self) -> tuple[str, ...]:
        """The states, in order of their numbers; empty for direct current."""
        return tuple(sorted({r.state for r in self.results if r.state}, key=lambda id_: (len(id_), id_)))

    @property
    def sites(self) -> tuple[str, ...]:
        """The places, the one as described (an empty text) first."""
        return tuple(sorted({r.site for r in self.results}))

    @property
    def at(self) -> tuple[str, ...]:
        """Where the faults lie."""
        return tuple(dict.fromkeys(r.at for r in sorted(self.results, key=lambda r: r.at)))

    @property
    def current_a(self) -> tuple[float, float]:
        """The smallest and the greatest fault current."""
        currents = [r.current_a for r in self.results]
        return min(currents), max(currents)

    @property
    def cleared_s(self) -> tuple[float, float] | None:
        """The shortest and the longest time until the fault is switched off, None if nothing does it."""
        times = [time for r in self.results if (time := cleared_s(r)) is not None]
        return (min(times), max(times)) if times else None


def rows(results: Iterable[FaultResult], soil: frozenset[str]) -> tuple[Row, ...]:
    """Return results joined that end alike, the worst first; places in `soil` (TT, IT) stand apart.

    Their fault currents are smaller by a hundred times and would make a range say nothing.
    """
    groups: dict[tuple[object, ...], list[FaultResult]] = {}
    for r in results:
        key = (r.kind, r.outcome, r.verdict, frozenset(first_units(r)), r.site in soil)
        groups.setdefault(key, []).append(r)
    found = [Row(tuple(sorted(group, key=badness, reverse=True))) for group in groups.values()]
    return tuple(sorted(found, key=lambda row: badness(row.worst), reverse=True))


def soil_sites(network: Network) -> frozenset[str]:
    """Return the places at which the fault current returns through soil."""
    return frozenset(
        site.id for site in described_sites(network) if site.spec.earthing in ("TT", "IT") or not site.earthed
    )


@dataclass(frozen=True)
class SiteUse:
    """Whether a build may be plugged in at a place, and the result that decides it (None if all are well)."""

    site: Site
    use: Use
    because: FaultResult | None


def site_uses(
    network: Network, states: Sequence[State], results: Sequence[FaultResult]
) -> tuple[SiteUse, ...]:
    """Return for each place what its faults allow: those of the insulation, a lost PEN, and plain service."""
    kinds = (*LIVE_METAL, "live to neutral", "none", "PEN broken")
    found = []
    for site in described_sites(network):
        live = {s.id for s in states if dict(s.conditions).get(site.supply) == "live" and not s.in_transit}
        here = [r for r in results if r.site == site.id and r.state in live and r.kind in kinds]
        bad = [r for r in here if r.verdict in ("stays", "only when touched") or r.kind == "none"]
        late = [r for r in here if r.verdict == "late"]
        alone = [r for r in here if _by_site_rcd_alone(site, r)]
        use: Use = "not" if bad else "too late" if late else "with the site's RCD" if alone else "safe"
        found.append(SiteUse(site, use, worst(bad or late or alone)))
    return tuple(found)


def _by_site_rcd_alone(site: Site, result: FaultResult) -> bool:
    """Tell whether only the residual current device of the place clears a dangerous fault: the current is too
    small for the instantaneous release of its breaker.
    """
    upstream = site.spec.upstream
    if result.outcome != "cleared" or set(first_units(result)) != {upstream_device(site.supply)}:
        return False
    if max((touch.before_v for touch in result.touch), default=0.0) <= LIMIT_V:
        return False
    if not upstream.curve:
        return True
    return result.current_a < instantaneous_band(upstream.curve).high * upstream.rating_a


def merged_columns(
    columns: Mapping[str, Sequence[Cell]],
) -> tuple[tuple[tuple[str, ...], tuple[Cell, ...]], ...]:
    """Return columns with equal cells joined under all their heads, in the order of first appearance."""
    heads: dict[tuple[Cell, ...], tuple[str, ...]] = {}
    for head, cells in columns.items():
        heads[tuple(cells)] = (*heads.get(tuple(cells), ()), head)
    return tuple((names, cells) for cells, names in heads.items())


def telling(results: Iterable[FaultResult], most: int) -> tuple[FaultResult, ...]:
    """Return a few results of the a.c. side whose ways tell most: faults that are cleared as they should be,
    with the least and with the greatest current, then the worst of each kind that does not end well.
    """
    every = [r for r in results if r.state and not r.site and r.kind != "none"]
    clean = [r for r in every if r.kind == "live to case" and r.final and r.outcome == "cleared"]
    clean = sorted((r for r in clean if r.verdict == "in time"), key=lambda r: r.current_a)
    kinds: dict[str, FaultResult] = {}
    for r in sorted((r for r in every if severity(r)), key=badness, reverse=True):
        kinds.setdefault(r.kind, r)
    bad = list(kinds.values())
    # the greatest current yields to the first that does not end well
    return (*clean[:1], *bad[:1], *clean[1:][-1:], *bad[1:])[:most]
