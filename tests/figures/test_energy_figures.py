"""The figures of energy: the same bytes twice, text as text inside the sheet, bands that are true to scale."""

import re
from functools import cache
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest

from asfitted.figures.canvas import spread
from asfitted.figures.energy_flow import Stream, _grouped, energy_figures, streams
from asfitted.figures.layout.measure import MM_PER_PT, text_width_mm
from tests.studies.builds import studied

SVG = "{http://www.w3.org/2000/svg}"
WIDTH_MM = 165.0


def bank():
    return studied().energy.banks[0]


@cache
def drawn():
    return energy_figures(bank(), WIDTH_MM)


def test_there_is_one_for_the_days_one_for_the_year_and_one_for_each_kind_of_day():
    assert [figure.name for figure in drawn()] == [
        "energy-days-battery", "energy-year-battery", "energy-flow-battery-1", "energy-flow-battery-2",
        "energy-flow-battery-3",
    ]  # fmt: skip


def test_the_same_bytes_twice():
    assert [f.svg for f in energy_figures(bank(), WIDTH_MM)] == [f.svg for f in drawn()]


@pytest.mark.parametrize("number", range(5))
def test_text_is_text_within_the_sheet_and_without_colour(number):
    root = ET.fromstring(drawn()[number].svg)  # noqa: S314  (our own picture)
    width, height = (float(v) * MM_PER_PT for v in root.get("viewBox").split()[2:])
    assert root.find(f"{SVG}title").text
    assert root.find(f"{SVG}desc").text
    texts = root.findall(f"{SVG}text")
    assert len(texts) > 5
    boxes = []
    for text in texts:
        x, y = float(text.get("x")) * MM_PER_PT, float(text.get("y")) * MM_PER_PT
        long = text_width_mm(text.text, text.get("font-weight") == "bold")
        left = x - {"end": long, "middle": long / 2}.get(text.get("text-anchor"), 0.0)
        assert left >= -0.01, text.text
        assert left + long <= width + 0.01, text.text
        assert 0 < y < height, text.text
        boxes.append((left, left + long, y))
    for i, (a, b, y) in enumerate(boxes):
        for c, d, other in boxes[i + 1 :]:
            assert abs(y - other) > 2.0 or b <= c or d <= a
    for tone in re.findall(r"#[0-9a-f]{6}", drawn()[number].svg.decode()):
        assert tone[1:3] == tone[3:5] == tone[5:7], "a colour would be lost in black and white"


def test_both_sides_of_a_flow_are_equal_and_told_in_words():
    for day in bank().days:
        came, went = streams(bank(), day)
        assert sum(s.wh for s in came) == pytest.approx(sum(s.wh for s in went), abs=1.0)
    assert any("kettle 500 Wh" in line for line in drawn()[2].description)


def test_small_streams_are_told_together_and_nothing_is_lost():
    found = [Stream(str(n), wh, "#ffffff") for n, wh in enumerate((900, 80, 15, 5, 0.0))]
    grouped = _grouped(found, "other")
    assert [s.name for s in grouped] == ["0", "1", "other"]
    assert sum(s.wh for s in grouped) == 1000


def test_labels_keep_their_distance_and_their_order():
    placed = spread([5, 5, 5, 30], 3, 0, 40)
    assert placed == sorted(placed)
    assert all(b - a >= 3 - 1e-9 for a, b in pairwise(placed))
    assert placed[3] == 30
    assert max(spread([40, 40], 3, 0, 40)) <= 40
