"""Sources that limit and diodes that conduct, against transient runs of ngspice: the last full cycle,
within 2 %.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from asfitted.description.load import load
from asfitted.network.build import build
from asfitted.network.equivalent import Equivalent, equivalent
from asfitted.network.states import State
from asfitted.studies.faults.cases import Places
from asfitted.studies.faults.stage import Bench, Case, Switched
from asfitted.studies.faults.study import combinations_of_sites
from asfitted.studies.faults.units import Units
from tests.oracle.transient import Drive, Transient
from tests.studies.faults import builds

RESISTANCES = (0.01, 1.0, 4.0, 8.0, 15.0)
BOAT = Path(__file__).parents[2] / "example_builds" / "slow_heron" / "build.yaml"
TOLERANCE = 0.02


@dataclass(frozen=True)
class Scene:
    """One state of one circuit, with faults at which a source limits or diodes conduct."""

    circuit: Equivalent
    state: State

    def faults(self) -> Iterator[tuple[str, str, float]]:
        places = Places(self.circuit)
        for position in places.positions:
            for other in (position.neutral, position.case):
                if port := places.port(position.line, other):
                    yield from ((*port, ohm) for ohm in RESISTANCES)


def scenes() -> dict[str, Scene]:
    van = builds.circuit()
    boat_network = build(load(BOAT))
    boat = equivalent(boat_network, combinations_of_sites(boat_network)[0], "least")
    return {
        "van on inverter": Scene(van, builds.state(van.network, site="unplugged", inverter="running")),
        "van plugged in, inverter idle": Scene(
            van, builds.state(van.network, site="live", inverter="running")
        ),
        "boat on shore through its isolator": Scene(
            boat, builds.state(boat_network, shore="live", combi="running")
        ),
        "boat inverting": Scene(boat, builds.state(boat_network, shore="unplugged", combi="running")),
    }


def compare(scene: Scene, every: int, folder: Path) -> tuple[int, float]:
    """Return how many faults were compared and the worst deviation; those below 1 A are left out."""
    bench = Bench(scene.circuit, Units(scene.circuit))
    switched = Switched(scene.state)
    closed = bench.closed(switched)
    branches = tuple(b for n, b in enumerate(scene.circuit.circuit.branches) if closed[n])
    energised = scene.circuit.energised(scene.state)
    stiff, limited, diodes = {}, {}, []
    for source, on in zip(scene.circuit.sources, energised, strict=True):
        for id_ in source.branches:
            volts = scene.circuit.circuit.branches[scene.circuit.circuit.index[id_]].emf_v
            if source.kind == "diodes":
                diodes.append(id_)
            elif not on:
                stiff[id_] = 0.0
            elif source.kind == "limited":
                limited[id_] = (volts, source.limit)
            else:
                stiff[id_] = volts
    deck = Transient(branches, scene.circuit.circuit.frequency_hz, Drive(stiff, limited, diodes))
    phases = (1.0,) * len(bench.adjustable)
    chosen = [f for f in scene.faults() if deck.joins(f[0], f[1])]
    stage = bench.solve([Case(switched, (((a, b), ohm),), phases) for a, b, ohm in chosen])
    ours = abs(stage.outcome.altered[:, 0])
    flowing = [(f, a) for f, a in zip(chosen, ours.tolist(), strict=True) if a >= 1][::every]
    theirs = deck.rms_a([f for f, _ in flowing], folder, "scene")
    worst = max(abs(t - a) / a for t, (_, a) in zip(theirs, flowing, strict=True))
    return len(flowing), worst


@pytest.mark.parametrize("name", ["van on inverter", "boat on shore through its isolator"])
def test_a_sample_of_limited_faults(name, tmp_path):
    count, worst = compare(scenes()[name], 23, tmp_path)
    assert count >= 2
    assert worst < TOLERANCE


@pytest.mark.long
@pytest.mark.parametrize("name", scenes())
def test_limited_faults(name, tmp_path, record_property):
    count, worst = compare(scenes()[name], 3, tmp_path)
    record_property("cases", count)
    record_property("worst", worst)
    print(f"\n{name}: {count} runs, worst {worst:.1e}")
    assert worst < TOLERANCE
