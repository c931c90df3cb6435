"""Whether conductors withstand the heat of a fault until it is cleared: S ≥ √(I²·t)/k."""

import math
from collections.abc import Iterator

from asfitted.network.model import Cable
from asfitted.studies.loops import LoopResult
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial
from asfitted.tables.conductors import adiabatic_k
from asfitted.tables.looked import Looked, NoRowError

#: half a period: a breaker that trips at once opens about then; the maker's let-through energy is less
HALF_PERIOD_S = 0.01
#: the formula holds while no heat leaves the conductor (IEC 60364-5-54 543.1.2)
LONGEST_S = 5.0


def adiabatic(trial: Trial, found: tuple[LoopResult, ...]) -> Iterator[tuple[Working, tuple[Finding, ...]]]:
    """Yield for each cable in a fault loop the size that its protective conductor needs, and its
    line conductor.
    """
    worst: dict[tuple[str, str], tuple[float, float, float, LoopResult]] = {}
    for loop in found:
        for role, cores in (("protective", loop.earth), ("live", loop.line)):
            for current, time in _stresses(loop, role):
                for core in cores:
                    key = (core.cable, role)
                    stress = current * math.sqrt(time)
                    if key not in worst or stress > worst[key][0]:
                        worst[key] = (stress, current, time, loop)
    for (id_, role), (_, current, time, loop) in worst.items():
        yield _checked(trial, trial.network.cables[id_], role, current, time, loop)


def _stresses(loop: LoopResult, role: str) -> Iterator[tuple[float, float]]:
    """Yield current and time of the slowest sure disconnection, and of the strongest fault."""
    if role == "protective" and loop.least_a is not None and loop.time_s is not None:
        yield loop.least_a, min(loop.time_s, LONGEST_S)
    if role == "protective" and loop.electrode:
        # no more than the two electrodes let through, however strong the supply
        greatest = loop.voltage_v / (loop.electrode.electrode_ohm + loop.electrode.neutral_ohm)
        yield greatest, min(loop.time_s or LONGEST_S, LONGEST_S)
    elif loop.greatest_a is not None:
        # a source that limits its current feeds the fault until it collapses
        yield loop.greatest_a, loop.collapses_s if loop.collapses_s is not None else HALF_PERIOD_S


def _checked(
    trial: Trial, cable: Cable, role: str, current: float, time: float, loop: LoopResult
) -> tuple[Working, tuple[Finding, ...]]:
    core = next((c for c in cable.cores if (c.conductor == "PE") == (role == "protective")), cable.cores[0])
    actual = (core.size if role == "protective" and core.size else trial.sizes[cable.id]).mm2
    place = "live" if role == "live" else "separate" if len(cable.cores) == 1 else "in cable"
    k = _k(place, cable.insulation.split()[0], cable.conductor_temp_c)
    needed = math.sqrt(current**2 * time) / k.value
    clause = trial.rules.clause("short-circuit duration" if role == "live" else "protective conductor")
    working = Working(
        cable.id,
        f"{role}_adiabatic",
        "S_min",
        "√(I² · t) / k",
        (
            Input("I", current, "A", "source"),
            Input("t", time, "s", "table" if time != HALF_PERIOD_S else "assumed"),
            Input("k", k.value, "A·√s/mm²", "table"),
        ),
        needed,
        "mm²",
        f"{k.source}; {clause}",
        Limit("≤", actual, "mm²", clause),
        "holds" if needed <= actual else "fails",
        note=loop.source,
        verified="assumed" if time == HALF_PERIOD_S else k.verified,
    )
    if needed <= actual:
        return working, ()
    fields: dict[str, object] = {
        "cable": cable.id,
        "size_mm2": round(actual, 2),
        "needed_mm2": round(needed, 2),
        "current_a": round(current),
        "time_s": time,
        "source": loop.source,
    }
    grade = Grade.POTENTIAL if role == "protective" else Grade.INVESTIGATION
    code = "protective-conductor-burns" if role == "protective" else "conductor-heat-not-shown"
    return working, (Finding(code, grade, (cable.id,), cable.mark, (), fields, clause, working.id),)


def _k(place: str, insulation: str, temp_c: float) -> Looked:
    try:
        return adiabatic_k(place, insulation, temp_c)
    except NoRowError as missing:
        if missing.nearest is None:
            raise
        return missing.nearest
