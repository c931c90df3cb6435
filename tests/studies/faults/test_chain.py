"""The chain of reasons names the devices on the way of a fault, and no other."""

from asfitted.network.states import states
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.faults.study import fault_study
from tests.studies.faults import builds
from tests.studies.faults.hazards import HAZARDS
from tests.studies.faults.playing import acted, playing


def results(hazard: str) -> tuple[FaultResult, ...]:
    edits, _ = HAZARDS[hazard]
    network = builds.network(builds.changed(builds.VAN, *builds.SOUND, *edits))
    return fault_study(network, states(network)).faults


def devices(result: FaultResult) -> set[str]:
    named = (str(reason.fields.get("device", "")) for reason in result.chain)
    return {device for names in named for device in names.split(", ") if device}


def test_a_socket_without_protective_conductor_concerns_its_own_circuit():
    bad = [
        r for r in results("kitchen without PE") if r.at == "kitchen.L" and r.verdict == "only when touched"
    ]
    assert bad
    for r in bad:
        assert "F1" not in devices(r), "the other circuit has nothing to do with it"
        assert "F2" in devices(r)
        assert {reason.code for reason in r.chain} == {"no-current", "residual-none", "touch-trips"}


def test_a_breaker_at_a_site_without_residual_device_says_what_it_needs():
    """IEC 60898-1: a C16 is sure to trip at once from 10 × 16 A."""
    found = [r for r in results("TT no site RCD") if r.at == "site.L" and r.verdict == "stays"]
    reasons = [reason for r in found for reason in r.chain if reason.code == "breaker-needs"]
    assert reasons
    assert {(reason.fields["device"], reason.fields["needs_a"]) for reason in reasons} == {
        ("site upstream", 160.0)
    }


def test_an_inverter_that_folds_back_ahead_of_every_device():
    found = [r for r in results("folds back") if r.verdict == "current stays" and not r.second]
    limited = [r.chain for r in found if 21.9 < r.current_a < 22.1]
    assert limited
    for chain in limited:
        assert [reason.code for reason in chain] == ["source-limits", "no-device"]
        assert chain[0].fields == {"source": "inverter", "current_a": 22.0}


def test_a_device_that_may_act_is_named_where_none_surely_does():
    # 20 mA: more than half of 30 mA, from where a device may trip, and less than 30 mA, from where it must (IEC 61008-1)
    found = builds.circuit()
    playing_ = playing(found, builds.state(found.network, site="live", inverter="running"))
    judged = playing_.fault("desk.L", "desk.PE", ohm=11500)
    assert acted(judged) == []
    assert "F1" in judged.run.may
    assert playing_.fault("desk.L", "desk.PE", ohm=23000).run.may == ()
