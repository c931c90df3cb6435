"""What counts as additional protection, and which cables may lie ahead of it, under which rules and in which setting."""

import pytest

from asfitted.network.states import states
from asfitted.studies.bonding import islands
from asfitted.studies.coverage import coverage
from asfitted.studies.coverage_findings import coverage_findings
from asfitted.studies.results import Finding, Grade
from tests.studies.faults import builds
from tests.studies.small import TRAILER, codes, network, sizing

VAN = builds.changed(builds.VAN, *builds.SOUND)
PLAIN_MAIN = ("QF1: RCBO C16", "QF1: breaker C16 2P 6 kA")
#: the receptacles of the trailer without interrupters of their own
PLAIN_BENCH = ("bench: {GFCI receptacle: 2 × 20 A", "bench: {sockets: 2 × 20 A")
PLAIN_MAINS = (
    ("QF1: GFCI breaker 30 A", "QF1: breaker 30 A"),
    ("QF2: GFCI breaker 20 A", "QF2: breaker 20 A"),
)


def found(*edits: tuple[str, str], of: str = VAN) -> dict[str, Finding]:
    built = network(*edits, of=of)
    every = states(built)
    covered = {s.id: coverage(s, islands(s)) for s in every}
    return {f.code: f for f in coverage_findings(built, every, covered)}


def test_a_30_ma_residual_current_device_is_no_class_a_interrupter():
    # UL 943: Class A trips between 4 and 6 mA; NFPA 70 210.8 (from memory) asks for that class
    rcbo = ("F1: {breaker: 20 A", "F1: {RCBO: B20 2P 30 mA type A 10 kA")
    finding = found(PLAIN_BENCH, *PLAIN_MAINS, rcbo, of=TRAILER)["socket-without-gfci"]
    assert finding.where == ("bench",)
    assert finding.grade is Grade.POTENTIAL
    assert "NFPA 70" in finding.clause


@pytest.mark.parametrize(
    "edits",
    [
        PLAIN_MAINS,
        (PLAIN_BENCH,),
        (PLAIN_BENCH, *PLAIN_MAINS, ("F1: {breaker: 20 A", "F1: {GFCI breaker: 20 A")),
    ],
    ids=["receptacles", "feeder breakers", "branch breaker"],
)
def test_receptacles_behind_interrupters_raise_nothing(edits):
    assert found(*edits, of=TRAILER) == {}


def test_sockets_of_a_european_build_are_asked_for_30_ma():
    finding = found(
        PLAIN_MAIN,
        ("QF2: RCBO B10", "QF2: breaker B10 2P 6 kA"),
        ("RCBO: 10 A, W10", "breaker: B10 2P 6 kA, W10"),
    )
    assert finding["socket-without-rcd"].where == ("desk",)


@pytest.mark.parametrize(
    ("use", "clause"), [("lived in", "721.415.1"), ("work or public", "717.411.1"), ("both", "721.415.1")]
)
def test_cables_ahead_cite_the_part_for_the_use(use, clause):
    assert clause in found(PLAIN_MAIN, ("use: work or public", f"use: {use}"))["cable-ahead-of-rcd"].clause


@pytest.mark.parametrize("setting", ["house", "cabin"])
def test_of_a_building_nobody_asks_for_a_device_at_the_origin(setting):
    assert found(PLAIN_MAIN, ("setting: road vehicle", f"setting: {setting}")) == {}


def test_the_length_of_one_straight_cable_counts():
    finding = found(("W2: 1 m, QF1", "W2: 3.1 m, QF1"))["cable-ahead-of-rcd"]
    assert (finding.where, finding.grade) == (("W2",), Grade.POTENTIAL)
    assert found(("W2: 1 m, QF1", "W2: 3 m, QF1")) == {}


def test_single_pole_device_that_only_the_inverter_feeds_stands_in_no_reversed_supply():
    reversed_ = ("30 mA type A}", "30 mA type A, polarity: may be reversed}")
    assert "single-pole-reversible" not in codes(sizing(reversed_, ("B10 2P", "B10 1P")))
    assert "single-pole-reversible" in codes(sizing(reversed_, ("RCBO C16,", "RCBO C16 1P,")))


def test_rules_without_a_table_of_times_leave_the_time_to_the_fault_study():
    # NFPA 70 has no table of disconnection times: what a slow breaker does to a person the fault study says
    slow = sizing(PLAIN_BENCH, *PLAIN_MAINS, ("at most 0.4 ohm", "at most 2 ohm"), of=TRAILER)
    assert {loop.outlet for loop in slow.loops if loop.outcome == "too slow"} == {"charger", "bench"}
    assert "disconnection-too-slow" not in codes(slow)
