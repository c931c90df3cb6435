"""Cables that are protected against overload behind themselves, and against a short-circuit by a larger device
before them: whether that one opens before they burn, with the least current at their far end and the greatest at
their near end (IEC 60364-4-43 433.2.2, 434.5.2). And how soon a lead burns that no device protects at all.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

from asfitted.description.kinds import AcSupply, Battery, Breaker, Equipment, Fuse
from asfitted.network.model import Cable, Core
from asfitted.studies.adiabatic import heat_constant
from asfitted.studies.cable_checks import allowed_length
from asfitted.studies.demand_dc import lowest_voltage_v
from asfitted.studies.let_through import Energy, energy_inputs, let_through
from asfitted.studies.loops import C_MIN
from asfitted.studies.prospective import origin, prospective
from asfitted.studies.protection import Feed, Protection
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.scenario import Demand, Scenario
from asfitted.studies.trial import Trial
from asfitted.tables.looked import Looked, weakest

Checked = tuple[tuple[Working, ...], tuple[Finding, ...]]


@dataclass(frozen=True)
class Currents:
    """Short-circuit currents of a cable in A: the least at its far end and the greatest at its near end; None
    where nobody says enough of the source.
    """

    least_a: float | None
    greatest_a: float | None


def short_circuits(
    trial: Trial, cable: Cable, found: tuple[Protection, ...], feeds: tuple[Feed, ...], notes: Demand
) -> Iterator[Checked]:
    """Yield for a cable what a short-circuit in it does until the device before it opens."""
    for protection in found:
        if protection.manner != "behind" or not protection.unprotected_m:
            continue
        fitting = [
            (feed, ends)
            for feed in feeds
            if feed.source == protection.source and (ends := _ends(feed, cable)) is not None
        ]
        currents = _bounds([_currents(trial, cable, feed, ends, notes) for feed, ends in fitting])
        if protection.before is None:
            yield tuple(_burns(trial, cable, protection.source, currents)), ()
        elif protection.unprotected_m > allowed_length(trial, protection).value:
            yield _held(trial, cable, protection, currents)


def _bounds(found: list[Currents]) -> Currents:
    """Return the least and the greatest of the currents in all states."""
    least = [c.least_a for c in found]
    greatest = [c.greatest_a for c in found]
    return Currents(
        None if None in least else min((a for a in least if a is not None), default=None),
        None if None in greatest else max((a for a in greatest if a is not None), default=None),
    )


def _ends(feed: Feed, cable: Cable) -> tuple[str, str] | None:
    """Return the near and the far terminal of a cable's outgoing core as a source feeds it."""
    for core in cable.live:
        near = feed.tree.fed_end(core)
        if near is not None and core.conductor not in ("N", "minus"):
            return near, feed.tree.far_end(core)
    return None


def _currents(trial: Trial, cable: Cable, feed: Feed, ends: tuple[str, str], notes: Demand) -> Currents:
    strongest = prospective(trial, feed, origin(trial, notes, feed), ends[0])
    weakest_source = _weakest(trial, feed, notes)
    least = None
    if weakest_source is not None:
        volts, ohm = weakest_source
        ac = isinstance(trial.network.items[feed.source].spec, AcSupply)
        out = sum(trial.impedance(e, ac) for e in feed.tree.way(ends[1]) if isinstance(e, Core))
        least = volts / abs(ohm + out + _return_ohm(trial, cable, feed, ac))
    return Currents(least, strongest.current_a if strongest else None)


def _weakest(trial: Trial, feed: Feed, notes: Demand) -> tuple[float, float] | None:
    """Return the least voltage of a source and its greatest resistance; None where nobody says."""
    item = trial.network.items[feed.source]
    spec = item.spec
    if isinstance(spec, Battery) and spec.internal_resistance:
        return lowest_voltage_v(notes, item), spec.internal_resistance.aged_cold_ohm
    if isinstance(spec, AcSupply) and spec.loop_impedance_max_ohm and spec.earthing in ("TN-S", "TN-C-S"):
        return C_MIN * spec.voltage_v, spec.loop_impedance_max_ohm
    return None


def _return_ohm(trial: Trial, cable: Cable, feed: Feed, ac: bool) -> complex:
    """Return the impedance of the conductors by which everything behind a cable returns its current, those
    that lie beyond its far end left out: a fault there uses them too.
    """
    shared: set[Core] | None = None
    for scenario in trial.scenarios:
        if scenario.source == feed.source and scenario.mode != "charge":
            for way in _returns(trial, cable, scenario):
                shared = way if shared is None else shared & way
    return sum((trial.impedance(core, ac) for core in shared or ()), 0j)


