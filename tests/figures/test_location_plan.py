"""The plan of where things are: each place in its zone, what has none below it; geometry."""

import random

import pytest

from asfitted.description.load import load, load_text
from asfitted.figures.location_plan import location_plan, places
from asfitted.network.build import build
from tests.conftest import EXAMPLES

from .plots import plot_faults, texts
from .random_builds import PLACES, random_build

ZONES = ("front", "rear nearside", "amidships port", "middle centre", "stern starboard", "curb side")


def example(name):
    return build(load(EXAMPLES / name / "build.yaml"))


def made(seed):
    chance = random.Random(seed)  # noqa: S311  (reproducible, no secret)
    text = random_build(seed)
    zones = ", ".join(f'"{p}": {chance.choice(ZONES)}' for p in PLACES[:4] if f'place: "{p}"' in text)
    return build(load_text(text.replace("\nboards:", f"\nplaces: {{{zones}}}\nboards:"), EXAMPLES / "r"))


@pytest.mark.parametrize("width_mm", [166.0, 120.0])
@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
def test_examples(name, width_mm):
    network = example(name)
    figure = location_plan(network, width_mm)
    assert list(plot_faults(figure.svg)) == []
    assert location_plan(network, width_mm).svg == figure.svg
    told = " ".join(figure.description)
    for item in network.of_kind("battery", "inverter", "isolator", "supply inlet", "fuse"):
        assert item.name in told, item.name
    for board in network.description.boards:
        assert board in told


@pytest.mark.parametrize("seed", range(12))
def test_random_builds(seed):
    check_random(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(12, 200))
def test_more_random_builds(seed):
    check_random(seed)


def check_random(seed):
    figure = location_plan(made(seed), 120.0)
    if figure is not None:
        assert list(plot_faults(figure.svg)) == []


def test_a_place_stands_in_the_zone_that_the_description_says():
    svg = location_plan(example("paper_lantern"), 166.0).svg
    where = {text: rect for text, _, rect in texts(svg)}
    width = max(rect[2] for rect in where.values())
    assert where["nearside rear corner"][2] < width / 2 < where["under the driver's seat"][0]
    assert where["under the driver's seat"][1] < where["battery locker"][1]
    assert where["battery locker"][1] < where["nearside rear corner"][3]
    assert where["roof: solar"][1] > where["rear"][1]


def test_no_zone_no_plan():
    network = build(load_text(random_build(0), EXAMPLES / "r"))
    assert location_plan(network, 166.0) is None
    assert all(place.zone is None for place in places(network))


def refused(places_):
    text = random_build(0).replace("\nboards:", f"\nplaces: {{{places_}}}\nboards:")
    return [(problem.code, problem.mark.column) for problem in load_text(text, EXAMPLES / "r").problems]


def test_an_unknown_zone_and_an_unknown_place_are_refused_where_they_stand():
    at = next(p for p in PLACES if f'"{p}"' in random_build(0))
    assert refused(f'"{at}": somewhere') == [("not a zone", 10 + len(at) + 4)]
    assert refused("the moon: front") == [("unknown place", 10)]
    assert refused(f'"{at}": rear street side') == []
