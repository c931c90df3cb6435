"""Conductors that a fault destroys: the let-through I²·t against k²·S² (IEC 60364-4-43 434.5.2)."""

import numpy as np

from asfitted.studies.faults.bearing import withstand_a2s
from asfitted.studies.faults.sequence import Run
from asfitted.studies.faults.stage import Bench


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
