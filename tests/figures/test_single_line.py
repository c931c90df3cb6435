"""The single-line diagram of a small described build, against what its text says."""

import re
from xml.etree import ElementTree as ET

import pytest

from asfitted.description.load import load_text
from asfitted.figures.figure import Figure
from asfitted.figures.layout import PAPERS, Wording, lay_out
from asfitted.figures.single_line import not_drawn, single_line
from asfitted.figures.view import single_line_view
from asfitted.network.build import build
from asfitted.network.model import Network
from asfitted.words import catalogue

from .builds import BOAT, VAN
from .geometry import faults

A4, A5 = PAPERS["A4 portrait"], PAPERS["A5 portrait"]
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def network() -> Network:
    loaded = load_text(VAN)
    assert [str(problem) for problem in loaded.problems] == []
    return build(loaded)


def texts(figure: Figure) -> list[str]:
    return [str(text.text) for text in ET.fromstring(figure.svg).iter(f"{SVG}text")]  # noqa: S314


def test_view_follows_line_and_plus(network: Network) -> None:
    view = single_line_view(network)
    drawn = {piece.id for piece in view.diagram.pieces}
    assert {
        "site",
        "inlet",
        "QF1",
        "changeover",
        "inverter",
        "battery",
        "F10",
        "l_bar",
        "F1",
        "desk",
    } <= drawn
    assert not {"n_bar", "earth_bar", "body", "dc_minus"} & drawn
    ends = {wire.id: (wire.a, wire.b) for wire in view.diagram.wires}
    assert ends["W3"] == (("QF1", "out"), ("changeover", "s1"))
    assert ends["W6"][1] == ("changeover", "s2")
    assert ends["W21"] == (("F10", "out"), ("inverter", "in"))
    assert ends["W5"][0] == ("inverter", "out")
    assert not {"W8", "W9", "W22", "W23"} & set(ends)
    kinds = {wire.id: wire.kind for wire in view.diagram.wires}
    assert (kinds["W20"], kinds["W5"]) == ("dc", "ac")


@pytest.mark.parametrize("paper", PAPERS)
def test_boat_with_everything_is_drawn_without_faults(paper: str) -> None:
    boat = build(load_text(BOAT))
    view = single_line_view(boat)
    symbols = {piece.id: piece.symbol for piece in view.diagram.pieces}
    assert (symbols["multi"], symbols["sel"], symbols["iso"]) == (
        "inverter_charger",
        "transfer",
        "transformer",
    )
    assert (symbols["nav_lights"], symbols["bilge_pump"]) == ("lamp", "motor")
    ends = {wire.id: (wire.a, wire.b) for wire in view.diagram.wires}
    assert ends["W24"][1] == ("multi", "dc")
    assert ends["W9"][0] == ("multi", "ac_out")
    assert ends["W27"][0] == ("mppt", "out")
    wording = Wording(str, "continued")
    for sheet in lay_out(view.diagram, PAPERS[paper], wording):
        assert faults(sheet.page, sheet.diagram) == []
        assert sheet.page.size_pt >= 6


def test_single_line_says_everything_in_words_too(network: Network) -> None:
    figures = single_line(network, A4)
    assert [figure.name for figure in figures] == [f"single-line-{n}" for n in range(1, len(figures) + 1)]
    said = "\n".join(line for figure in figures for line in figure.description)
    for cable in network.cables:
        assert re.search(rf"\b{cable}\b", said), cable
    for item in ("n bar", "earth bar", "dc minus"):
        assert item in said
    written = [text for figure in figures for text in texts(figure)]
    for text in ("site", "QF1", "C16 30 mA", "125 A class T", "(planned)", "W10 3G2.5", "7 m", "4 × 16 A"):
        assert text in written, text
    joined = " ".join(written)
    assert "N–PE link: own terminals" in joined
    assert "N–PE link: at the supply" in joined
    assert figures[0].alternative.startswith("Single-line diagram of A <small> van & its shed")


def test_every_sheet_has_its_own_file(network: Network) -> None:
    first = [*single_line(network, A5), *single_line(network, A4)]
    assert first == [*single_line(network, A5), *single_line(network, A4)]
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", figure.name) for figure in first)


def test_what_a_single_line_leaves_out(network: Network) -> None:
    items, cables = not_drawn(network)
    assert {item.id for item in items} == {"n_bar", "earth_bar", "body", "dc_minus"}
    assert {cable.id for cable in cables} == {"W8", "W9", "W22", "W23"}


def test_positive_bars_bolted_together_are_direct_current() -> None:
    text = VAN.replace(
        "dc_minus: {busbar: 100 A}",
        "dc_minus: {busbar: 100 A}\n  near: {busbar: 100 A}\n  far: {busbar: 100 A}",
    )
    text = text.replace(
        "W21: battery cable 0.9 m, inverter]", "near, far, W21: battery cable 0.9 m, inverter]"
    )
    loaded = load_text(text)
    assert [str(problem) for problem in loaded.problems] == []
    wires = single_line_view(build(loaded)).diagram.wires
    assert [w.kind for w in wires if {"near", "far"} == {w.a[0], w.b[0]}] == ["dc"]


def test_every_kind_has_a_symbol_and_words() -> None:
    from asfitted.description.kinds import KINDS
    from asfitted.figures.view import _SYMBOLS

    assert set(_SYMBOLS) == set(KINDS)
    assert set(catalogue("figures")["lines"]) == set(KINDS)
