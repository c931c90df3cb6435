"""Whether conductors withstand the heat of a fault until it is cleared: S ≥ √(I²·t)/k."""

import math
from collections.abc import Iterator

from asfitted.description.kinds import AcSupply
from asfitted.network.model import Cable, Core
from asfitted.studies.feeding import overcurrent_device
from asfitted.studies.let_through import HALF_PERIOD_S, Energy, energy_inputs, let_through
from asfitted.studies.loops import LoopResult
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial
from asfitted.tables.conductors import adiabatic_k
from asfitted.tables.looked import Looked, NoRowError, weakest

#: the formula holds while no heat leaves the conductor (IEC 60364-5-54 543.1.2)
LONGEST_S = 5.0


def adiabatic(trial: Trial, found: tuple[LoopResult, ...]) -> Iterator[tuple[Working, tuple[Finding, ...]]]:
    """Yield for each cable in a fault loop the size that its protective conductor needs, and its
    line conductor.
    """
    worst: dict[tuple[str, str], tuple[Energy, LoopResult]] = {}
    for loop in found:
        for role, cores in (("protective", loop.earth), ("live", loop.line)):
            for core in cores:
                key = (core.cable, role)
                for stress in _stresses(trial, loop, role, core):
                    if key not in worst or stress.a2s > worst[key][0].a2s:
                        worst[key] = (stress, loop)
    for (id_, role), (stress, loop) in worst.items():
        yield _checked(trial, trial.network.cables[id_], role, stress, loop)


def _stresses(trial: Trial, loop: LoopResult, role: str, core: Core) -> Iterator[Energy]:
    """Yield the energy of the slowest sure disconnection, and of the strongest fault."""
    if role == "protective" and loop.least_a is not None and loop.time_s is not None:
        yield _lasting(loop.least_a, min(loop.time_s, LONGEST_S))
    if role == "protective" and loop.electrode:
        # no more than the two electrodes let through, however strong the supply
        greatest = loop.voltage_v / (loop.electrode.electrode_ohm + loop.electrode.neutral_ohm)
        yield _lasting(greatest, min(loop.time_s or LONGEST_S, LONGEST_S))
    elif loop.greatest_a is not None and loop.collapses_s is not None:
        # a source that limits its current feeds the fault until it collapses
        yield _lasting(loop.greatest_a, loop.collapses_s)
    elif loop.greatest_a is not None:
        stress = _strongest(trial, loop, core)
        yield from (stress,) if stress else ()


def _lasting(current_a: float, time_s: float) -> Energy:
    return Energy(current_a, current_a**2 * time_s, time_s, "", "read")


def _strongest(trial: Trial, loop: LoopResult, core: Core) -> Energy | None:
    """Return what the device that lets through least of the strongest fault lets through; those before a live
    conductor count, and all of the way for a protective one. A breaker of the site is taken to open in half a
    period, and so is whatever opens where nothing is known.
    """
    current = loop.greatest_a or 0.0
    before = loop.way[: loop.way.index(core)] if core in loop.way else loop.way
    specs = [spec for element in before if (spec := overcurrent_device(trial.network, element))]
    known = [energy for spec in specs if (energy := let_through(spec, current, direct=False))]
    supply = trial.network.items[loop.source].spec
    if not known or (isinstance(supply, AcSupply) and supply.upstream.curve):
        known.append(Energy(current, current**2 * HALF_PERIOD_S, HALF_PERIOD_S, "", "assumed"))
    least = min(known, key=lambda energy: energy.a2s)
    # a current that lasts is an overload, and checked as such
    return least if least.time_s is None or least.time_s <= LONGEST_S else None


def _checked(
    trial: Trial, cable: Cable, role: str, stress: Energy, loop: LoopResult
) -> tuple[Working, tuple[Finding, ...]]:
    core = next((c for c in cable.cores if (c.conductor == "PE") == (role == "protective")), cable.cores[0])
    actual = (core.size if role == "protective" and core.size else trial.sizes[cable.id]).mm2
    place = "live" if role == "live" else "separate" if len(cable.cores) == 1 else "in cable"
    k = heat_constant(place, cable.insulation.split()[0], cable.conductor_temp_c)
    needed = math.sqrt(stress.a2s) / k.value
    clause = trial.rules.clause("short-circuit duration" if role == "live" else "protective conductor")
    formula, parts = energy_inputs(stress)
    working = Working(
        cable.id,
        f"{role}_adiabatic",
        "S_min",
        f"{formula} / k",
        (*parts, Input("k", k.value, "A·√s/mm²", "table")),
        needed,
        "mm²",
        "; ".join(part for part in (k.source, stress.source, clause) if part),
        Limit("≤", actual, "mm²", clause),
        "holds" if needed <= actual else "fails",
        note=loop.source,
        verified=weakest(stress.verified, k.verified),
    )
    if needed <= actual:
        return working, ()
    fields: dict[str, object] = {
        "cable": cable.id,
        "size_mm2": round(actual, 2),
        "needed_mm2": round(needed, 2),
        "current_a": round(stress.current_a),
        "time_s": stress.time_s or 0.0,
        "source": loop.source,
    }
    grade = Grade.POTENTIAL if role == "protective" else Grade.INVESTIGATION
    code = "protective-conductor-burns" if role == "protective" else "conductor-heat-not-shown"
    return working, (Finding(code, grade, (cable.id,), cable.mark, (), fields, clause, working.id),)


def heat_constant(place: str, insulation: str, temp_c: float) -> Looked:
    """Return k of a conductor; the nearest on the safe side where none is printed."""
    try:
        return adiabatic_k(place, insulation, temp_c)
    except NoRowError as missing:
        if missing.nearest is None:
            raise
        return missing.nearest
