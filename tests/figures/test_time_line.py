"""The time line of a changeover: pure geometry on any order of events, and every word inside the picture."""

from functools import cache
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.load import load
from asfitted.figures.layout.measure import MM_PER_PT, text_width_mm
from asfitted.figures.time_line import grid, time_line
from asfitted.studies.study import Study, study
from asfitted.studies.transfer.order import Lane, Span, TimeLine
from tests.conftest import EXAMPLES

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("paper_lantern", "slow_heron", "tin_kiln")


@cache
def example(name: str) -> Study:
    return study(load(EXAMPLES / name / "build.yaml"))


def lines(name: str) -> list[TimeLine]:
    return [line for transfer in example(name).transfers.transfers for line in transfer.lines]


@given(events=st.integers(2, 6), lanes=st.integers(1, 12), width_mm=st.floats(110, 260))
def test_events_stand_in_order_and_lanes_below_each_other(events, lanes, width_mm):
    line = TimeLine("Q1", True, "a", "b", ("opens",) * events, (Lane("load", "x.y", ()),) * lanes, ())
    place = grid(line, width_mm)
    xs = [place.x(n) for n in range(-1, events + 1)]
    assert all(a < b for a, b in pairwise(xs))
    assert place.left == xs[0] > 0
    assert xs[-1] < width_mm
    assert all(b - a > 4 for a, b in pairwise(place.lanes))
    assert place.lanes[-1] < place.height
    bar = place.bar(0, Span(-1, events))
    assert (bar.x0, bar.x1) == (place.left, place.right)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width_mm", [120, 166])
def test_words_stay_inside_the_picture_and_it_is_black_on_white(name, width_mm):
    for number, line in enumerate(lines(name), 1):
        figure = time_line(example(name).network, line, number, width_mm)
        root = ET.fromstring(figure.svg)  # noqa: S314  (our own picture)
        _, _, width, height = map(float, root.get("viewBox").split())
        for text in root.findall(f"{SVG}text"):
            wide = text_width_mm(text.text) / MM_PER_PT
            left = float(text.get("x")) - (0 if text.get("text-anchor") == "start" else wide / 2)
            assert left >= 0, text.text
            assert left + wide <= width + 0.5, text.text
            assert 0 <= float(text.get("y")) <= height
        colours = {e.get(part) for e in root.iter() for part in ("fill", "stroke")} - {None, "none"}
        assert colours <= {"black", "white"}
        assert root.find(f"{SVG}title").text == figure.title


@pytest.mark.parametrize("name", NAMES)
def test_what_the_picture_shows_stands_in_words_too(name):
    for number, line in enumerate(lines(name), 1):
        figure = time_line(example(name).network, line, number, 166)
        said = "\n".join(figure.description)
        for lane in line.lanes:
            assert (lane.of.partition(".")[2] or lane.of.replace("_", " ")) in said
        assert len(figure.description) == 1 + len(line.dimensions) + len(line.lanes)


def test_no_two_contacts_and_no_two_links_in_use_are_closed_together():
    """Break before make, read off the lanes: between any two events at most one contact is closed."""
    for name in NAMES:
        for line in lines(name):
            for kind in ("contact", "bond"):
                bars = [s for lane in line.lanes if lane.kind == kind for s in lane.spans if s.look == "on"]
                for start in range(-1, len(line.events)):
                    assert sum(s.from_ <= start < s.to for s in bars) <= 1


def test_a_relay_bond_closes_before_the_contact_and_opens_after_it():
    lost, back = lines("slow_heron")
    assert lost.events == ("goes", "opens", "bond closes", "closes")
    assert back.events == ("back", "opens", "bond opens", "closes")


def test_a_fixed_bond_is_idle_while_the_site_feeds():
    lost, _ = lines("paper_lantern")
    bond = next(lane for lane in lost.lanes if lane.kind == "bond")
    assert [span.look for span in bond.spans] == ["idle", "on"]
