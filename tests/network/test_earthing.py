"""What earths a build: the protective conductor of its supply, or an electrode of its own."""

import pytest

from asfitted.description.load import load_text
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem
from asfitted.network.build import build
from asfitted.network.checks import check_network

from .builds import HEAD, sound_but

CABIN = (
    HEAD
    + """
boards: {AC board: {line bar: l_bar, neutral bar: n_bar, earth bar: earth_bar}}
sources:
  grid:
    ac supply: 230 V 50 Hz 16 A TT
    loop impedance: at most 30 ohm
    neutral electrode: 5 ohm
    upstream: C16 + RCD 30 mA type A
equipment: {rod: earth electrode 20 ohm, pipes: structure}
runs:
  - ac: [grid, W1: 10 m 6 mm² L N, QF1: RCBO C16 in AC board, AC board]
  - earth: [rod, W8: 16 mm² 2 m, earth_bar, W9: 16 mm² 0.8 m, pipes]
circuits: {AC board: {F1: {RCBO: 10 A, W10: 7 m, sockets: 2 × 16 A desk, loads: {kettle: 1 kW}}}}
"""
)


def problems(*edits: tuple[str, str]) -> list[Problem]:
    text = CABIN
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    loaded = load_text(text)
    return list(loaded.problems) or check_network(build(loaded))


def place_of(text: str, *edits: tuple[str, str]) -> Mark:
    """Return the place of a piece of the text."""
    whole = CABIN
    for find, write in edits:
        whole = whole.replace(find, write)
    before = whole[: whole.index(text)].split("\n")
    return Mark(len(before), len(before[-1]) + 1)


@pytest.mark.parametrize("system", ["TT", "IT"])
def test_a_supply_without_protective_conductor_is_earthed_by_the_builds_electrode(system: str):
    assert problems(("16 A TT", f"16 A {system}")) == []


def test_without_an_electrode_at_the_earth_bar_it_is_not():
    at_metalwork = ("[rod, W8: 16 mm² 2 m, earth_bar, W9", "[earth_bar, W9")
    (problem,) = problems(at_metalwork)
    assert (problem.code, problem.mark) == ("no earth electrode", place_of("grid:", at_metalwork))
    assert "[rod, the cable, earth_bar]" in problem.sentence("right")


def test_an_electrode_may_earth_the_bar_by_way_of_the_metalwork():
    assert (
        problems(
            (
                "[rod, W8: 16 mm² 2 m, earth_bar, W9",
                "[rod, W8: 16 mm² 2 m, pipes, W7: 4 mm² 1 m, earth_bar, W9",
            )
        )
        == []
    )


def test_another_supply_needs_its_protective_conductor():
    (problem,) = problems(("16 A TT", "16 A TN-S"))
    assert (problem.code, problem.mark) == ("supply earth open", place_of("grid:"))
    assert "say “TT”" in problem.sentence("right")


def test_metalwork_that_nothing_connects_is_named():
    edit = (", W9: 16 mm² 0.8 m, pipes]", "]")
    (problem,) = problems(edit)
    assert (problem.code, problem.mark) == ("structure not bonded", place_of("pipes: structure", edit))
    assert "[earth_bar, the cable, pipes]" in problem.sentence("right")


@pytest.mark.parametrize(
    ("edit", "at"),
    [
        (("at most 30 ohm", "at most 0.8 ohm"), "at most 0.8"),
        (("neutral electrode: 5 ohm", "neutral electrode: 40 ohm"), "at most 30"),
        (("neutral electrode: 5 ohm", "at: {farm: {neutral electrode: 40 ohm}}"), "40 ohm"),
        (
            (
                "neutral electrode: 5 ohm",
                "at: {farm: {loop impedance: at most 2 ohm, neutral electrode: 4 ohm}}",
            ),
            "at most 2 ohm",
        ),
    ],
)
def test_a_loop_through_an_electrode_cannot_be_less_than_the_electrode(edit: tuple[str, str], at: str):
    (problem,) = problems(edit)
    assert (problem.code, problem.mark) == ("loop below electrode", place_of(at, edit))


def test_a_loop_that_belongs_to_another_system_contradicts_nothing():
    assert (
        problems(("16 A TT", "16 A TN-S"), (" L N, QF1", ", QF1"), ("at most 30 ohm", "at most 0.8 ohm"))
        == []
    )
    sound_but(("{rating: 10 A, earthing: TT}", "{earthing: TT, neutral electrode: 20 ohm}"))
