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
from asfitted.studies.naming import named

from .builds import BOAT, VAN
from .geometry import faults

A4 = PAPERS["A4 portrait"]
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
    # Each protective conductor's size is there, for a group as well.
    assert "PE 2.5 mm²" in texts(figure) or any("PE 2.5 mm²" in text for text in texts(figure))
    assert any(
        "boiler, desk, galley" in line or "desk, galley, boiler" in line for line in figure.description
    )


def test_geometry(network: Network) -> None:
    view = earth_view(network)
    for paper in PAPERS.values():
        assert faults(lay_out_sheet(view.diagram, paper), view.diagram) == []


def test_one_figure_for_each_set_of_links_in_use(network: Network) -> None:
    plugged, battery = earthing_states(network, named(states(network)), A4)
    assert (plugged.title, battery.title) == (
        "Earthing with the link of site in use: site plugged in and live, inverter running; plugged in",
        "Earthing with the link of inverter in use: on battery; site plugged in but dead, inverter running",
    )
    assert {"idle", "in use"} <= set(texts(battery))
    assert "Link from neutral to earth of site: idle" in battery.description
    assert "Link from neutral to earth of inverter: in use" in battery.description
    assert "inlet: unplugged in at least one of these states" in battery.description
    # The lead is dashed where it may be away.
    assert battery.svg.count(b"stroke-dasharray:2.4,1.8") == 1
    assert plugged.svg.count(b"stroke-dasharray:2.4,1.8") == 0


def test_a_caption_names_few_states_and_the_words_all_of_them() -> None:
    boat = network_of(BOAT)
    found = named(states(boat))
    for figure in earthing_states(boat, found, A4):
        said = next(line for line in figure.description if line.startswith("In these states: "))
        valid = said.removeprefix("In these states: ").split("; ")
        assert set(valid) <= {state.name for state in found}
        assert figure.title.count(";") == min(len(valid), 4) - 1
        assert (f"and {len(valid) - 3} others" in figure.title) == (len(valid) > 4)


def links(figure: Figure) -> list[str]:
    """Return the fill of each link: the only polygons of 1.5 mm breadth."""
    found = []
    root = ET.fromstring(figure.svg)  # noqa: S314
    scale = max(float(text.get("font-size", "")) for text in root.iter(f"{SVG}text")) / 7
    for polygon in root.iter(f"{SVG}polygon"):
        points = [tuple(map(float, point.split(","))) for point in polygon.get("points", "").split()]
        sides = sorted(max(axis) - min(axis) for axis in zip(*points, strict=True))
        if sides[0] == pytest.approx(1.5 * scale * 72 / 25.4, abs=0.05):
            found.append(dict(p.split(":") for p in polygon.get("style", "").split(";") if p)["fill"])
    return found


def test_link_in_use_is_filled_and_an_idle_one_in_outline(network: Network) -> None:
    for figure in earthing_states(network, named(states(network)), A4):
        assert sorted(links(figure)) == ["black", "white"]
    assert links(earthing(network, A4)[0]) == ["black", "black"]


def test_neutral_tied_by_a_conductor() -> None:
    tied = VAN.replace(
        "neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}",
        "neutral bond: {kind: none}",
    )
    tied = tied.replace(
        "  - earth: [inverter", "  - bond: [n_bar, W99: 16 mm² 0.3 m, earth_bar]\n  - earth: [inverter"
    )
    network = network_of(tied)
    view = earth_view(network)
    symbols = {piece.id: piece.symbol for piece in view.diagram.pieces}
    assert symbols["n_bar"] == "neutral"
    titles = [figure.title for figure in earthing_states(network, named(states(network)), A4)]
    assert titles == [
        "Earthing with the link of W99, site in use: site plugged in and live, inverter running; plugged in",
        "Earthing with the link of W99 in use: on battery; site plugged in but dead, inverter running",
    ]


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