def _returns(trial: Trial, cable: Cable, scenario: Scenario) -> Iterator[set[Core]]:
    out, back = trial.trees(scenario)
    for injection in scenario.injections:
        if injection.out in out.came and injection.back in back.came:
            over = [e.cable for e in out.way(injection.out) if isinstance(e, Core)]
            if cable.id in over:
                beyond = over[over.index(cable.id) + 1 :]
                back_way = back.way(injection.back)
                yield {e for e in back_way if isinstance(e, Core) and e.cable not in beyond}


def _withstand(cable: Cable) -> Looked:
    return heat_constant("live", cable.insulation.split()[0], cable.conductor_temp_c)


def _held(trial: Trial, cable: Cable, protection: Protection, currents: Currents) -> Checked:
    before = protection.before
    assert before is not None  # noqa: S101  (asked for only where a device lies before)
    spec = trial.network.items[before.id].spec
    length = round(protection.unprotected_m, 2)
    fields: dict[str, object] = {
        "cable": cable.id,
        "size": trial.sizes[cable.id].designation,
        "device": before.id,
        "rating_a": before.rating_a,
        "source": protection.source,
        "length_m": length,
        "allowed_m": allowed_length(trial, protection).value,
    }
    return cleared(trial, cable, spec, currents, fields)


def cleared(
    trial: Trial, cable: Cable, spec: Equipment, currents: Currents, fields: dict[str, object]
) -> Checked:
    """Return whether a device of `spec` clears a short-circuit in a cable in time; `fields` name the cable, the
    device and the source in the sentences of a finding.
    """
    clause = trial.rules.clause("short-circuit duration")
    device, source = str(fields["device"]), str(fields["source"])
    where = tuple(dict.fromkeys((cable.id, device, source)))
    worst = _worst(spec, currents, direct=cable.kind not in ("ac", "L", "N"))
    if worst is None:
        unknown = Finding(
            "short-circuit-not-shown", Grade.INVESTIGATION, where, cable.mark, (), fields, clause
        )
        return (), (unknown,)
    working = _working(trial, cable, device, worst, clause)
    if working.verdict == "holds":
        return (working,), ()
    fields |= {
        "current_a": round(worst.current_a),
        "time_s": f"{worst.time_s or 0:.2g}",
        "needed_mm2": round(working.result, 1),
        "size_mm2": round(trial.sizes[cable.id].mm2, 1),
    }
    return (working,), (
        Finding("short-circuit-burns", Grade.POTENTIAL, where, cable.mark, (), fields, clause, working.id),
    )


def _worst(spec: Equipment, currents: Currents, direct: bool) -> Energy | None:
    """Return the greater of the energies at both currents; None where source or device are not known enough."""
    if not isinstance(spec, Breaker | Fuse) or currents.least_a is None or currents.greatest_a is None:
        return None
    both = [let_through(spec, current, direct) for current in (currents.least_a, currents.greatest_a)]
    known = [energy for energy in both if energy]
    return max(known, key=lambda energy: energy.a2s) if len(known) == len(both) else None


def _working(trial: Trial, cable: Cable, device: str, energy: Energy, clause: str) -> Working:
    k, actual = _withstand(cable), trial.sizes[cable.id].mm2
    needed = sqrt(energy.a2s) / k.value
    formula, parts = energy_inputs(energy)
    return Working(
        cable.id,
        "live_adiabatic_before",
        "S_min",
        f"{formula} / k",
        (*parts, Input("k", k.value, "A·√s/mm²", "table")),
        needed,
        "mm²",
        "; ".join(part for part in (energy.source, k.source, clause) if part),
        Limit("≤", actual, "mm²", clause),
        "holds" if needed <= actual else "fails",
        note=device,
        verified=weakest(energy.verified, k.verified),
    )


def _burns(trial: Trial, cable: Cable, source: str, currents: Currents) -> Iterator[Working]:
    """Yield the time after which a short-circuit has brought a lead without a device to its last temperature."""
    if not currents.greatest_a:
        return
    k, size = _withstand(cable), trial.sizes[cable.id].mm2
    yield Working(
        cable.id,
        "lead_burns_after",
        "t",
        "(k · S / I)²",
        (
            Input("k", k.value, "A·√s/mm²", "table"),
            Input("S", size, "mm²", "described"),
            Input("I", currents.greatest_a, "A", "source"),
        ),
        (k.value * size / currents.greatest_a) ** 2,
        "s",
        f"{k.source}; {trial.rules.clause('short-circuit duration')}",
        note=source,
        verified=k.verified,
    )
