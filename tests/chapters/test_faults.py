"""The chapter of faults says what the study computed, for whoever reads it, and never more."""

import re
from functools import cache

import pytest
from tests.conftest import EXAMPLES
from tests.studies.builds import studied

from asfitted import words
from asfitted.chapters import fault_names as names
from asfitted.chapters import faults
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.description.load import load
from asfitted.studies.fault_summary import cleared_s, merged_columns, rows, severity, site_uses, soil_sites
from asfitted.studies.faults.service import earth_paths
from asfitted.studies.study import Study, study

NO_BOND = (
    "neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}",
    "neutral bond: {kind: none}",
)


@cache
def example(name: str) -> Study:
    return study(load(EXAMPLES / name / "build.yaml"))


def page(build: Study, edition: str = "owner") -> str:
    book = Book(build, edition, bool(build.barred), (), {})
    return render("faults", {"edition": edition, "draft": book.draft} | faults.context(book))


def plain(text: str) -> str:
    """The page as it is read: without links, references to characters undone."""
    text = re.sub(r"\[([^\]]*)\]\([^)]*\)(\{[^}]*\})?", r"\1", text)
    return re.sub(r"&#(\d+);", lambda m: chr(int(m[1])), text).replace("\u00a0", " ").replace("&nbsp;", " ")


def test_the_road_sentence_is_that_of_the_results():
    """The devices and the longest time of the sentence are those of the results, counted here again."""
    build = example("paper_lantern")
    road = next(s.id for s in build.states if s.name == "on the road")
    live = [
        r for r in build.faults.faults if r.state == road and r.kind in ("live to case", "live to structure")
    ]
    assert live
    assert all(r.verdict in ("in time", "harmless") for r in live)
    sentence = next(
        line for line in plain(page(build)).splitlines() if "on the road" in line and "**" in line
    )
    slowest = max(cleared_s(r) for r in live if r.outcome == "source collapsed")
    assert f"inverter shuts down within {1000 * slowest:.0f} ms and stays off" in sentence
    for device in ("F1", "F2", "QF2"):
        assert device in sentence
    assert "QF1" not in sentence  # it stands on the side of the site
    assert "no metal is live" in sentence


def test_the_sentence_turns_when_the_bond_is_taken_away():
    text = plain(page(studied(NO_BOND)))
    road = next(line for line in text.splitlines() if "on the road" in line and "**" in line)
    assert "drives no current and trips nothing" in road
    assert "opens within" not in road


def test_only_the_soil_needs_the_device_of_the_site():
    """At the farm (TT, 20 ohm and more) no breaker sees a fault of a few amperes; elsewhere it does."""
    build = example("paper_lantern")
    uses = {u.site.id: u for u in site_uses(build.network, build.states, build.faults.faults)}
    assert uses["farm"].use == "with the site's RCD"
    assert uses["farm"].because.current_a < 230 / 20
    assert {u.use for id_, u in uses.items() if id_ != "farm"} == {"safe"}
    assert "Only with the site's residual current device of 30 mA" in plain(page(build))


def test_no_loop_impedance_is_passed_for_a_source_that_limits():
    text = plain(page(example("paper_lantern"), "inspector"))
    assert "No loop impedance is measured or judged" in text
    assert "gives no more than 18 A" in text


def test_earth_currents_are_leakage_and_obey_kirchhoff():
    """One bond: what leaves through the loads' own protective conductors comes back through the lead.

    With the van on the road nothing reaches the ground, and the greatest leakage is far below a trip.
    """
    build = example("paper_lantern")
    paths = {p.id: p.current_a for p in earth_paths(build.network, build.states, build.sizing.sizes)}
    plugged, road = (next(s.id for s in build.states if s.name == n) for n in ("plugged in", "on the road"))
    assert paths["W1.PE"][plugged] == pytest.approx(paths["site#PE"][plugged], rel=1e-3)
    branches = sum(paths[f"{cable}.PE"][plugged] for cable in ("W10", "W11", "W12", "W13"))
    assert paths["W2.PE"][plugged] == pytest.approx(branches, rel=0.02)
    assert road not in paths["W1.PE"]
    assert max(a for currents in paths.values() for a in currents.values()) < 0.003
    assert paths["inverter#bond"][road] > paths["inverter#bond"][plugged]


@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
def test_the_tables_hold_every_case_once(name):
    build = example(name)
    results = [r for r in build.faults.faults if r.kind != "none"]
    found = rows(results, soil_sites(build.network))
    assert sum(len(row.results) for row in found) == len(results)
    assert len(found) < len(results) / 3, "a thousand cases stay readable"
    for row in found:
        assert {r.outcome for r in row.results} == {row.worst.outcome}
        assert row.current_a[0] <= row.worst.current_a <= row.current_a[1]
    text = page(build, "inspector")
    for anchor in re.findall(r"\]\(#([a-z0-9-]+)\)", text):
        assert f"{{#{anchor}}}" in text
    assert "Infinity" not in text
    assert "None" not in text


@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
def test_whatever_does_not_end_well_is_told_to_the_owner(name):
    build = example(name)
    text = plain(page(build))
    left = text.split("## What is left over")[1].split("## Where to plug in")[0]
    for kind in {r.kind for r in build.faults.faults if severity(r)}:
        assert f"| {names.capital(words.text('faults', f'kinds.{kind}'))} |" in left


def test_the_owner_reads_four_pages_at_the_most():
    """A page of the book holds some 3500 letters of text and tables."""
    for name in ("paper_lantern", "slow_heron"):
        assert len(plain(page(example(name)))) < 4 * 3500


def test_runs_of_states_are_drawn_together():
    assert names.span(["S4", "S2", "S1", "S3", "S10", "S7", "S8"]) == "S1–S4, S7, S8, S10"
    assert names.span([]) == ""


def test_columns_that_agree_are_printed_once():
    columns = {"S1": ["a", "b"], "S2": ["a", "c"], "S3": ["a", "b"]}
    assert merged_columns(columns) == ((("S1", "S3"), ("a", "b")), (("S2",), ("a", "c")))
