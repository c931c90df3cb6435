"""Wiring diagrams: geometry on the examples and on random builds, where conductors land, what colours mean."""

import re
from itertools import pairwise

import pytest

from asfitted.description.load import load, load_text
from asfitted.figures.board import boards
from asfitted.figures.core_colours import INKS, STROKES, ambiguous, colours
from asfitted.figures.layout import PAPERS
from asfitted.figures.wiring import wiring
from asfitted.figures.wiring_plan import Plan, plans
from asfitted.network.build import build
from asfitted.tables.core_colours import core_colour
from tests.conftest import EXAMPLES

from .geometry import Rect, meet
from .plots import plot_faults, texts
from .random_builds import RULES, random_build

NAMES = ("paper_lantern", "slow_heron", "tin_kiln")


def example(name):
    return build(load(EXAMPLES / name / "build.yaml"))


def made(seed):
    loaded = load_text(random_build(seed), EXAMPLES / "random.yaml")
    assert not loaded.problems, loaded.problems
    return build(loaded)


def strokes(points) -> list[Rect]:
    return [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(points)]


def plan_faults(plan: Plan):
    """Yield symbols on symbols, cores through symbols, cores that lie on another's, anything outside."""
    boxes = [(d.item, d.rect) for d in plan.devices] + [(e.item, e.rect) for e in plan.ends]
    for n, (name, rect) in enumerate(boxes):
        for other, place in boxes[n + 1 :]:
            if meet(rect, place):
                yield f"{name} overlaps {other}"
        for core in plan.cores:
            for stroke in strokes(core.points):
                if meet(rect, stroke):
                    yield f"{core.cable}.{core.conductor} passes through {name}"
        if rect[0] < 0 or rect[1] < 0 or rect[2] > plan.width or rect[3] > plan.height:
            yield f"{name} leaves the sheet"
    upright = [(core, s) for core in plan.cores for s in strokes(core.points) if s[0] == s[2]]
    for n, (core, a) in enumerate(upright):
        for other, b in upright[n + 1 :]:
            if core.conductor != other.conductor and abs(a[0] - b[0]) < 1 and meet(a, b, 0.5):
                yield f"{core.cable}.{core.conductor} lies on {other.cable}.{other.conductor}"


def text_faults(svg: bytes, plan: Plan):
    """Yield texts through which a core or the edge of a symbol runs."""
    edges = []
    for rect in [d.rect for d in plan.devices] + [e.rect for e in plan.ends]:
        x0, y0, x1, y1 = rect
        edges += [(x0, y0, x1, y0), (x0, y1, x1, y1), (x0, y0, x0, y1), (x1, y0, x1, y1)]
    cores = [s for core in plan.cores for s in strokes(core.points)]
    for text, _, rect in texts(svg):
        for line in (*edges, *cores):
            if meet(rect, line, -0.3):
                yield f"a line runs through {text!r}"


def check(network, paper):
    room = PAPERS[paper]
    drawn = wiring(network, room)
    planned = [plan for board in boards(network) for plan in plans(network, board, room.width_mm)]
    assert len(drawn) == len(planned) > 0
    for figure, plan in zip(drawn, planned, strict=True):
        found = [*plan_faults(plan), *text_faults(figure.svg, plan)]
        found += [f for f in plot_faults(figure.svg) if "lost in black and white" not in f]
        assert found == [], figure.title
        width, height = (
            float(v) for v in re.search(rb'width="([\d.]+)mm" height="([\d.]+)mm"', figure.svg).groups()
        )
        assert width <= room.width_mm + 0.1, figure.title
        assert height <= 1.12 * room.height_mm, figure.title
    return drawn


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", NAMES)
def test_examples(name, paper):
    network = example(name)
    drawn = check(network, paper)
    assert [f.svg for f in wiring(network, PAPERS[paper])] == [f.svg for f in drawn]


@pytest.mark.parametrize("seed", range(12))
def test_random_builds(seed):
    check(made(seed), "A5 portrait" if seed % 2 else "A4 portrait")


