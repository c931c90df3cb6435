"""The picture: well-formed, accessible, black and white, the symbols where their ports are."""

import math
import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from asfitted.figures.draw import Look, draw
from asfitted.figures.graph import Diagram, Piece, Wire
from asfitted.figures.layout import PAPERS, Box, lay_out_sheet
from asfitted.figures.layout.shapes import END, SHAPES
from asfitted.figures.symbols import DRAW, Pen

from .samples import SAMPLES

SVG = "{http://www.w3.org/2000/svg}"
A4 = PAPERS["A4 portrait"]


def parse(svg: bytes) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314


def picture(name: str, look: Look | None = None) -> ET.Element:
    diagram = SAMPLES[name]()
    return parse(draw(lay_out_sheet(diagram, A4), diagram, "A title", "What it shows", look or Look()))


def local(element: ET.Element) -> str:
    return element.tag.removeprefix(SVG)


@pytest.mark.parametrize("name", SAMPLES)
def test_picture_is_accessible_and_complete(name: str) -> None:
    root = picture(name)
    assert root.get("role") == "img"
    assert root.get("lang") == "en"
    assert root.get("font-family") == "Source Sans Pro"
    assert [local(child) for child in root[:2]] == ["title", "desc"]
    assert (root[0].text, root[1].text) == ("A title", "What it shows")
    diagram = SAMPLES[name]()
    shown = {"".join(text.itertext()) for text in root.iter(f"{SVG}text")}
    for piece in diagram.pieces:
        assert piece.name in shown, piece.name


def test_size_on_paper_is_true() -> None:
    root = picture("hut")
    width_pt, height_pt = (float(v) for v in root.get("viewBox", "").split()[2:])
    assert float(root.get("width", "").removesuffix("mm")) == pytest.approx(width_pt * 25.4 / 72, abs=0.02)
    assert float(root.get("height", "").removesuffix("mm")) == pytest.approx(height_pt * 25.4 / 72, abs=0.02)
    sizes = [float(text.get("font-size", "0")) for text in root.iter(f"{SVG}text")]
    assert min(sizes) >= 6


def test_only_black_and_white_and_valid_styles() -> None:
    for name in SAMPLES:
        for element in picture(name).iter():
            style = dict(part.split(":") for part in element.get("style", "").split(";") if part)
            assert style.get("stroke", "black") == "black"
            assert style.get("fill", "none") in ("black", "white", "none")
            assert re.fullmatch(r"[0-9.]+(,[0-9.]+)*", style.get("stroke-dasharray", "1"))
            for value in element.attrib.values():
                assert not re.search(r"\d\.\d{3}", value), value


def test_text_of_strangers_survives() -> None:
    nasty = ("heater & fan <2>", "$5 or $6", "bell \x07 rings", "]]> &amp;")
    diagram = Diagram(
        (Piece("a", "source", nasty[0], nasty[1:]), Piece("b", "load", "b")),
        (Wire("w", ("a", ""), ("b", "")),),
    )
    root = parse(draw(lay_out_sheet(diagram, A4), diagram, nasty[0], nasty[2]))
    shown = [text.text for text in root.iter(f"{SVG}text")]
    for line in ("heater & fan <2>", "$5 or $6", "bell rings", "]]> &amp;"):
        assert line in shown
    assert (root[0].text, root[1].text) == (nasty[0], "bell rings")


def test_live_heavy_dead_thin_and_dashed_symbols_never_dashed() -> None:
    diagram = SAMPLES["hut"]()
    wires = {wire.id: "dead" for wire in diagram.wires}
    pieces = {piece.id: "dead" for piece in diagram.pieces if not piece.planned}
    solid = replace(diagram, pieces=tuple(replace(p, planned=False) for p in diagram.pieces))
    page = lay_out_sheet(solid, A4)
    root = parse(draw(page, solid, "t", "d", Look(wires=wires, pieces=pieces)))
    paths = [e for e in root.iter() if e.get("style")]
    dashed = [e for e in paths if "stroke-dasharray:2.4,1.8" in e.get("style", "")]
    bars = [e for e in dashed if "stroke-width:0.7" not in e.get("style", "")]
    assert len(dashed) - len(bars) == len(diagram.wires)
    assert len(bars) == sum(piece.symbol == "bar" for piece in diagram.pieces)
    live = parse(draw(page, solid, "t", "d", Look(wires=dict.fromkeys(wires, "live"))))
    heavy = [e for e in live.iter() if "stroke-width:2.1" in e.get("style", "")]
    assert len(heavy) == len(diagram.wires)


