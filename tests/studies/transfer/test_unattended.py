"""What starts by itself when voltage comes back: found and named wherever it hangs, and never what waits for a hand."""

import html

import pytest

from asfitted.chapters import findings, transfer
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.description.load import load_text
from asfitted.studies.results import Grade
from asfitted.studies.study import Study, study
from tests.studies.builds import EXAMPLE, studied

HEATER = "loads: {heater: 750 W heater}}"
PROJECTOR = "projector: 220 W pf 0.95 rides 20 ms"
STEP = "loads: {step lamp: 18 W lighting}}"


def codes(*changes: tuple[str, str]) -> dict[str, Grade]:
    return {finding.code: finding.grade for finding in studied(*changes).transfers.findings}


def steps(found: Study) -> str:
    book = Book(study=found, edition="owner", draft=False, single_line=(), states={})
    text = render("transfer", {"edition": "owner", "draft": False, "plugs": True} | transfer.context(book))
    return html.unescape(text).split("### When the light goes out")[1].split("###")[0]


def test_a_heater_before_the_changeover_goes_out_with_the_site_and_is_named():
    assert "heats: heater, kettle" in steps(studied())
    (heater,) = [r for r in studied().transfers.returning if r.behind.name == "heater"]
    assert heater.sources == ("site",)


def test_a_heater_that_waits_for_a_hand_is_not_named():
    said = (HEATER, "loads: {heater: 750 W heater restarts by hand}}")
    assert "heats: kettle" in steps(studied(said))
    assert codes(said) == {}


def test_a_heater_that_heats_by_itself_is_found_wherever_it_hangs():
    said = (HEATER, "loads: {heater: 750 W heater restarts by itself}}")
    assert codes(said) == {"heater-restarts": Grade.IMPROVEMENT}
    direct = (STEP, "loads: {blanket: 40 W heater restarts by itself}}")
    assert codes(direct) == {
        "heater-restarts": Grade.IMPROVEMENT
    }  # the battery's protection opens and closes


def test_what_nobody_says_is_assumed_openly():
    (heaters, motors) = studied().transfers.assumptions
    assert (heaters.code, heaters.where) == ("heaters-restart", ("heater", "tea_corner"))
    assert (motors.code, motors.fields["loads"]) == (
        "motors-restart", "roof fan, fridge, pump, air heater",
    )  # fmt: skip
    assert "heater, kettle" in findings.assumption_text(heaters)


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("machine restarts by itself", {"machine-restarts": Grade.POTENTIAL}),
        ("machine restarts after 5 s", {"machine-restarts": Grade.POTENTIAL}),
        ("machine", {"machine-restart-not-stated": Grade.INVESTIGATION}),
        ("machine restarts by hand", {}),
        ("motor", {}),  # a fan, a pump
        ("compressor restarts after 200 s", {}),
    ],
)
def test_a_machine_that_somebody_works_at_must_wait_for_a_hand(words, expected):
    assert codes((PROJECTOR, f"projector: 220 W {words} starts 2 A for 0.4 s")) == expected


def test_two_of_a_kind_on_one_outlet_are_both_found():
    change = (
        PROJECTOR,
        f"{PROJECTOR}, saw: 100 W machine starts 2 A for 0.4 s, mill: 90 W machine starts 2 A for 0.4 s",
    )
    raised = studied(change).transfers.findings
    found = [f.fields["load"] for f in raised if f.code == "machine-restart-not-stated"]
    assert found == ["saw", "mill"]


def test_motors_are_named_in_the_steps_until_they_wait_for_a_hand():
    saw = (PROJECTOR, f"{PROJECTOR}, saw: 220 W machine starts 2 A for 0.4 s")
    waits = (PROJECTOR, f"{PROJECTOR}, saw: 220 W machine starts 2 A for 0.4 s restarts by hand")
    assert "whatever turns: saw" in steps(studied(saw))
    assert "saw" not in steps(studied(waits))


@pytest.mark.parametrize("name", ["slow_heron", "tin_kiln"])
def test_the_machines_of_the_examples_wait_for_a_hand(name):
    path = EXAMPLE.parents[1] / name / "build.yaml"
    text = path.read_text(encoding="utf-8")
    assert study(load_text(text, path)).transfers.findings == ()
    loose = study(load_text(text.replace(" restarts by hand", ""), path))
    assert "machine-restart-not-stated" in {f.code for f in loose.transfers.findings}
    assert "whatever turns" in steps(loose)


def test_an_alarm_behind_a_changeover_comes_back_first():
    found = studied((PROJECTOR, f"{PROJECTOR}, sounder: 5 W alarm"))
    assert found.transfers.transfers[0].takeovers[0].steps[0].behind.name == "sounder"