@pytest.mark.long
@pytest.mark.parametrize("seed", range(12, 200))
def test_more_random_builds(seed):
    check(made(seed), "A5 portrait" if seed % 2 else "A4 portrait")


def test_checks_can_fail():
    network = example("paper_lantern")
    board = boards(network)[1]
    (plan,) = plans(network, board, 166)
    plan.cores[0] = type(plan.cores[0])(
        "W0", "L", ((plan.ends[0].rect[0] - 3, plan.ends[0].rect[1] + 4), (90, 9))
    )
    assert any("passes through" in fault for fault in plan_faults(plan))
    (figure,) = [f for f in wiring(network, PAPERS["A4 portrait"]) if "Wiring of AC board" in f.title]
    moved = re.sub(rb'<text x="([\d.]+)"', lambda m: b'<text x="%.1f"' % (float(m[1]) - 9), figure.svg)
    assert list(text_faults(moved, plans(network, board, 166)[0]))


def test_every_core_of_every_circuit_of_a_board_is_there_once():
    network = example("paper_lantern")
    told = [line for f in wiring(network, PAPERS["A4 portrait"]) for line in f.description]
    for id_ in ("W2", "W7", "W10", "W25", "W35", "W50", "W61", "W8", "W9"):
        assert sum(line.startswith(f"{id_} (") for line in told) == 1, id_
    w10 = next(line for line in told if line.startswith("W10 ("))
    assert "protective (GNYE) from earth bar to reading desk PE" in w10


@pytest.mark.parametrize("name", NAMES)
def test_a_protective_conductor_is_straight_and_solid_from_its_equipment_to_its_bar(name):
    network = example(name)
    for board in boards(network):
        for plan in plans(network, board, 166):
            for core in plan.cores:
                if core.conductor == "PE":
                    (x0, _), (x1, _) = core.points
                    assert x0 == x1
                    assert not any(c == "PE" for d in plan.devices for c, _ in d.poles)


def test_the_link_is_drawn_at_the_terminals_on_which_it_lands_and_nowhere_else():
    # the bond of the combi is at its output; W3 ends at its input
    figures = {f.name: f.svg.decode() for f in wiring(example("slow_heron"), PAPERS["A4 portrait"])}
    assert sum(svg.count("N–PE link by relay") for svg in figures.values()) == 1


def test_a_link_that_lands_on_a_bar_is_said_where_its_neutral_begins():
    text = (
        (EXAMPLES / "paper_lantern" / "build.yaml").read_text(encoding="utf-8").partition("\ndecisions:")[0]
    )
    text = text.replace("kind: fixed, lands on: own earth terminal", "kind: fixed, lands on: earth_bar")
    network = build(load_text(text, EXAMPLES / "random.yaml"))
    drawn = [svg.svg.decode() for svg in wiring(network, PAPERS["A4 portrait"])]
    assert sum(svg.count("N–PE link: earth bar") for svg in drawn) == 1


def test_functions_differ_in_grey_by_their_stroke():
    dashes = [STROKES[c] for c in ("L", "L2", "N", "PE", "plus", "minus")]
    assert len(set(dashes)) == len(dashes)
    assert STROKES["L"] == STROKES["L1"]  # one of them is present in a circuit


@pytest.mark.parametrize("rules", RULES)
def test_every_rule_set_has_a_colour_for_every_conductor(rules):
    for conductor in STROKES.keys() - {"bond"}:
        assert core_colour(rules, conductor).code in INKS


def test_north_american_black_means_two_things_and_the_sheet_says_so():
    network = example("tin_kiln")
    assert ambiguous(colours(network))["BK"] == ("L", "minus")
    assert any(
        "Black means more than one thing" in line
        for f in wiring(network, PAPERS["A4 portrait"])
        for line in f.description
    )
    assert ambiguous(colours(example("slow_heron"))) == {}


def test_stated_colours_go_before_those_of_the_rule_set():
    text = random_build(1).replace("\nboards:", "\ncolours: {plus: RD, minus: YE}\nboards:")
    network = build(load_text(text, EXAMPLES / "random.yaml"))
    assert {c.conductor: c.code for c in colours(network)}["minus"] == "YE"
