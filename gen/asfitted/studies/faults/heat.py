"""Conductors that a fault destroys: the let-through I²·t against k²·S² (IEC 60364-4-43 434.5.2)."""

import numpy as np

from asfitted.studies.faults.bearing import is_tail, withstand_a2s
from asfitted.studies.faults.result import Overload
from asfitted.studies.faults.sequence import Run
from asfitted.studies.faults.stage import Bench

#: no conductor of an installation bears less
LEAST_A = 5.0
#: IEC 60364-4-43 433.1: the current that surely operates a device is at most this times the capacity
MOST_OF_CAPACITY = 1.45


def overloads(bench: Bench, run: Run) -> tuple[Overload, ...]:
    """Return the cores that carry more than they bear for good after the last operation, the worst first.

    Up to 1.45 times its capacity a conductor may carry for long: so much the rules let an overcurrent device pass
    that protects it (IEC 60364-4-43 433.1).
    """
    current_a = run.lasting_a
    if current_a is None or current_a.max(initial=0) < LEAST_A:
        return ()
    network, branches = bench.equivalent.network, bench.equivalent.circuit.branches
    found = []
    for number in np.flatnonzero(current_a > MOST_OF_CAPACITY * bench.capacity_a).tolist():
        core = network.cores[branches[bench.cores[number]].id]
        bears = float(bench.capacity_a[number])
        if core.conductor == "PE" or not is_tail(network.cables[core.cable], run.fault.where):
            found.append(Overload(core.id, float(current_a[number]), bears))
    return tuple(sorted(found, key=lambda o: o.current_a / o.capacity_a, reverse=True))


def destroyed(bench: Bench, run: Run) -> tuple[str, ...]:
    """Return the cores that the fault heats beyond what their insulation bears, five seconds of each stage."""
    if not bench.heats or not isinstance(run.heat, np.ndarray):
        return ()
    cores = bench.equivalent.network.cores
    ids = [id_ for id_ in cores if id_ in bench.equivalent.circuit.index]
    return tuple(
        id_
        for id_, heat in zip(ids, run.heat, strict=True)
        if heat > 1 and heat > withstand_a2s(bench.equivalent.network, cores[id_])
    )
