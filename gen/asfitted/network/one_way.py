"""Sources of direct current that give in one direction only and no more than their limit.

Each is in one of three regimes: it gives at its own voltage, it holds its limit at a lower one, or a higher
voltage keeps it from giving. The regimes are changed until the currents and voltages agree with all of them; with
the regimes fixed the network is linear, so what comes out is exact.
"""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

Complex = NDArray[np.complex128]

ROUNDS = 40
#: how far a current in A, or a size, may lie beyond a bound before its regime is left
SLACK = 1e-9
FREE, BLOCKED, LIMITED = 0, 1, 2
Regime = Literal[0, 1, 2]


def one_way(limits_a: NDArray[np.float64], start: Complex, own: Complex) -> tuple[Complex, NDArray[np.bool_]]:
    """Return the size of each source (sources × cases) that agrees with its regime, and where all came to rest.

    limits_a: the greatest current of each, infinite for one that neither limits nor blocks, such as a battery.
    start, own: as `settle` takes them. A source whose own circuit is open keeps its size.
    """
    count, cases = start.shape
    matrix = np.moveaxis(own.real, 2, 0)
    bounded = np.isfinite(limits_a)[:, None] & (np.moveaxis(own.real.diagonal(), 0, 1) > 0)
    regime = np.zeros((count, cases), dtype=np.int8)
    scale = start.real.copy()
    still = np.zeros(cases, dtype=bool)
    for _ in range(ROUNDS):
        held = (regime != FREE).T
        system = np.where(held[:, :, None], matrix, np.eye(count)[None, :, :])
        target = np.where(regime == LIMITED, np.where(bounded, limits_a[:, None], 0), 0)
        right = np.where(regime == FREE, start.real, target)
        scale = np.linalg.solve(system, right.T[:, :, None])[:, :, 0].T
        current = np.einsum("cjk,kc->jc", matrix, scale)
        after = np.where(regime != FREE, regime, np.where(current > limits_a[:, None] + SLACK, LIMITED, FREE))
        after = np.where((regime == FREE) & (current < -SLACK), BLOCKED, after)
        after = np.where((regime == BLOCKED) & (scale < start.real - SLACK), FREE, after)
        after = np.where((regime == LIMITED) & (scale > start.real + SLACK), FREE, after)
        after = np.where(bounded, after, FREE)
        still = np.all(after == regime, axis=0)
        if still.all():
            break
        regime = np.where(still[None, :], regime, after).astype(np.int8)
    return np.asarray(scale, dtype=complex), still
