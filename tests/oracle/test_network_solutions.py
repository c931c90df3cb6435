"""Currents of every fault against ngspice: one process for each state, fault resistances altered in it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from asfitted.description.load import load
from asfitted.network.build import build
from asfitted.network.model import Network
from tests.oracle.cases import deviation, groups
from tests.oracle.ngspice import Deck, currents
from tests.studies.faults.builds import network as van

EXAMPLES = sorted((Path(__file__).parents[2] / "example_builds").glob("*/build.yaml"))
TOLERANCE = 1e-3
#: cases of one build in a short run; a long one takes all
SAMPLE = 200


def example(path: Path) -> Callable[[], Network]:
    return lambda: build(load(path))


NETWORKS = {**{path.parent.name: example(path) for path in EXAMPLES}, "van": van}


@pytest.mark.parametrize("name", NETWORKS)
def test_a_sample_of_fault_currents_agrees_with_ngspice(name, tmp_path, record_property):
    compare(name, tmp_path, record_property, SAMPLE)


@pytest.mark.long
@pytest.mark.parametrize("name", NETWORKS)
def test_every_fault_current_agrees_with_ngspice(name, tmp_path, record_property):
    compare(name, tmp_path, record_property, 10**6)


def compare(name: str, tmp_path: Path, record_property: Callable[[str, object], None], most: int) -> None:
    network = NETWORKS[name]()
    found = list(groups(network, "least"))
    step = max(1, round(sum(len(group.told) for group in found) / most))
    cases, worst, worst_residual = 0, 0.0, 0.0
    for group in found:
        deck = Deck(group.branches, group.hz, group.poles)
        told = [t for t in group.told if deck.joins(*t.spice.ports[0][:2])][::step]
        for ours, (ports, poles) in zip(
            told, currents(deck, [t.spice for t in told], tmp_path, group.name), strict=True
        ):
            cases += 1
            worst = max(worst, deviation(ports[0], ours.port_a))
            worst = max(worst, *(deviation(poles[id_], a) for id_, a in ours.poles.items()))
            for summed in group.devices.values():
                theirs = sum((poles[id_] for id_ in summed), 0j)
                mine = sum((ours.poles[id_] for id_ in summed), 0j)
                worst_residual = max(worst_residual, deviation(theirs, mine))
    record_property("cases", cases)
    record_property("worst", worst)
    print(f"\n{name}: {cases} cases, worst {worst:.1e}, residual {worst_residual:.1e}")
    assert cases > 90
    assert worst < TOLERANCE
    assert worst_residual < TOLERANCE
