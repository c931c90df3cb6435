import base64
import re
from io import BytesIO

import pytest
from fontTools.ttLib import TTFont

from asfitted.publish.paper import PAPERS
from asfitted.publish.pictures import natural_size_pt, place, self_contained

from .sample import drawing


def test_lengths_are_read_in_the_unit_they_carry() -> None:
    assert natural_size_pt(drawing(1, 400, 200).data) == (300, 150)
    width, height = natural_size_pt(drawing(1, 254, 127, "mm").data)
    assert (round(width, 6), round(height, 6)) == (720, 360)


@pytest.mark.parametrize(
    ("paper", "size", "sheet"),
    [
        ("A4", (120, 80), "none"),
        ("A4", (182, 245), "upright"),
        ("A4", (269, 160), "turned"),
        ("A5", (120, 90), "none"),
    ],
)
def test_a_drawing_made_for_a_whole_sheet_gets_one(paper: str, size: tuple[int, int], sheet: str) -> None:
    asset = drawing(1, *size, "mm")
    placed = place(asset, PAPERS[paper], turned=False, alone=True, caption="A caption.")  # type: ignore[index]
    assert placed.sheet == sheet
    assert placed.width_pt >= 0.9 * natural_size_pt(asset.data)[0]


def test_a_drawing_brings_the_letters_that_it_uses_and_few_others() -> None:
    asset = drawing(1)
    svg = self_contained([asset])[asset.path].decode()
    fonts = [
        TTFont(BytesIO(base64.b64decode(found))) for found in re.findall(r"font/woff;base64,([^)]*)", svg)
    ]
    assert len(fonts) == 2  # regular, and the semibold of the second line
    for font in fonts:
        assert {ord(mark) for mark in "Inlet, breaker 16 A · 2.5 mm²"} <= set(font.getBestCmap())
        assert len(font.getBestCmap()) < 80
    assert len(svg) < 30_000
    assert self_contained([asset])[asset.path].decode() == svg
