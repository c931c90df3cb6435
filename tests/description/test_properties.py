"""What holds for any description, sound or spoilt."""

import random
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from asfitted.description.dump import dump, text_of
from asfitted.description.excerpt import source_lines
from asfitted.description.expand import expand
from asfitted.description.load import Loaded, load_text, load_tree
from asfitted.description.problems import Problem, render_all
from asfitted.description.reader import Unreadable, compose
from asfitted.description.tree import Mapping, Node, Sequence, plain
from asfitted.network.build import build
from asfitted.network.checks import check_network

SOUND = (Path(__file__).parent / "faulty" / "sound.yaml").read_text(encoding="utf-8")
EXAMPLES = Path(__file__).resolve().parents[2] / "example_builds"
BUILDS = [SOUND, *(p.read_text(encoding="utf-8") for p in sorted(EXAMPLES.glob("*/build.yaml")))]
QUICK = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
FEW = settings(max_examples=10, deadline=None)


@cache
def sound(number: int) -> Loaded:
    loaded = load_text(BUILDS[number])
    assert loaded.problems == ()
    return loaded


every_build = pytest.mark.parametrize("number", range(len(BUILDS)))


@every_build
def test_what_is_expanded_expands_to_itself(number: int):
    once = expand(compose(BUILDS[number])[0])
    twice = expand(once.tree)
    assert twice.problems == ()
    assert plain(twice.tree) == plain(once.tree)


@every_build
def test_the_long_form_printed_and_read_again_is_the_same_description(number: int):
    loaded = sound(number)
    again = load_text(dump(loaded.tree))
    assert again.problems == ()
    assert plain(again.tree) == plain(loaded.tree)
    assert again.description == loaded.description


@every_build
def test_the_long_form_has_one_row_for_each_cable_and_piece_of_equipment(number: int):
    loaded = sound(number)
    lines = dump(loaded.tree).splitlines()
    assert loaded.description is not None
    for id_ in (*loaded.description.equipment, *loaded.description.cables):
        assert len([line for line in lines if line.startswith(f"  {id_}:")]) == 1


def shuffled(node: Node, order: random.Random) -> Node:
    """Return the tree with the entries of every mapping in another order; rows keep theirs."""
    if isinstance(node, Mapping):
        entries = [(key, shuffled(value, order)) for key, value in node.entries]
        order.shuffle(entries)
        return Mapping(tuple(entries), node.mark)
    if isinstance(node, Sequence):
        return Sequence(tuple(shuffled(item, order) for item in node.items), node.mark)
    return node


@FEW
@given(seed=st.integers(0, 1 << 32))
@every_build
def test_the_order_of_entries_does_not_change_the_network(number: int, seed: int):
    tree = shuffled(compose(BUILDS[number])[0], random.Random(seed))  # noqa: S311  (it only shuffles)
    assert isinstance(tree, Mapping)
    other = load_tree(tree, BUILDS[number], Path("build.yaml"))
    assert other.problems == ()
    one, two = build(sound(number)), build(other)
    assert {i.id: (i.spec, i.terminals) for i in one.items.values()} == {
        i.id: (i.spec, i.terminals) for i in two.items.values()
    }
    assert {c.id: (c.a, c.b, c.size) for c in one.cores.values()} == {
        c.id: (c.a, c.b, c.size) for c in two.cores.values()
    }
    assert set(one.contacts) == set(two.contacts)
    assert set(one.joins) == set(two.joins)


def problems_of(text: str) -> list[Problem]:
    try:
        loaded = load_text(text)
    except Unreadable as unreadable:
        return list(unreadable.problems)
    return list(loaded.problems) or check_network(build(loaded))


def check_problems(text: str) -> None:
    problems = problems_of(text)
    lines = source_lines(text)
    for problem in problems:
        assert 1 <= problem.mark.line <= len(lines) + 1
        assert problem.mark.column >= 1
    # Every sentence is filled in, and printing never fails.
    render_all(problems, "build.yaml", text)


CHARACTERS = st.sampled_from(list(" \t\n:,{}[]\"'#&*!|>%@-.²°×0159AaPVm🔌\x00\x1b\u2028\ufeff"))


@QUICK
@given(place=st.floats(0, 1, exclude_max=True), character=CHARACTERS, instead=st.booleans())
@example(place=0.0, character="\ufeff", instead=False)
def test_one_wrong_character_never_stops_the_reader(place: float, character: str, instead: bool):
    at = int(place * len(SOUND))
    check_problems(SOUND[:at] + character + SOUND[at + instead :])


@QUICK
@given(lines=st.sets(st.integers(0, SOUND.count("\n")), min_size=1, max_size=6))
def test_missing_lines_never_stop_the_reader(lines: set[int]):
    kept = [line for number, line in enumerate(SOUND.split("\n")) if number not in lines]
    check_problems("\n".join(kept))


@QUICK
@given(start=st.floats(0, 1, exclude_max=True), length=st.integers(1, 60), copied=st.booleans())
def test_cut_and_doubled_pieces_never_stop_the_reader(start: float, length: int, copied: bool):
    at = int(start * len(SOUND))
    piece = SOUND[at : at + length]
    check_problems(SOUND[:at] + (piece + piece if copied else "") + SOUND[at + length :])


VALUES = [
    "[]",
    "{}",
    "[a]",
    "{a: b}",
    "~",
    "on",
    "-1",
    "''",
    "[[a]]",
    "{kind: load}",
    "12",
    "1e9 A",
    "|\n  text",
]


@QUICK
@given(line=st.integers(0, SOUND.count("\n")), value=st.sampled_from(VALUES))
def test_a_value_of_another_form_never_stops_the_reader(line: int, value: str):
    lines = SOUND.split("\n")
    name, colon, _ = lines[line].partition(": ")
    lines[line] = f"{name}{colon}{value}" if colon else f"{lines[line].rstrip(':')}: {value}"
    check_problems("\n".join(lines))


@given(st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=1, max_size=40))
@settings(max_examples=200, deadline=None)
@example("no")
@example("a: b")
@example("#a")
@example("2026-03-02")
@example("\u2028x\x85y\ufeff")
def test_any_text_printed_is_read_again_as_it_was(text: str):
    expected = " ".join(text.split())
    if not expected:
        return
    tree, problems = compose(f"a: {{b: {text_of(expected)}, c: [{text_of(expected)}]}}\n")
    assert problems == ()
    assert plain(tree) == {"a": {"b": expected, "c": [expected]}}
