"""The trailer under NFPA 70 and the boat under ISO 13297 against the sums that stand in their descriptions."""

from functools import cache
from pathlib import Path

import pytest

from asfitted.description.load import load_text
from asfitted.network.build import build
from asfitted.network.states import states
from asfitted.studies.sizing import Sizing, size

EXAMPLES = Path(__file__).resolve().parents[2] / "example_builds"


@cache
def sized(name: str) -> Sizing:
    path = EXAMPLES / name / "build.yaml"
    network = build(load_text(path.read_text(encoding="utf-8"), path))
    return size(network, states(network))


@pytest.mark.parametrize("name", ["tin_kiln", "slow_heron"])
def test_nothing_of_the_two_upper_classes(name):
    assert not [f.code for f in sized(name).findings if f.grade.bars_publication]


@pytest.mark.parametrize(
    ("name", "cable", "design_a", "capacity_a"),
    [
        ("tin_kiln", "W13", 997 / 120, 15),  # charger; 14 AWG, terminals of 60 °C
        ("tin_kiln", "W14", 900 / 120, 20),  # kettle; 12 AWG
        ("tin_kiln", "W22", 1900 / 0.9 / 24, 130),  # inverter; 1 AWG, terminals of 75 °C
        ("tin_kiln", "W23", 30, 50),  # charging; 8 AWG: 55 × 0.96 = 53 A, terminals of 75 °C 50 A
        ("slow_heron", "W23", 2500 / 0.9 / 21.6, 231),  # 70 mm² EPR in conduit: 254 × 0.91
        ("slow_heron", "W40", 55, 94),  # alternator; 25 mm² EPR in the engine room: 133 × 0.71, method B1
        ("slow_heron", "W10", 6.2, 23.5),  # cutting table; 27 × 0.87
    ],
)
def test_sums_of_the_descriptions(name, cable, design_a, capacity_a):
    found = sized(name).cables[cable]
    assert found.design_current_a == pytest.approx(design_a, rel=0.03)
    assert found.capacity_a == pytest.approx(capacity_a, rel=0.05)


def test_continuous_loads_of_the_trailer():
    result = sized("tin_kiln")
    needed = {w.subject: w.result for w in result.workings if w.quantity == "continuous_load"}
    assert needed["W22"] == pytest.approx(1.25 * 88.0, rel=0.01)  # 110 A of the 125 A of F11
    assert needed["W13"] == pytest.approx(1.25 * 8.3, rel=0.01)


def test_every_outlet_of_the_trailer_is_cut_off_from_all_three_sources():
    found = {(x.outlet, x.source): x.outcome for x in sized("tin_kiln").loops}
    for outlet in ("bench", "wheels"):
        for source in ("site", "generator", "inverter"):
            assert found[outlet, source] == "residual"


def test_shore_fault_of_the_boat_returns_through_the_galvanic_isolator():
    loop = next(x for x in sized("slow_heron").loops if (x.outlet, x.source) == ("galley", "shore"))
    assert {"W4", "W5"} <= {core.cable for core in loop.earth}
    assert loop.outcome == "overcurrent"
