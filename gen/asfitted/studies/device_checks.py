"""Overcurrent devices where they sit: load, breaking capacity against the greatest fault current, rated
voltage.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from asfitted.description.kinds import Breaker, Fuse
from asfitted.network.model import Contact, Item
from asfitted.numbers import exceeds
from asfitted.studies.dc_checks import made_for_ac_only
from asfitted.studies.feeding import PROTECTIVE
from asfitted.studies.load_through import Through, load_through
from asfitted.studies.prospective import Origin, Prospective, entry, greatest_at, origin, prospective
from asfitted.studies.protection import Feed, device_name
from asfitted.studies.results import Finding, Grade, Input, Limit, Verdict, Working
from asfitted.studies.scenario import Demand
from asfitted.studies.trial import Trial
from asfitted.tables.looked import NoRowError


@dataclass(frozen=True)
class DeviceResult:
    """An overcurrent device: its rating, the most it carries, what it can break and what it may have to
    break, in A.

    `prospective_current_a` is None where no source says; `backed_up_by` names an upstream fuse that can
    break it instead. `smallest_rating_a` is the smallest standard rating of its kind that its load allows.
    """

    id: str
    rating_a: float
    load_current_a: float
    breaking_capacity_a: float | None
    prospective_current_a: float | None
    backed_up_by: str | None
    smallest_rating_a: float | None = None


def devices(
    trial: Trial, feeds: tuple[Feed, ...], notes: Demand
) -> Iterator[tuple[DeviceResult, tuple[Working, ...], tuple[Finding, ...]]]:
    """Yield each overcurrent device with its workings and findings."""
    origins = [(feed, origin(trial, notes, feed)) for feed in feeds]
    for item in trial.network.of_kind(*PROTECTIVE):
        spec = item.spec
        assert isinstance(spec, Breaker | Fuse)  # noqa: S101  (asked for by kind)
        reached = [(f, o, t) for f, o in origins if (t := entry(trial, f.tree, item))]
        greatest, feed, terminal = faced(trial, reached)
        current = greatest.current_a if greatest else None
        backup = _backup(trial, feed, terminal, current) if feed and current else None
        capacity = float(spec.breaking_capacity_a) if spec.breaking_capacity_a else None
        through = load_through(trial, item.id)
        smallest = _smallest_rating_a(trial, spec, through.required_a)
        load = through.load_a
        result = DeviceResult(item.id, float(spec.rating_a), load, capacity, current, backup, smallest)
        driven_v = max((o.voltage_v for _, o, _ in reached), default=0.0)
        found = (
            *_load_findings(trial, item, result, through),
            *_breaking(trial, item, result),
            *_voltage(trial, item, driven_v),
        )
        yield result, tuple(_workings(trial, result, greatest)), found


def faced(
    trial: Trial, reached: Sequence[tuple[Feed, Origin, str]]
) -> tuple[Prospective, Feed, str] | tuple[None, Feed | None, str]:
    """Return the greatest fault current that a device may have to break, with its source and the terminal at
    which it enters; `reached` are the sources that reach it. None where one of them is unknown.
    """
    known = [(p, f, t) for f, o, t in reached if (p := prospective(trial, f, o, t)) is not None]
    greatest, feed, terminal = greatest_at(trial, known)
    if greatest is None or feed is None or any(o.current_a is None for _, o, _ in reached):
        return None, feed, terminal
    return greatest, feed, terminal


def switch_voltages(trial: Trial, feeds: tuple[Feed, ...], notes: Demand) -> Iterator[Finding]:
    """Yield isolators whose rated voltage is below what drives the current through them, or not
    stated on d.c.
    """
    origins = [(feed, origin(trial, notes, feed)) for feed in feeds]
    for item in trial.network.of_kind("isolator"):
        yield from _voltage(
            trial, item, max((o.voltage_v for f, o in origins if entry(trial, f.tree, item)), default=0.0)
        )


def _smallest_rating_a(trial: Trial, spec: Breaker | Fuse, required_a: float) -> float | None:
    try:
        ratings = trial.rules.standard_ratings_a(device_name(spec))
    except NoRowError:
        return None
    return next((rating for rating in ratings if rating >= required_a), None)


def _backup(trial: Trial, feed: Feed, terminal: str, current_a: float) -> str | None:
    """Return the nearest fuse before a terminal that can break what may flow there."""
    for element in reversed(feed.tree.way(terminal)):
        if isinstance(element, Contact):
            spec = trial.network.items[element.equipment].spec
            if isinstance(spec, Fuse) and not exceeds(current_a, spec.breaking_capacity_a or 0):
                return element.equipment
    return None


def _workings(trial: Trial, result: DeviceResult, greatest: Prospective | None) -> Iterator[Working]:
    clause = trial.rules.clause("design current")
    limit = Limit("≤", result.rating_a, "A", clause)
    inputs = (Input("I_b", result.load_current_a, "A", "loads"),)
    verdict: Verdict = "fails" if exceeds(result.load_current_a, result.rating_a) else "holds"
    yield Working(
        result.id, "device_load", "I_b", "I_b", inputs, result.load_current_a, "A", clause, limit, verdict
    )
    if greatest is None:
        return
    clause, current = trial.rules.clause("breaking capacity"), greatest.current_a
    parts = [
        Input("U", greatest.voltage_v, "V", "source"),
        Input("R_s", 1000 * greatest.source_ohm, "mohm", "source"),
        Input("R_c", 1000 * greatest.cables_ohm, "mohm", "cables"),
    ]
    bound = Limit("≤", result.breaking_capacity_a, "A", clause) if result.breaking_capacity_a else None
    verdict = ("fails" if exceeds(current, bound.value) else "holds") if bound else "stated"
    formula = "1000 · U / (R_s + R_c)"
    if greatest.parallel_a:
        parts.append(Input("I_p", greatest.parallel_a, "A", "source"))
        formula += " + I_p"
    yield Working(
        result.id, "breaking_capacity", "I_k,max", formula, tuple(parts), current, "A", clause, bound, verdict
    )


def _load_findings(trial: Trial, item: Item, result: DeviceResult, through: Through) -> Iterator[Finding]:
    if exceeds(result.load_current_a, result.rating_a):
        fields: dict[str, object] = {
            "device": item.id,
            "rating_a": result.rating_a,
            "current_a": round(result.load_current_a, 1),
        }
        clause = trial.rules.clause("design current")
        yield Finding(
            "device-below-load",
            Grade.IMPROVEMENT,
            (item.id,),
            item.mark,
            (),
            fields,
            clause,
            f"{item.id}.device_load",
        )
    elif trial.rules.continuous and exceeds(through.required_a, result.rating_a):
        fields = {
            "device": item.id,
            "rating_a": result.rating_a,
            "current_a": round(result.load_current_a, 1),
            "required_a": round(through.required_a, 1),
        }
        clause = trial.rules.clause("continuous device")
        yield Finding("device-continuous-load", Grade.POTENTIAL, (item.id,), item.mark, (), fields, clause)


def _breaking(trial: Trial, item: Item, result: DeviceResult) -> Iterator[Finding]:
    clause, working = trial.rules.clause("breaking capacity"), f"{item.id}.breaking_capacity"
    capacity, prospective = result.breaking_capacity_a, result.prospective_current_a
    fields: dict[str, object] = {
        "device": item.id,
        "capacity_a": capacity or 0,
        "prospective_a": ceil(prospective or 0),
        "backup": result.backed_up_by or "",
    }

    def finding(code: str, grade: Grade) -> Finding:
        return Finding(code, grade, (item.id,), item.mark, (), fields, clause, working if prospective else "")

    if prospective is None:
        yield finding("fault-current-unknown", Grade.INVESTIGATION)
    elif capacity is None:
        yield finding("breaking-capacity-unknown", Grade.INVESTIGATION)
    elif exceeds(prospective, capacity):
        if result.backed_up_by:
            yield finding("breaking-capacity-backed-up", Grade.INVESTIGATION)
        else:
            yield finding("breaking-capacity-exceeded", Grade.POTENTIAL)


def _voltage(trial: Trial, item: Item, driven_v: float) -> Iterator[Finding]:
    """Check the rated voltage; on d.c. it must be stated: an arc that an a.c. rating clears may burn on."""
    direct = any(c.conductor in ("plus", "minus") for c in trial.network.contacts if c.equipment == item.id)
    rated = getattr(item.spec, "dc_voltage_v" if direct else "ac_voltage_v", None)
    fields: dict[str, object] = {"device": item.id, "rated_v": rated or 0, "voltage_v": round(driven_v, 1)}
    clause = trial.rules.clause("rated voltage")
    if rated is not None and exceeds(driven_v, rated):
        yield Finding("device-voltage", Grade.POTENTIAL, (item.id,), item.mark, (), fields, clause)
    elif rated is None and direct and not made_for_ac_only(item.spec):
        yield Finding(
            "device-voltage-unknown", Grade.INVESTIGATION, (item.id,), item.mark, (), fields, clause
        )
