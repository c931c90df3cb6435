"""The table as a reader follows it: every failure of every example is played through the printed pages."""

import html
import re
from functools import cache

import pytest
from tests.conftest import EXAMPLES

from asfitted.chapters import finding_out as say
from asfitted.chapters import troubleshooting
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.description.load import load
from asfitted.studies.study import study
from asfitted.studies.troubleshooting.failures import SOUND

BUILDS = ("paper_lantern", "slow_heron", "tin_kiln")
ROW = re.compile(r'^\| <span id="step-(\d+)">\*\*\d+\*\*</span> \| (.*?) \| (.*) \|$', re.M)
WAY = re.compile(r"^\*(.*?):\* (?:skilled person, )?(?:step \[(\d+)\]|\*\*(.*?)\*\*)")


@cache
def book_of(build: str) -> Book:
    return Book(study(load(EXAMPLES / build / "build.yaml")), "inspector", False, (), {})


@cache
def printed(build: str) -> dict[int, tuple[str, dict[str, tuple[int | None, str]]]]:
    """Step -> what to do, and text of what is seen -> (step to go to, or what was found)."""
    book = book_of(build)
    common = {"edition": "inspector", "draft": False, "plugs": True}
    pages = render("troubleshooting", common | troubleshooting.context(book))
    pages += render("troubleshooting-skilled", common | troubleshooting.skilled_context(book))
    found = {}
    for number, do, ways in ROW.findall(pages):
        answers = {}
        for way in ways.split("<br>"):
            see, to, name = WAY.match(way).groups()
            for text in see.split("* or *"):
                answers[html.unescape(text)] = (int(to) if to else None, html.unescape(name or ""))
        found[int(number)] = html.unescape(do), answers
    return found


def ends_of(build: str, failure) -> set[str]:
    """Follow the printed pages with everything that a failure may show; return the texts of all ends reached."""
    book, pages = book_of(build), printed(build)
    table = book.study.troubleshooting
    printed_number = {number: step for step, number in table.numbers.items()}
    waiting, ends, been = [1], set(), set()
    while waiting:
        number = waiting.pop()
        if number in been:
            continue
        been.add(number)
        observation = table.by_number[printed_number[number]].observation
        do, answers = pages[number]
        assert do == say.todo(book, observation)
        for outcome in table.observer.seen(observation, failure):
            to, name = answers[say.seen(book, observation, outcome)]
            if to is None:
                ends.add(name)
            else:
                waiting.append(to)
    return ends


@pytest.mark.parametrize("build", BUILDS)
def test_a_reader_finds_every_failure_by_the_printed_steps(build):
    book = book_of(build)
    table = book.study.troubleshooting
    assert len(table.failures) > 100
    for failure in table.failures:
        own = say.failure_name(book, failure)
        for end in ends_of(build, failure):
            assert own in end.split("; or "), f"{failure.id} is sent to {end}"


@pytest.mark.parametrize("build", BUILDS)
def test_what_one_end_holds_no_reading_tells_apart(build):
    table = book_of(build).study.troubleshooting
    for step in table.steps:
        if step.observation is None and len(step.left) > 1:
            for o in table.observer.observations:
                seen = [table.observer.seen(o, failure) for failure in step.left]
                assert o.code == "residual trip" or frozenset.intersection(*seen)


@pytest.mark.parametrize("build", BUILDS)
def test_no_failure_has_two_names_and_no_two_failures_one(build):
    book = book_of(build)
    names = [say.failure_name(book, f) for f in book.study.troubleshooting.failures]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("build", BUILDS)
def test_a_tester_is_never_asked_for_while_a_protective_conductor_may_be_open(build):
    for step in book_of(build).study.troubleshooting.steps:
        if step.observation and step.observation.code == "residual trip":
            assert all(f.kind != "protective conductor open" for f in step.left)


@pytest.mark.parametrize("build", BUILDS)
def test_what_needs_no_tool_comes_before_what_does(build):
    table = book_of(build).study.troubleshooting
    for step in table.steps:
        if step.observation and step.observation.skilled:
            after = (table.by_number[to].observation for _, to in step.ways)
            assert all(o is None or o.skilled for o in after)


def test_open_protective_conductors_and_missing_links_are_what_nobody_notices():
    """inspector_notes 12 and procedures T2: the first fault is silent, and the test button works all the same."""
    for build in BUILDS:
        table = book_of(build).study.troubleshooting
        silent = [f for f in table.failures if f.kind in ("protective conductor open", "bond missing")]
        assert silent
        assert set(silent) <= set(table.unnoticed)
        assert SOUND not in table.unnoticed
