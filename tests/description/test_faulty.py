"""Faulty descriptions: every problem at its line and column with the word that is right, and nothing else."""

import re
from pathlib import Path

import pytest
import yaml

from asfitted.description.load import Loaded, load_text
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, render_all, sorted_problems
from asfitted.description.reader import Unreadable
from asfitted.network.build import build
from asfitted.network.checks import check_names, check_network
from asfitted.network.states import states

FOLDER = Path(__file__).parent / "faulty"
SOUND = (FOLDER / "sound.yaml").read_text(encoding="utf-8")
CASES = yaml.safe_load((FOLDER / "cases.yaml").read_text(encoding="utf-8"))
MARKER = "‸"


def problems_of(text: str) -> list[Problem]:
    try:
        loaded: Loaded = load_text(text)
    except Unreadable as unreadable:
        return list(unreadable.problems)
    if loaded.problems:
        return list(loaded.problems)
    network = build(loaded)
    return sorted_problems(check_network(network)) or check_names(loaded, states(network))


def edited(case: dict) -> str:
    text = SOUND
    for edit in (case, case.get("and")):
        if edit:
            assert text.count(edit["find"]) == 1, f"{edit['find']!r} stands {text.count(edit['find'])} times"
            text = text.replace(edit["find"], edit["write"])
    return text


def expected_marks(text: str) -> list[Mark]:
    marks = []
    for number, line in enumerate(text.split("\n"), 1):
        columns = [match.start() for match in re.finditer(MARKER, line)]
        marks += [Mark(number, column + 1 - earlier) for earlier, column in enumerate(columns)]
    return marks


def test_the_description_that_is_edited_is_sound():
    assert problems_of(SOUND) == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_faulty_description(case: dict):
    text = edited(case)
    marks = expected_marks(text) or [Mark(*map(int, place.split(":"))) for place in case["at"]]
    text = text.replace(MARKER, "")
    problems = problems_of(text)
    said = render_all(problems, "build.yaml", text)
    assert [(p.code, p.mark) for p in problems] == list(zip(case["codes"], marks, strict=True)), said
    for word in case["says"]:
        assert str(word) in said, said
