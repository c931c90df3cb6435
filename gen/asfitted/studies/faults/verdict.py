"""From a played sequence to an outcome: cleared or not, in which time, and what a person felt meanwhile.

A prospective touch voltage alone gives false alarms: 100 V behind which no current stands. So the time over
the limit is first taken from prospective voltages, and where that looks bad the body is put across the
pair.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from asfitted.network.model import Network
from asfitted.network.potentials import Potentials
from asfitted.network.settle import Complex
from asfitted.network.states import State
from asfitted.studies.faults.heat import overloads
from asfitted.studies.faults.result import Outcome, Verdict
from asfitted.studies.faults.sequence import Run, Step, begin, play
from asfitted.studies.faults.stage import Bench
from asfitted.studies.faults.touch import (
    LIMIT_DC_V,
    LIMIT_V,
    Contact,
    Felt,
    Metalwork,
    bodies,
    zone_of,
)

#: below this current a live fault that stays burdens no conductor: it is noticed when somebody touches
STAYS_A = 1.0
LIVE_KINDS = (
    "live to case",
    "live to structure",
    "live to neutral",
    "live to the case of another source",
    "protective conductor broken and live to case",
    "bond open and live to case",
    "plus to minus",
    "plus to structure",
    "plus to case",
)


@dataclass(frozen=True)
class Judged:
    """A run with its outcome: the longest spell over the touch limit, what is felt when it stays, who ends
    it.
    """

    run: Run
    outcome: Outcome
    verdict: Verdict
    spell_s: float
    worst: tuple[Contact, Felt] | None = None
    touched: Run | None = None

    @property
    def rank(self) -> tuple[float, ...]:
        """The greater, the worse; rounded, so that the last digits of a solution decide nothing."""
        order: dict[Verdict, int] = {
            "harmless": 0,
            "in time": 1,
            "within rating": 2,
            "only when touched": 3,
            "current stays": 4,
            "late": 5,
            "stays": 6,
        }
        body = self.worst[1].current_a if self.worst else 0.0
        last = self.run.steps[-1]
        return (
            order[self.verdict],
            round(min(self.spell_s, 1e9), 6),
            round(body, 6),
            round(self.run.steps[0].feeling.volts, 3),
            round(last.start_s, 6),
        )


def limit_v(bench: Bench) -> float:
    """Return the touch voltage that may last, of alternating or of direct current."""
    return LIMIT_DC_V if bench.direct else LIMIT_V


def spell_s(run: Run, limit: float) -> float:
    """Return the longest unbroken time over the limit by prospective voltage; infinite if it never ends."""
    longest = now = 0.0
    for step in run.steps:
        now = now + step.end_s - step.start_s if step.feeling.volts > limit else 0.0
        longest = max(longest, now)
    return longest


def judge(
    bench: Bench, metal: Metalwork | None, runs: Sequence[Run], limits: Sequence[float]
) -> list[Judged]:
    """Judge finished runs, each against its longest allowed time in s."""
    limit = limit_v(bench)
    spells = [spell_s(run, limit) for run in runs]
    doubtful = [
        k
        for k, run in enumerate(runs)
        if metal and not bench.direct and spells[k] > (0 if run.hunts else min(limits[k], 5.0))
    ]
    exact = _exact_spells(bench, metal, [runs[k] for k in doubtful]) if metal else []
    felt_at: dict[int, tuple[Contact, Felt]] = {}
    for k, (spell, worst) in zip(doubtful, exact, strict=True):
        spells[k] = spell
        if worst is not None:
            felt_at[k] = worst
    stays = [k for k in felt_at if spells[k] == inf]
    touched = _touch(bench, metal, [(runs[k], felt_at[k]) for k in stays])
    after = dict(zip(stays, touched, strict=True))
    return [
        _judged(bench, run, spells[k], limits[k], felt_at.get(k), after.get(k), _charged_only(bench, run))
        for k, run in enumerate(runs)
    ]


def _charged_only(bench: Bench, run: Run) -> bool:
    """Tell whether a fault of direct current is cut off from every battery at its end.

    What still flows then comes from what charges, and every conductor there carries the rating of that for good
    (IEC 60364-4-43 436; the sizing holds it to that).
    """
    network = bench.equivalent.network
    if not bench.direct or run.fault.at not in network.owner:
        return False
    last = run.steps[-1].switched
    return not reached_by_battery(network, last.state, last.opened, run.fault.at)


def reached_by_battery(network: Network, state: State, opened: Collection[str], terminal: str) -> bool:
    """Tell whether the plus of a battery, aboard or outside, reaches a terminal with some equipment open."""
    pairs = [(core.a, core.b) for core in network.cores.values() if core.conductor == "plus"]
    pairs += [(join.a, join.b) for join in network.joins]
    pairs += [(c.a, c.b) for c in state.closed if c.conductor == "plus" and c.equipment not in opened]
    left = Potentials(pairs)
    return any(left.same(f"{item.id}.plus", terminal) for item in network.of_kind("battery", "dc supply"))


def _judged(
    bench: Bench,
    run: Run,
    spell: float,
    limit: float,
    worst: tuple[Contact, Felt] | None,
    touched: Run | None,
    charged_only: bool = False,
) -> Judged:
    last = run.steps[-1]
    acted = [name for step in run.steps for name in step.acted]
    if touched is not None:
        ends = not touched.hunts and (touched.steps[-1].body_a < 0.0005 or _safe(touched, worst))
        outcome: Outcome = "not cleared until touched" if ends else "not cleared"
        return Judged(run, outcome, "only when touched" if ends else "stays", spell, worst, touched)
    if overloads(bench, run) and not charged_only:
        return Judged(run, "not cleared", "current stays", spell, worst)
    if run.fault.kind in LIVE_KINDS and last.current_a >= STAYS_A:
        return Judged(run, "not cleared", "within rating" if charged_only else "current stays", spell, worst)
    if not acted:
        return Judged(run, "no trip expected", "harmless", spell, worst)
    opened = any(step.switched.opened for step in run.steps) or bool(
        set(acted) - {name for name in acted if name in last.switched.stopped}
    )
    outcome = "cleared" if opened else "source collapsed"
    return Judged(run, outcome, "late" if spell > limit else "in time", spell, worst)


def _safe(touched: Run, worst: tuple[Contact, Felt] | None) -> bool:
    """Tell whether what is left across the body after the last operation may last."""
    if worst is None:
        return True
    contact, at_first = worst
    return touched.steps[-1].body_a * at_first.impedance_ohm <= contact.limit_v


def _exact_spells(
    bench: Bench, metal: Metalwork, runs: Sequence[Run]
) -> list[tuple[float, tuple[Contact, Felt] | None]]:
    """Return for each run the longest time over the limit with the body there, and the worst contact then."""
    wanted = [
        (r, s)
        for r, run in enumerate(runs)
        for s, step in enumerate(run.steps)
        if step.feeling.volts > LIMIT_V
    ]
    bodies = dict(
        zip(wanted, bodies_at(bench, metal, [(runs[r], runs[r].steps[s]) for r, s in wanted]), strict=True)
    )
    found = []
    for r, run in enumerate(runs):
        longest = now = 0.0
        worst: tuple[Contact, Felt] | None = None
        for s, step in enumerate(run.steps):
            felt_now = bodies.get((r, s))
            now = now + step.end_s - step.start_s if felt_now else 0.0
            if felt_now and now >= longest:
                longest, worst = now, felt_now
        # a transfer switch that goes to and fro brings the voltage back for ever: harmless only if one spell is
        again = (
            run.hunts
            and worst is not None
            and zone_of(worst[1].current_a, longest, worst[0].way) in ("AC-3", "AC-4")
        )
        found.append((inf if again else longest, worst))
    return found


def bodies_at(
    bench: Bench, metal: Metalwork, wanted: Sequence[tuple[Run, Step]]
) -> list[tuple[Contact, Felt] | None]:
    """Return for each run at one of its steps the contact that drives most current through a body, if any is
    over its limit with the body there.
    """
    contacts = list(metal.contacts())
    groups: dict[tuple[object, ...], list[int]] = {}
    for number, (_, step) in enumerate(wanted):
        groups.setdefault(step.switched.base, []).append(number)
    found: list[tuple[Contact, Felt] | None] = [None] * len(wanted)
    for members in groups.values():
        pairs = [metal.contact(False, *wanted[m][1].feeling.inside) for m in members]
        touchable = list(dict.fromkeys((*contacts, *(p for p in pairs if p.from_.node != p.to.node))))
        stage = bench.solve([wanted[m][0].case._replace(switched=wanted[m][1].switched) for m in members])
        places = np.array(stage.outcome.answers.places(contact.port for contact in touchable))
        a, b = stage.outcome.answers.ends(places)
        open_v, inner = stage.outcome.thevenin(places)
        open_v = np.where(stage.islands[:, a] == stage.islands[:, b], open_v, 0)
        for m, worst in zip(members, _worst(touchable, open_v, inner), strict=True):
            found[m] = worst
    return found


def _worst(contacts: Sequence[Contact], open_v: Complex, inner: Complex) -> list[tuple[Contact, Felt] | None]:
    """Return for each case the contact over its limit that drives most current through a body (cases ×
    contacts).
    """
    across, current = bodies(open_v, inner)
    _, typical = bodies(open_v, inner, 50)
    over = across > np.array([contact.limit_v for contact in contacts])
    current = np.where(over, current, -1.0)
    worst = current.argmax(axis=1)
    return [
        (contacts[k], Felt(float(abs(open_v[row, k])), float(across[row, k]), float(current[row, k]),
                           float(across[row, k] / current[row, k]), float(typical[row, k])))
        if over[row, k] else None
        for row, k in enumerate(worst.tolist())
    ]  # fmt: skip


def _touch(
    bench: Bench, metal: Metalwork | None, wanted: Sequence[tuple[Run, tuple[Contact, Felt]]]
) -> list[Run]:
    """Put a body across the worst pair of each run that stays, and play on."""
    runs = []
    for run, (contact, body) in wanted:
        worst = max(run.steps, key=lambda step: step.feeling.volts) if run.hunts else run.steps[-1]
        again = begin(bench, run.fault, run.phases, worst.switched)
        again.contact = contact
        again.ports = (*again.ports, (contact.port, body.impedance_ohm))
        runs.append(again)
    played = play(bench, runs, metal, alternatives=False)
    order = {id(run): k for k, run in enumerate(runs)}
    return sorted(played, key=lambda run: order[id(run)])
