"""What may run together on each source of a.c., and what must not: the smallest sets that are too much."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from asfitted.description.kinds import AcSupply
from asfitted.numbers import exceeds
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.modes import Mode
from asfitted.studies.importance import rank

#: larger sets read like everything at once
LARGEST_SET = 3
#: of so many things every set is tried; beyond, the smallest are taken as running all the time
MOST_THINGS = 14
#: what camp sites and marinas give on the two sides of the ocean (common practice, from memory)
IEC_SITES_A = (16.0, 10.0, 6.0)
US_SITES_A = (30.0, 15.0)
LOW_VOLTAGE_V = 150.0
#: a charger can wait longer than light and less long than heat: with what is convenient
CHARGER_RANK = 2


@dataclass(frozen=True)
class Thing:
    """An appliance or charger on a source: active and reactive power; `rank` is its place in the order of shedding."""

    id: str
    name: str
    power_w: float
    reactive_va: float
    charger: bool = False
    rank: int = 0


@dataclass(frozen=True)
class TooMuch:
    """A set of things that together ask more than a source gives; without any one of them it would bear the rest."""

    ids: tuple[str, ...]
    va: float


@dataclass(frozen=True)
class Together:
    """One line of one source in one mode at one site (empty for the usual one).

    `usual_a` is the current of an ordinary site that the description does not name, None for what is described; `shed`
    is what to switch off, in that order, until the rest is borne. `all_va` is everything at once, `lasting_va` what runs
    for hours, `base_va` what always runs and is in every set.
    """

    source: str
    mode: Mode
    site: str
    line: str
    limit_va: float
    things: tuple[Thing, ...]
    all_va: float
    lasting_va: float
    base_va: float
    too_much: tuple[TooMuch, ...]
    deeper: bool
    usual_a: float | None = None
    shed: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether everything may run at once."""
        return not exceeds(self.all_va, self.limit_va)


def together(house: Household) -> tuple[Together, ...]:
    """Return every source of a.c. with what hangs on it, in each mode and at each site."""
    return tuple(result for mode in ("site", "generator", "battery") for result in _in_mode(house, mode))


def _in_mode(house: Household, mode: Mode) -> Iterator[Together]:
    state = house.modes.state(mode)
    if state is None:
        return
    for source in state.sources:
        if state.condition(source) not in ("live", "running") if source in dict(state.conditions) else True:
            continue
        is_inverter = house.network.items[source].kind in ("inverter", "inverter charger")
        if is_inverter and source not in house.inverters:
            continue
        by_line = _things(house, mode, source)
        for site, limit in _limits(house, source):
            for line, entries in by_line.items():
                if entries:
                    yield _judged(source, mode, site, line, limit, entries)
        for rating, limit in _ordinary(house, source):
            for line, entries in by_line.items():
                if entries:
                    yield replace(_judged(source, mode, "", line, limit, entries), usual_a=rating)


def _things(house: Household, mode: Mode, source: str) -> dict[str, list[tuple[Thing, bool, bool]]]:
    """Return for each line its things, whether each lasts for hours, and whether it always runs."""
    lines: dict[str, list[tuple[Thing, bool, bool]]] = {}
    for a in house.appliances:
        if not a.ac or a.fed_by.get(mode) != source:
            continue
        # what lies between two lines loads each of them with half its power
        part = 0.5 if a.both_lines else 1.0
        thing = Thing(a.id, a.name, a.power_w * part, a.reactive_va * part, False, rank(a.load))
        lasts = a.load.duty in ("continuous", "heater", "lighting")
        for line in ("L1", "L2") if a.both_lines else (a.line,):
            lines.setdefault(line, []).append((thing, lasts, a.essential))
    for charger, feeder, line_of in house.chargers.get(mode, ()):
        if feeder == source:
            reactive = line_of.input_w * math.tan(math.acos(line_of.power_factor))
            thing = Thing(charger, charger.replace("_", " "), line_of.input_w, reactive, True, CHARGER_RANK)
            first = next(iter(lines), "L")
            lines.setdefault(first, []).append((thing, True, False))
    return lines


def _limits(house: Household, source: str) -> Iterator[tuple[str, float]]:
    """Yield what the source gives at the usual site and at each other that differs, in VA."""
    spec = house.network.items[source].spec
    yield "", house.limit_va(source)
    if isinstance(spec, AcSupply):
        for name, site in spec.at.items():
            rating = min(site.rating_a or spec.rating_a, (site.upstream or spec.upstream).rating_a)
            voltage = site.voltage_v or ac_voltage_v(house.network, source)
            if rating * voltage != house.limit_va(source):
                yield name, rating * voltage


def _ordinary(house: Household, source: str) -> Iterator[tuple[float, float]]:
    """Yield the currents of ordinary sites below that of the supply which no described site has, and what they give
    in VA; a build without a plug goes to no sites.
    """
    spec = house.network.items[source].spec
    if not isinstance(spec, AcSupply) or not house.network.of_kind("supply inlet"):
        return
    voltage = house.voltage_v(source)
    described = {round(limit) for _, limit in _limits(house, source)}
    for rating in US_SITES_A if voltage < LOW_VOLTAGE_V else IEC_SITES_A:
        limit = rating * voltage
        if limit < house.limit_va(source) and round(limit) not in described:
            yield rating, limit


def _judged(
    source: str, mode: Mode, site: str, line: str, limit_va: float, entries: list[tuple[Thing, bool, bool]]
) -> Together:
    things = [thing for thing, _, _ in entries]
    always = [thing for thing, _, on in entries if on]
    lasting = [thing for thing, lasts, on in entries if lasts or on]
    chosen = [thing for thing, _, on in entries if not on]
    ordered = sorted(chosen, key=lambda t: -math.hypot(t.power_w, t.reactive_va))
    base = [*always, *ordered[MOST_THINGS:]]
    found = smallest_sets(ordered[:MOST_THINGS], base, limit_va)
    return Together(
        source,
        mode,
        site,
        line,
        limit_va,
        tuple(things),
        apparent_va(things),
        apparent_va(lasting),
        apparent_va(base),
        found,
        not found and exceeds(apparent_va(things), limit_va),
        shed=_shed(chosen, always, limit_va),
    )


def _shed(chosen: list[Thing], always: list[Thing], limit_va: float) -> tuple[str, ...]:
    """Return what to switch off until the rest is borne: what matters least first, of equals the largest."""
    order = sorted(chosen, key=lambda t: (t.rank, -math.hypot(t.power_w, t.reactive_va)))
    off: list[Thing] = []
    for thing in order:
        if not exceeds(apparent_va([*always, *(t for t in chosen if t not in off)]), limit_va):
            break
        off.append(thing)
    return tuple(thing.id for thing in off)


def smallest_sets(things: list[Thing], base: list[Thing], limit_va: float) -> tuple[TooMuch, ...]:
    """Return every set of up to three things that overloads a source beside `base`, and of which no part does."""
    found: list[TooMuch] = []
    for size in range(1, LARGEST_SET + 1):
        for group in combinations(things, size):
            ids = {thing.id for thing in group}
            if any(set(smaller.ids) <= ids for smaller in found):
                continue
            asked = apparent_va([*group, *base])
            if exceeds(asked, limit_va):
                found.append(TooMuch(tuple(thing.id for thing in group), asked))
    return tuple(found)


def apparent_va(things: Iterable[Thing]) -> float:
    """Return the apparent power of several things together: active and reactive power add up, each for itself."""
    listed = list(things)
    return math.hypot(sum(t.power_w for t in listed), sum(t.reactive_va for t in listed))
