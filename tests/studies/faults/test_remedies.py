"""The remedy that is named is the one for the cause that stands, not for another one."""

from functools import lru_cache

from asfitted.network.states import states
from asfitted.studies.faults.remedies import cause, touches_pins
from asfitted.studies.faults.result import FaultStudy
from asfitted.studies.faults.study import fault_study
from tests.studies.faults import builds

CLEAN = builds.changed(builds.VAN, *builds.SOUND)
UP = "upstream: C16 + RCD 30 mA type A"
NOT_ISOLATED = ("isolation: isolated,", "isolation: not isolated,")
BOND = "neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}"
BORROWED = ("- minus: [battery, W23", "- N: [F1, W50: 2.5 mm² 1 m, desk]\n  - minus: [battery, W23")


@lru_cache(maxsize=8)
def played(*edits: tuple[str, str]) -> tuple[object, FaultStudy]:
    network = builds.network(builds.changed(CLEAN, *edits))
    return network, fault_study(network, states(network))


def right(code: str, *edits: tuple[str, str]) -> set[str]:
    return {str(f.fields["right"]) for f in played(*edits)[1].findings if f.code == code}


def test_where_the_current_comes_back_through_soil_the_remedy_is_a_residual_current_device():
    remedies = right("fault-not-cleared", ("16 A TN-S", "16 A TT"), (UP, "upstream: C16"))
    assert remedies
    assert all("residual current device of 30 mA at the origin" in text for text in remedies)
    assert not any("one bond" in text.lower() for text in remedies)


def test_at_an_inverter_that_is_not_isolated_no_bond_is_recommended():
    network, study = played(NOT_ISOLATED)
    tripping = [r for r in study.faults if r.kind == "none" and r.opened]
    assert tripping
    assert {cause(network, r) for r in tripping} == {"not isolated"}
    for code in ("trips-in-service", "fault-not-cleared", "fault-until-touched"):
        assert not any("One bond" in text for text in right(code, NOT_ISOLATED))


def test_a_second_bond_is_told_by_its_current_in_the_protective_conductor():
    network, study = played(("25 A 2P", "25 A 1P"))
    tripping = [r for r in study.faults if r.kind == "none" and "site upstream" in {o.unit for o in r.opened}]
    assert {cause(network, r) for r in tripping} == {"two bonds"}


def test_live_pins_are_named_where_they_are_what_is_touched():
    # one pole: with the inverter's neutral broken the pins of the inlet hang on the line through the load
    network, study = played(("25 A 2P", "25 A 1P"))
    pins = [r for r in study.faults if touches_pins(r) and r.verdict == "only when touched"]
    assert {r.state for r in pins} == {"S3"}
    assert {cause(network, r) for r in pins} == {"pins"}


def test_only_what_starts_again_is_said_to_start_again():
    edit = ("then latched off", "then restarts")
    found = [f for f in played(edit)[1].findings if f.code == "restarts-on-fault"]
    assert found
    assert {f.where for f in found} == {("inverter",)}
