"""The figure of a fault path names every part of the way and keeps its letters apart."""

from functools import cache
from xml.etree import ElementTree as ET

import pytest

from asfitted.description.load import load
from asfitted.figures.fault_path import fault_path, row
from asfitted.studies.fault_summary import severity, telling
from asfitted.studies.faults.route import Step, route
from asfitted.studies.study import Study, study
from tests.conftest import EXAMPLES

SVG = "{http://www.w3.org/2000/svg}"


@cache
def example(name: str) -> Study:
    return study(load(EXAMPLES / name / "build.yaml"))


@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
@pytest.mark.parametrize("width_mm", [120, 166])
def test_each_part_is_named_inside_the_picture(name, width_mm):
    build = example(name)
    drawn = 0
    for result in telling(build.faults.faults, 6):
        way = route(build.network, build.states, result, build.sizing.sizes)
        if way is None:
            continue
        figure = fault_path(build.network, way, result, build.state(result.state).name, 1, width_mm)
        root = ET.fromstring(figure.svg)  # noqa: S314  (our own picture)
        _, _, width, height = map(float, root.get("viewBox").split())
        texts = root.findall(f"{SVG}text")
        for text in texts:
            assert 0 <= float(text.get("x")) <= width
            assert 0 <= float(text.get("y")) <= height
        written = " ".join(text.text for text in texts)
        assert "the fault" in written
        assert ("through the person" in written) == way.person
        for step in way.steps:
            if step.part == "device" and width_mm == 166:
                assert build.network.items[step.of].name.split()[0][:4] in written
        assert root.find(f"{SVG}title").text == figure.title
        assert figure.alternative
        drawn += 1
    assert drawn >= 3


def test_the_first_is_a_fault_that_is_cleared_the_second_one_that_is_not():
    for name in ("paper_lantern", "slow_heron"):
        first, second = telling(example(name).faults.faults, 2)
        assert (first.kind, first.outcome, first.verdict) == ("live to case", "cleared", "in time")
        assert severity(second)


def test_cables_stand_between_the_boxes():
    side = row([Step("cable", "W1"), Step("device", "Q1"), Step("cable", "W2"), Step("cable", "W3")])
    assert [box.of for box in side.boxes] == ["Q1"]
    assert [[step.of for step in group] for group in side.cables] == [["W1"], ["W2", "W3"]]
