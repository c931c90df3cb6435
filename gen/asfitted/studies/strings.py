"""Battery strings in parallel: they share the load by their resistances, never by their size."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import Battery
from asfitted.network.model import Contact, Core
from asfitted.numbers import exceeds
from asfitted.studies.feeding import Element, overcurrent_device
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.scenario import Scenario
from asfitted.studies.trial import Trial


@dataclass(frozen=True)
class String:
    """A battery with the conductors of its own as far as the common point: both bounds of its resistance, and
    the part of it that bears least.
    """

    scenario: Scenario
    new_warm_ohm: float
    aged_cold_ohm: float
    weakest: str
    bears_a: float


def string_shares(trial: Trial) -> Iterator[tuple[Working, tuple[Finding, ...]]]:
    """Yield for each battery in parallel with others the most that it gives: it is new and warm, the others
    are aged and cold.
    """
    seen: set[tuple[str, ...]] = set()
    discharging = [s for s in trial.scenarios if s.mode == "discharge" and s.injections]
    for first in sorted(discharging, key=lambda s: -s.total_a):
        group = [s for s in discharging if s.state.id == first.state.id and _joined(first, s)]
        names = tuple(sorted(s.source for s in group))
        if len(group) < 2 or names in seen:
            continue
        seen.add(names)
        strings = _strings(trial, group)
        for string in strings:
            yield _shared(trial, string, [other for other in strings if other is not string])


def _joined(a: Scenario, b: Scenario) -> bool:
    return a.state.live_potentials.same(a.terminals[0], b.terminals[0])


def _strings(trial: Trial, group: list[Scenario]) -> list[String]:
    """Return the strings of a group; none if the resistance of a battery is not known."""
    largest = max(group[0].injections, key=lambda i: abs(i.current_a))
    ways: list[set[Element]] = []
    for scenario in group:
        out, back = trial.trees(scenario)
        if largest.out not in out.came or largest.back not in back.came:
            return []
        ways.append({*out.way(largest.out), *back.way(largest.back)})
    common = set.intersection(*ways)
    found = []
    for scenario, way in zip(group, ways, strict=True):
        spec = trial.network.items[scenario.source].spec
        if not isinstance(spec, Battery) or spec.internal_resistance is None:
            return []
        own = way - common
        ohm = sum(trial.impedance(core, False).real for core in own if isinstance(core, Core))
        bears = {c.cable: trial.capacity_a(c.cable) for c in own if isinstance(c, Core)}
        for element in own:
            device = overcurrent_device(trial.network, element)
            if device and isinstance(element, Contact):
                bears[element.equipment] = float(device.rating_a)
        weakest = min(bears, key=lambda id_: bears[id_], default="")
        inner = spec.internal_resistance
        found.append(
            String(
                scenario,
                inner.new_warm_ohm + ohm,
                inner.aged_cold_ohm + ohm,
                weakest,
                bears.get(weakest, float("inf")),
            )
        )
    return found


def _shared(trial: Trial, string: String, others: list[String]) -> tuple[Working, tuple[Finding, ...]]:
    battery = trial.network.items[string.scenario.source]
    others_ohm = 1 / sum(1 / other.aged_cold_ohm for other in others)
    total_a = string.scenario.total_a
    share_a = total_a * others_ohm / (string.new_warm_ohm + others_ohm)
    clause = trial.rules.clause("parallel batteries")
    breach = exceeds(share_a, string.bears_a)
    working = Working(
        battery.id,
        "string_share",
        "I_s",
        "I · R_2 / (R_1 + R_2)",
        (
            Input("I", total_a, "A", "loads"),
            Input("R_1", 1000 * string.new_warm_ohm, "mohm", "cables"),
            Input("R_2", 1000 * others_ohm, "mohm", "cables"),
        ),
        share_a,
        "A",
        clause,
        Limit("≤", string.bears_a, "A", clause) if string.weakest else None,
        "fails" if breach else "holds" if string.weakest else "stated",
        note=string.weakest,
    )
    if not breach:
        return working, ()
    fields: dict[str, object] = {
        "battery": battery.id,
        "share_a": round(share_a, 1),
        "total_a": round(total_a, 1),
        "weakest": string.weakest,
        "bears_a": round(string.bears_a, 1),
    }
    grade = Grade.POTENTIAL if string.weakest in trial.network.cables else Grade.IMPROVEMENT
    where = (battery.id, string.weakest)
    return working, (
        Finding("string-share-exceeded", grade, where, battery.mark, (), fields, clause, working.id),
    )
