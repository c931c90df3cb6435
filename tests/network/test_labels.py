"""What things are called: cables as they are bought, ratings as they are marked."""

from pathlib import Path

import pytest

from asfitted.description.load import load
from asfitted.network.build import build
from asfitted.network.labels import cable_size, ends, kind_word, rating
from asfitted.network.model import Network


@pytest.fixture(scope="module")
def network(paper_lantern: Path) -> Network:
    return build(load(paper_lantern / "build.yaml"))


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("cable", "size"),
    [("W1", "3G2.5"), ("W11", "3G1.5"), ("W7", "2 × 4 mm²"), ("W20", "50 mm²"), ("W9", "25 mm²")],
)
def test_cable_size_as_bought(network: Network, cable: str, size: str) -> None:
    assert plain(cable_size(network.cables[cable])) == size


@pytest.mark.parametrize(
    ("item", "marked"),
    [
        ("QF1", "C16 30 mA type A 2P 6 kA"),
        ("F10", "class T fuse 150 A 20 kA 125 V d.c."),
        ("battery", "LiFePO4 25.6 V 200 Ah"),
        ("site", "230 V 50 Hz 16 A TN-S"),
    ],
)
def test_rating_as_marked(network: Network, item: str, marked: str) -> None:
    assert plain(rating(network.items[item].spec)) == marked


def test_kinds_and_ends(network: Network) -> None:
    assert kind_word(network.items["changeover"]) == "changeover"
    assert ends(network, network.cables["W1"]) == ("site", "inlet")