def test_state_word_follows_the_name_on_the_same_line() -> None:
    diagram = SAMPLES["trailer"]()
    page = lay_out_sheet(diagram, A4)
    root = parse(draw(page, diagram, "t", "d", Look(word={"Q2": "open"}, pose={"Q2": "open"})))
    texts = list(root.iter(f"{SVG}text"))
    name = next(t for t in texts if t.text == "Q2")
    word = next(t for t in texts if t.text == "open")
    assert name.get("y") == word.get("y")
    assert name.get("font-weight") == "bold"
    assert word.get("font-weight") is None


def test_planned_parts_are_dashed() -> None:
    diagram = SAMPLES["hut"]()
    root = picture("hut")
    dashed = [e for e in root.iter() if "stroke-dasharray:4,2" in e.get("style", "")]
    planned = sum(p.planned for p in diagram.pieces) + sum(w.planned for w in diagram.wires)
    assert len(dashed) >= planned


def test_same_bytes_twice() -> None:
    diagram = SAMPLES["boat"]()
    assert draw(lay_out_sheet(diagram, A4), diagram, "t", "d") == draw(
        lay_out_sheet(diagram, A4), diagram, "t", "d"
    )


def test_every_shape_has_a_drawing() -> None:
    assert set(DRAW) == {name for name, shape in SHAPES.items() if shape.manner != "bar"}


@pytest.mark.parametrize("name", sorted(DRAW))
@pytest.mark.parametrize("pose", ["", "open", "closed", "s1", "s2", "off"])
def test_drawing_stays_in_its_outline(name: str, pose: str) -> None:
    pen = Pen(0, 0, True, 1.0, 1.0, pose=pose)  # type: ignore[arg-type]
    DRAW[name](pen)
    half_w, half_l = SHAPES[name].width_mm / 2, SHAPES[name].length_mm / 2
    for segment in pen.segments:
        box = segment.get_bbox()
        assert -half_w - 0.7 <= box.xmin <= box.xmax <= half_w + 0.7
        assert -half_l - 0.7 <= box.ymin <= box.ymax <= half_l + 0.7


@pytest.mark.parametrize("name", sorted(DRAW))
def test_ink_reaches_every_port(name: str) -> None:
    shape = SHAPES[name]
    ports = list(shape.ports.values()) or [(END, 0.0)]
    pen = Pen(0, 0, True, 1.0, 1.0)
    DRAW[name](pen)
    for side, offset in ports:
        x, y = offset, -shape.length_mm / 2 if side == END else shape.length_mm / 2
        gap = min(_distance(segment.get_bbox(), x, y) for segment in pen.segments)
        assert gap < 0.05, (side, offset)


def _distance(box, x: float, y: float) -> float:
    dx = max(box.xmin - x, 0, x - box.xmax)
    dy = max(box.ymin - y, 0, y - box.ymax)
    return math.hypot(dx, dy)


def test_contacts_are_drawn_as_they_stand() -> None:
    def ink(symbol: str, pose: str) -> str:
        pen = Pen(0, 0, True, 1.0, 1.0, pose=pose)  # type: ignore[arg-type]
        DRAW[symbol](pen)
        return repr([getattr(segment, "path", None) for segment in pen.segments])

    for symbol in ("breaker", "rcd", "rcbo", "isolator", "switch", "contactor"):
        assert ink(symbol, "open") != ink(symbol, "closed")
    assert len({ink("transfer", pose) for pose in ("s1", "s2", "off")}) == 3
    assert ink("inverter_charger", "open") != ink("inverter_charger", "closed")


def test_turned_symbol_points_the_other_way() -> None:
    diagram = SAMPLES["road_vehicle"]()
    page = lay_out_sheet(diagram, A4)
    boxes: dict[str, Box] = {box.piece: box for box in page.boxes}
    # The supply hangs above its wire, a socket below its own.
    assert not boxes["site"].turned
    assert boxes["ac_bar-X1"].turned
    assert dict(boxes["QF1"].ports)["in"].y < dict(boxes["QF1"].ports)["out"].y
