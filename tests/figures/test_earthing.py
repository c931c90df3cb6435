"""Earthing figures of the small described build: the bond where it lands, in use or idle."""

from xml.etree import ElementTree as ET

import pytest

from asfitted.description.load import load_text
from asfitted.figures.earth_view import earth_view
from asfitted.figures.earthing import earthing, earthing_states
from asfitted.figures.figure import Figure
from asfitted.figures.layout import PAPERS, lay_out_sheet
from asfitted.network.build import build
from asfitted.network.model import Network
from asfitted.network.states import states

from .builds import BOAT, VAN
from .geometry import faults

A4 = PAPERS["A4 landscape"]
SVG = "{http://www.w3.org/2000/svg}"
MORE = """
    F3: {RCBO: 10 A, W12: 5 m, sockets: 1 × 16 A galley}
    F4: {RCBO: 10 A, W13: 5 m, load: boiler, loads: {boiler: 1 kW heater}}
"""


def network_of(text: str) -> Network:
    loaded = load_text(text)
    assert [str(problem) for problem in loaded.problems] == []
    return build(loaded)


@pytest.fixture(scope="module")
def network() -> Network:
    return network_of(VAN.replace("states:", MORE.strip("\n") + "\nstates:"))


def texts(figure: Figure) -> list[str]:
    return [str(text.text) for text in ET.fromstring(figure.svg).iter(f"{SVG}text")]  # noqa: S314


def test_bond_is_drawn_where_it_lands(network: Network) -> None:
    view = earth_view(network)
    symbols = {piece.id: piece.symbol for piece in view.diagram.pieces}
    assert (symbols["site"], symbols["inverter"]) == ("bond", "bond")
    on_bar = VAN.replace("lands on: own earth terminal", "lands on: earth_bar")
    moved = earth_view(network_of(on_bar)).diagram
    symbols = {piece.id: piece.symbol for piece in moved.pieces}
    assert symbols["inverter N"] == "neutral"
    link = next(wire for wire in moved.wires if wire.id == "inverter link")
    assert link.b[0] == "earth_bar"


def test_protective_conductors_and_only_they_are_drawn(network: Network) -> None:
    drawn = {cable for cables in earth_view(network).cables.values() for cable in cables}
    earthed = {
        c.id for c in network.cables.values() if any(core.conductor in ("PE", "bond") for core in c.cores)
    }
    assert drawn == earthed | {"W8", "W9"}


def test_equal_circuits_are_drawn_as_one(network: Network) -> None:
    figure = earthing(network, A4)[0]
    assert "3 circuits" in texts(figure)
    assert any(
        "boiler, desk, galley" in line or "desk, galley, boiler" in line for line in figure.description
    )


def test_geometry(network: Network) -> None:
    view = earth_view(network)
    for paper in PAPERS.values():
        assert faults(lay_out_sheet(view.diagram, paper), view.diagram) == []


def test_idle_bond_in_outline(network: Network) -> None:
    found = earthing_states(network, states(network), A4)
    battery = next(state for state in states(network) if state.name == "on battery")
    figure = found[battery.id][0]
    assert {"idle", "in use", "unplugged"} <= set(texts(figure))
    assert "Neutral link of site: idle" in figure.description
    assert "Neutral link of inverter: in use" in figure.description
    assert b"stroke-width:0.57" in figure.svg
    assert b"stroke-width:1.25" in figure.svg


def test_reads_in_words(network: Network) -> None:
    said = "\n".join(earthing(network, A4)[0].description)
    for cable in ("W1", "W2", "W8", "W9"):
        assert cable in said
    assert "from inverter to earth bar" in said


def test_screen_of_a_transformer_is_apart_from_its_secondary() -> None:
    view = earth_view(network_of(BOAT))
    ends = {wire.id: {wire.a[0], wire.b[0]} for wire in view.diagram.wires}
    assert ends["W3"] == {"iso screen", "earth_bar"}
    assert ends["W4"] == {"iso", "earth_bar"}
    symbols = {piece.id: piece.symbol for piece in view.diagram.pieces}
    assert symbols["main_minus"] == "negative"
    assert symbols["multi"] == "bond"
