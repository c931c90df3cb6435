"""What a stage heats each conductor with: I²·t without loss (IEC 60364-4-43 434.5.2)."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from asfitted.network.settle import Real
from asfitted.studies.faults.stage import Bench, Case, Stage
from asfitted.studies.let_through import HALF_PERIOD_S, NOT_LATER_S

#: a short-circuit heats a conductor without loss for this long (IEC 60364-4-43 434.5.2)
ADIABATIC_S = 5.0
#: loads on the way make the current in one line differ by no more
IN_LINE = 1.05

Flags = NDArray[np.bool_]


def heat_a2s(bench: Bench, cases: Sequence[Case], stage: Stage, wait_s: Real) -> Real:
    """Return I²·t of each core in each case of a stage that lasts `wait_s` (cases × cores).

    A circuit-breaker that trips at once is promised to have opened after 0.1 s, but opens after half a period of
    alternating current. Until then a core carries the current of the stage, from then on what is left with the
    breaker open: nothing where the breaker is what feeds it, and all where something else does. One that opens by
    its thermal release protects a conductor that bears its rated current (IEC 60364-4-43 435.1): no heat is counted.
    """
    amperes = bench.currents_a(stage, bench.cores).T
    squared = np.where(_coordinated(bench, stage, amperes), 0, amperes**2)
    wait = np.minimum(wait_s, ADIABATIC_S)
    heat = squared * wait[:, None]
    opening = _at_once(bench, stage)
    columns = [column for column in range(len(cases)) if opening[:, column].any()]
    if not columns:
        return np.asarray(heat)
    ids = np.array([device.id for device in bench.units.devices])
    left = [_without(cases[c], ids[opening[:, c]].tolist()) for c in columns]
    rest = np.zeros((len(columns), len(bench.cores)))
    alive = [k for k, case in enumerate(left) if not bench.dead(case.switched)]
    if alive:
        rest[alive] = bench.currents_a(bench.solve([left[k] for k in alive]), bench.cores).T ** 2
    half = np.minimum(wait[columns], HALF_PERIOD_S)[:, None]
    heat[columns] = squared[columns] * half + rest * (wait[columns][:, None] - half)
    return np.asarray(heat)


def _at_once(bench: Bench, stage: Stage) -> Flags:
    """Return which devices open by their magnetic release (devices × cases)."""
    magnetic = [bool(d.overcurrent and d.overcurrent.magnetic) for d in bench.units.devices]
    return np.asarray(np.array(magnetic, dtype=bool)[:, None] & (stage.overcurrent_slow_s <= NOT_LATER_S))


def _coordinated(bench: Bench, stage: Stage, amperes: Real) -> Flags:
    """Return which cores carry no more than a breaker which opens later than after half a period, and bear what
    it is rated for (cases × cores).
    """
    found = np.zeros(amperes.shape, dtype=bool)
    for number, device in enumerate(bench.units.devices):
        if device.overcurrent is None or not device.overcurrent.thermal or not device.rated_a:
            continue
        slow_s = stage.overcurrent_slow_s[number]
        # of a magnetic release on direct current no shorter time is known than the promised one
        opens = np.isfinite(slow_s) & ((slow_s > NOT_LATER_S) | (not device.overcurrent.magnetic))
        if opens.any():
            carried = amperes <= IN_LINE * stage.load_a[number][:, None]
            found |= opens[:, None] & carried & (bench.capacity_a >= device.rated_a)
    return found


def _without(case: Case, opened: Sequence[str]) -> Case:
    return case._replace(switched=replace(case.switched, opened=case.switched.opened | set(opened)))
