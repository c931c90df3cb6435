"""How long the fault study takes as a build grows, and beside the same cases through ngspice.

`pytest tests/benchmarks/test_faults.py --long -s -p no:xdist` prints the tables; every time was measured in
that run, and what is extrapolated says from how many runs.
"""

import time
from pathlib import Path

import pytest
from tests.oracle.cases import groups
from tests.oracle.ngspice import Deck, currents
from tests.studies.faults import builds

from asfitted.network.equivalent import equivalent
from asfitted.network.mna import System
from asfitted.network.states import State, states
from asfitted.studies.faults.cases import Places, faults
from asfitted.studies.faults.stage import Bench, Case, Switched
from asfitted.studies.faults.study import combinations_of_sites, play_states
from asfitted.studies.faults.units import Units

pytestmark = pytest.mark.long

#: terminals -> socket circuits that make about so many; each adds seven
CIRCUITS = {50: 0, 100: 5, 200: 19, 300: 34, 400: 48, 600: 76, 800: 105}
TWELVE = 12


def build_of(circuits: int) -> str:
    """Return the sound vehicle with more socket circuits on its board."""
    more = (
        f"    FX{n}: {{RCBO: 10 A, WX{n}: {3 + n % 7} m, sockets: 2 × 16 A place_{n}, loads: {{lamp {n}: 20 W}}}}\n"
        for n in range(circuits)
    )
    return builds.changed(builds.VAN, *builds.SOUND) + "".join(more)


def twelve_states(text: str) -> tuple[State, ...]:
    """Return twelve states: those that there are, the first again until there are enough."""
    found = states(builds.network(text))
    return (*found, *found[: TWELVE - len(found)])


@pytest.mark.parametrize("terminals", CIRCUITS)
def test_everything_of_a_build(terminals, monkeypatch, capsys):
    text = build_of(CIRCUITS[terminals])
    network, found = builds.network(text), twelve_states(text)
    counted = {"cases": 0, "factors": 0}
    solve, factor = Bench.solve, System.__init__

    def solving(self, cases):
        counted["cases"] += len(cases)
        return solve(self, cases)

    def factoring(self, equations, closed):
        counted["factors"] += 1
        factor(self, equations, closed)

    def whole() -> int:
        circuit = equivalent(network, combinations_of_sites(network)[0], "least")
        return sum(1 for _ in play_states(circuit, found))

    with monkeypatch.context() as patch:
        patch.setattr(Bench, "solve", solving)
        patch.setattr(System, "__init__", factoring)
        results = whole()
    seconds = min(_timed(whole, time.process_time) for _ in range(3))  # of one core, whoever else is busy
    places = Places(equivalent(network, combinations_of_sites(network)[0], "least"))
    number = len([f for f in faults(places, found[0]) if not f.direct])
    different = len({state.id for state in found})
    with capsys.disabled():
        print(
            f"\n{len(network.owner)} terminals, 12 states ({different} different) × {number} a.c. faults: "
            f"{seconds:.2f} s with everything "
            f"({results} results, {counted['cases']} case-stages, {counted['factors']} factors)"
        )
    assert results > 100


def _timed(work, clock=time.perf_counter) -> float:
    start = clock()
    work()
    return clock() - start


def test_beside_ngspice(tmp_path: Path, capsys):
    text = build_of(CIRCUITS[300])
    network = builds.network(text)
    state = states(network)[0]
    group = next(g for g in groups(network, "least", only=(state,)) if g.hz)
    circuit = equivalent(network, combinations_of_sites(network)[0], "least")
    units, chosen = (
        Units(circuit),
        [f for f in faults(Places(circuit), state) if f.port and not f.direct and not f.broken],
    )

    def ours() -> None:
        bench = Bench(circuit, units)
        phases = (1.0,) * len(bench.adjustable)
        switched = Switched(state)
        bench.solve([Case(switched, ((f.port, f.resistance_ohm),), phases) for f in chosen if f.port])

    ours()
    ours_s = min(_timed(ours) for _ in range(3)) / len(chosen)
    deck = Deck(group.branches, group.hz, group.poles)
    told = [t.spice for t in group.told if deck.joins(*t.spice.ports[0][:2])]
    altered = told[:: max(1, len(told) // 40)][:40]
    altered_s = _timed(lambda: currents(deck, altered, tmp_path, "altered")) / len(altered)
    fresh = altered[:10]
    fresh_s = _timed(
        lambda: [currents(Deck(group.branches, group.hz, group.poles), [c], tmp_path, "fresh") for c in fresh]
    ) / len(fresh)
    with capsys.disabled():
        print(
            f"\n{len(network.owner)} terminals, a.c., one case: {1000 * ours_s:.3f} ms (mean of {len(chosen)}, "
            f"factor and devices included); ngspice {1000 * altered_s:.1f} ms by alter ({len(altered)} runs), "
            f"{1000 * fresh_s:.1f} ms fresh ({len(fresh)} runs): {altered_s / ours_s:.0f} and "
            f"{fresh_s / ours_s:.0f} times as long"
        )
    assert altered_s > 10 * ours_s
