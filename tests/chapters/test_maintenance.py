"""What is looked after: only what is there, each with an interval that has a source or says that it has none."""

import datetime
import html

import pytest
from tests.conftest import EXAMPLES
from tests.studies.builds import studied

from asfitted import words
from asfitted.chapters import maintenance as chapter
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.description.load import load
from asfitted.description.results import NONE, load_results
from asfitted.studies.maintenance import maintenance
from asfitted.studies.next_inspection import next_inspection
from asfitted.studies.study import study
from asfitted.tables.looked import rows

BUILDS = ("paper_lantern", "slow_heron", "tin_kiln")


def tasks_of(build):
    found = study(load(EXAMPLES / build / "build.yaml"))
    return {task.code: task for task in maintenance(found.subject, found.commissioning.plan)}


def test_every_interval_has_a_source_or_says_that_none_was_found():
    for row in rows("maintenance"):
        assert any(
            word in row["source"] for word in ("quoted", "from memory", "house rule", "no published source")
        )
        assert row["by"] in ("owner", "skilled")
        assert row["months"] in words.catalogue("maintenance")["every"]
    assert {row["task"] for row in rows("maintenance")} == set(words.catalogue("maintenance")["tasks"])


@pytest.mark.parametrize(
    ("build", "there", "not_there"),
    [
        ("paper_lantern", {"button", "uncertified", "alarms", "solar"}, {"isolator", "generator", "button-class-a"}),
        ("slow_heron", {"isolator", "transfer", "lead"}, {"uncertified", "solar", "generator"}),
        ("tin_kiln", {"button-class-a", "generator"}, {"uncertified", "solar", "isolator"}),
    ],
)  # fmt: skip
def test_only_what_a_build_has_is_looked_after(build, there, not_there):
    found = set(tasks_of(build))
    assert there <= found
    assert not not_there & found


def test_limits_are_those_of_the_build():
    found = tasks_of("paper_lantern")
    assert found["solar"].limits["volts"] == 49  # one array of 49 V in the description
    assert found["transfer-time"].limits["longest_s"] == pytest.approx(0.42)  # measured, longer than claimed
    assert found["insulation"].limits["insulation_ohm"] == 1e6  # IEC 60364-6 table 6A, 500 V (from memory)


def test_the_next_inspection_counts_from_the_last_sitting():
    build = load(EXAMPLES / "paper_lantern" / "build.yaml")
    results = load_results(EXAMPLES / "paper_lantern")
    network = study(build).network
    last = max(session.date for session in results.sessions)
    due = next_inspection(network, results)
    assert due.years == 3  # nobody lives in it: note 63
    assert due.date.isoformat() == f"{int(last[:4]) + 3}{last[4:]}"
    assert next_inspection(network, NONE).date == datetime.date(2029, 5, 16)  # revision 2 is of 2026-05-16


def test_a_build_that_is_lived_in_is_inspected_every_year():
    assert next_inspection(study(load(EXAMPLES / "slow_heron" / "build.yaml")).network, NONE).years == 1


def test_the_page_has_a_log_with_room_to_write():
    page = render(
        "maintenance", {"edition": "owner", **chapter.context(Book(studied(), "owner", False, (), {}))}
    )
    assert page.count('<span class="blank">') == 64
    assert "by 2029-05-16" in html.unescape(page)
