"""State figures against the states themselves: heavy is what is energised, filled is the tie that counts."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from asfitted.description.load import load, load_text
from asfitted.figures.draw import draw
from asfitted.figures.figure import Figure
from asfitted.figures.layout import PAPERS, Sheet, lay_out
from asfitted.figures.life import look, state_words
from asfitted.figures.sheet_words import wording
from asfitted.figures.state_figures import state_figures
from asfitted.figures.state_view import state_view
from asfitted.network.build import build
from asfitted.network.model import Network
from asfitted.network.states import State, states
from asfitted.studies.bonding import islands
from asfitted.studies.naming import named

from .builds import BOAT, VAN
from .geometry import faults

A4 = PAPERS["A4 portrait"]
SVG = "{http://www.w3.org/2000/svg}"
PT_PER_MM = 72 / 25.4
HEAVY = "stroke-width:2.1"


@pytest.fixture(scope="module")
def lantern(paper_lantern: Path) -> Network:
    return build(load(paper_lantern / "build.yaml"))


def all_states(network: Network) -> tuple[State, ...]:
    return named(states(network))


def figures(network: Network) -> dict[str, Figure]:
    """Return the only sheet of each state, by the name of the state."""
    drawn = state_figures(network, all_states(network), A4)
    assert all(len(sheets) == 1 for sheets in drawn.values())
    return {state.name: drawn[state.id][0] for state in all_states(network)}


def sheet(network: Network) -> Sheet:
    view = state_view(network, state_words(network, all_states(network)))
    (only,) = lay_out(view.diagram, A4, wording())
    return only


def texts(figure: Figure) -> list[str]:
    return [str(text.text) for text in ET.fromstring(figure.svg).iter(f"{SVG}text")]  # noqa: S314


def corners(path: str) -> set[tuple[float, float]]:
    return {(float(x), float(y)) for x, y in re.findall(r"([-\d.]+),([-\d.]+)", path)}


def heavy(figure: Figure, page: Sheet) -> set[str]:
    """Return the wires that the picture itself draws heavy, found by their corners."""
    root = ET.fromstring(figure.svg)  # noqa: S314
    strokes = [corners(e.get("d", "")) for e in root.iter(f"{SVG}path") if HEAVY in e.get("style", "")]

    def drawn(points: tuple[tuple[float, float], ...]) -> bool:
        wanted = [(x * PT_PER_MM, y * PT_PER_MM) for x, y in points]
        return any(
            len(stroke) == len(wanted)
            and all(any(abs(x - u) < 0.03 and abs(y - v) < 0.03 for u, v in stroke) for x, y in wanted)
            for stroke in strokes
        )

    return {line.wire for line in page.page.wires if drawn(line.points)}


def test_heavy_is_exactly_what_is_energised(lantern: Network) -> None:
    page, drawn = sheet(lantern), figures(lantern)
    cables = {wire.id for wire in page.diagram.wires if wire.id in lantern.cables}
    assert cables == {"W1", "W2", "W3", "W5", "W6", "W7", "W10", "W11", "W12", "W13"}
    for state in all_states(lantern):
        energised = {
            core.cable
            for core in lantern.cores.values()
            if core.conductor == "L" and core.a in state.energised and core.b in state.energised
        }
        assert heavy(drawn[state.name], page) & cables == energised, state.name


def test_idle_inverter_is_live_up_to_the_open_contact(lantern: Network) -> None:
    idle, off = figures(lantern)["plugged in"], figures(lantern)["plugged in, inverter off"]
    page = sheet(lantern)
    assert {"W5", "W6"} <= heavy(idle, page)
    assert not {"W5", "W6"} & heavy(off, page)
    # The third stroke is the lead of contact 2 inside the changeover.
    assert idle.svg.count(HEAVY.encode()) == off.svg.count(HEAVY.encode()) + 3
    for figure in (idle, off):
        assert "on 1" in texts(figure)


def fills_of_links(figure: Figure) -> dict[str, str]:
    """Return the fill of the link beside each source, by what the picture itself draws there."""
    root = ET.fromstring(figure.svg)  # noqa: S314
    found = {}
    names = {
        str(t.text): float(t.get("y", "")) for t in root.iter(f"{SVG}text") if t.text in ("site", "inverter")
    }
    for polygon in root.iter(f"{SVG}polygon"):
        points = corners(polygon.get("points", ""))
        tall = max(y for _, y in points) - min(y for _, y in points)
        if len(points) == 4 and tall < 6:
            middle = sum(y for _, y in points) / 4
            nearest = min(names, key=lambda name: abs(names[name] - middle))
            found[nearest] = dict(p.split(":") for p in polygon.get("style", "").split(";") if p)["fill"]
    return found


def test_filled_is_the_tie_that_counts(lantern: Network) -> None:
    for state in all_states(lantern):
        effective = {tie.at for island in islands(state) for tie in island.effective}
        fills = fills_of_links(figures(lantern)[state.name])
        assert fills.keys() == {"site", "inverter"}
        assert {source for source, fill in fills.items() if fill == "black"} == effective, state.name


def test_protective_conductor_passes_the_changeover_solid_in_every_state(lantern: Network) -> None:
    box = next(box for box in sheet(lantern).page.boxes if box.piece == "changeover")
    left, top, right, bottom = (value * PT_PER_MM for value in box.rect)
    for name, figure in figures(lantern).items():
        root = ET.fromstring(figure.svg)  # noqa: S314
        through = [
            element.get("style", "")
            for element in root.iter(f"{SVG}path")
            if len(points := sorted(corners(element.get("d", "")), key=lambda p: p[1])) == 2
            and points[0] == (points[1][0], pytest.approx(top, abs=0.05))
            and points[1][1] == pytest.approx(bottom, abs=0.05)
            and left < points[0][0] < right
        ]
        assert len(through) == 1, name
        assert "dasharray" not in through[0]
        assert "stroke-width:1;" in through[0]


def test_states_share_one_layout_and_say_how_things_stand(lantern: Network) -> None:
    drawn = figures(lantern)
    names = {"site", "inlet", "QF1", "changeover", "W10", "to battery", "reading desk"}

    def places(figure: Figure) -> set[tuple[str, str, str]]:
        root = ET.fromstring(figure.svg)  # noqa: S314
        return {
            (str(t.text), t.get("x", ""), t.get("y", "")) for t in root.iter(f"{SVG}text") if t.text in names
        }

    assert len({frozenset(places(figure)) for figure in drawn.values()}) == 1
    assert {name for name, _, _ in places(drawn["laid up"])} == names
    assert {"unplugged", "on 2", "runs"} <= set(texts(drawn["on the road"]))
    assert {"unplugged", "off"} <= set(texts(drawn["laid up"]))
    assert drawn["on the road"].title == "On the road: what is live"
    # Half a page of A4, and only what tells states apart.
    root = ET.fromstring(drawn["laid up"].svg)  # noqa: S314
    assert float(root.get("height", "").removesuffix("mm")) <= A4.height_mm / 2
    assert not {"battery", "solar", "shelf lamps"} & set(texts(drawn["laid up"]))


def test_state_in_words(lantern: Network) -> None:
    lines = figures(lantern)["on the road"].description
    assert "changeover: on 2" in lines
    assert "Link from neutral to earth of inverter: in use" in lines
    assert "Link from neutral to earth of site: idle" in lines
    live = next(line for line in lines if line.startswith("Live:"))
    dead = next(line for line in lines if line.startswith("Dead:"))
    assert all(name in live for name in ("inverter", "QF2", "reading desk"))
    assert all(name in dead for name in ("QF1", "site", "heater"))


def test_a_relay_is_open_while_its_inverter_passes_the_shore_through() -> None:
    boat = build(load_text(BOAT))
    view = state_view(boat, {})
    assert {piece.id for piece in view.diagram.pieces if piece.link} == {"shore", "genset", "multi", "iso"}
    for state in states(boat):
        if dict(state.positions)["multi"] == "source 1":
            assert look(boat, view, state).link["multi"] == "open"
        effective = {tie.at for island in islands(state) for tie in island.effective}
        filled = {source for source, pose in look(boat, view, state).link.items() if pose == "closed"}
        assert filled == effective


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("text", [VAN, BOAT])
def test_geometry(paper: str, text: str) -> None:
    network = build(load_text(text))
    found = all_states(network)
    view = state_view(network, state_words(network, found))
    for part in lay_out(view.diagram, PAPERS[paper], wording()):
        assert faults(part.page, part.diagram) == []
        assert part.page.size_pt >= 6
        assert draw(part.page, part.diagram, "t", "d", look(network, view, found[0]))


def test_no_alternating_current_no_state_figures() -> None:
    text = """
asfitted: 1
build: {title: lamp, reference: L, setting: road vehicle, use: lived in, rules: IEC 60364,
        ambient: 30 °C, lowest temperature: 0 °C}
revisions: {1: "2026-01-01, the builder, first issue"}
sources:
  battery: {battery: LiFePO4 12.8 V 100 Ah}
equipment:
  lamp: {kind: load, loads: {lamp: 10 W lighting}}
runs:
  - dc: [battery, W1: 2.5 mm² 1 m, lamp]
"""
    loaded = load_text(text)
    assert [str(problem) for problem in loaded.problems] == []
    network = build(loaded)
    assert all(sheets == [] for sheets in state_figures(network, states(network), A4).values())
