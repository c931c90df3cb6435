"""A year in minutes beside what the machine itself takes for a loop of as many steps.

`pytest tests/benchmarks/test_energy.py --long -s` prints the seconds; what is asserted is a ratio within one run.
"""

import time

import numpy as np
import pytest

from asfitted.studies.energy.simulate import Store, simulate

STEPS = 365 * 1440

pytestmark = pytest.mark.long


def fastest(work, repeat: int = 3) -> float:
    best = float("inf")
    for _ in range(repeat):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def test_a_year_in_minutes_takes_a_few_bare_loops():
    hour = np.arange(STEPS) / 60 % 24
    rng = np.random.default_rng(1)
    load = 120 + 80 * (hour > 18) + rng.random(STEPS) * 20
    source = np.clip(np.sin((hour - 6) / 12 * np.pi), 0, None) * 800
    store = Store(5120, 1024, 0.95, 0.33, 2560, 256, 1.05)
    may = np.ones(STEPS, bool)

    def bare() -> float:
        total = 0.0
        for value in load.tolist():
            if value > 0.0:
                total = max(total - value, 0.0) + 1.0
        return total

    year, loop = fastest(lambda: simulate(store, 5120, load, source, may, 1 / 60)), fastest(bare)
    print(
        f"\na year in minutes {year:.3f} s, a bare loop of as many steps {loop:.3f} s, ratio {year / loop:.1f}"
    )
    assert year / loop < 10
