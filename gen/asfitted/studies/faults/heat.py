"""Conductors that a fault destroys: the let-through I²·t against k²·S² (IEC 60364-4-43 434.5.2)."""

import numpy as np

from asfitted.network.model import Core, Network
from asfitted.studies.faults.sequence import Run
from asfitted.studies.faults.stage import Bench
from asfitted.tables.conductors import adiabatic_k
from asfitted.tables.looked import NoRowError


def destroyed(bench: Bench, run: Run) -> tuple[str, ...]:
    """Return the cores that the fault heats beyond what their insulation bears, five seconds of each stage."""
    if not bench.heats or not isinstance(run.heat, np.ndarray):
        return ()
    cores = bench.equivalent.network.cores
    ids = [id_ for id_ in cores if id_ in bench.equivalent.circuit.index]
    return tuple(
        id_
        for id_, heat in zip(ids, run.heat, strict=True)
        if heat > 1 and heat > withstand(bench.equivalent.network, cores[id_])
    )


def withstand(network: Network, core: Core) -> float:
    """Return k²·S² of a core in A²s; a size still to be chosen bears everything."""
    cable = network.cables[core.cable]
    if core.size is None:
        return float("inf")
    role = "live" if core.conductor != "PE" else "in cable" if len(cable.cores) > 1 else "separate"
    insulation = cable.insulation.split()[0]
    try:
        k = adiabatic_k(role, insulation, cable.conductor_temp_c).value
    except NoRowError as missing:
        k = missing.nearest.value if missing.nearest else 100.0
    return (k * core.size.mm2) ** 2
