"""Faults of direct current: with what charges, with the battery they lie at, and what is left when all has opened."""

from dataclasses import replace
from functools import lru_cache

import pytest

from asfitted.description.load import load_text
from asfitted.network.build import build
from asfitted.network.direct import direct_states
from asfitted.network.equivalent import equivalent
from asfitted.network.model import Network
from asfitted.network.sites import described_sites
from asfitted.network.states import states
from asfitted.studies.faults.cases import Places, faults
from asfitted.studies.faults.result import FaultResult, FaultStudy
from asfitted.studies.faults.stage import Bench, Switched
from asfitted.studies.faults.study import combinations_of_sites, fault_study, play_states
from asfitted.studies.faults.units import Units
from asfitted.studies.study import study
from tests.studies.builds import EXAMPLE, varied
from tests.studies.faults import builds


@lru_cache(maxsize=8)
def van(*edits: tuple[str, str]) -> Network:
    return build(load_text(varied(*edits), EXAMPLE))


@lru_cache(maxsize=8)
def results(*edits: tuple[str, str]) -> dict[tuple[str, str, str], FaultResult]:
    """Return the faults of direct current at the least bound by (state of the d.c. side, kind, place)."""
    network = van(*edits)
    circuit = equivalent(network, combinations_of_sites(network)[0], "least")
    played = (r for _, r in play_states(circuit, states(network)[:1]) if r.direct_state)
    return {(r.direct_state, r.kind, r.at): r for r in played}


def test_a_short_at_the_starter_battery_is_fed_by_that_battery():
    # 12 V behind 15 mohm (aged and cold) and the fault's 10 mohm: 480 A; that of the house would be 24 V behind 12 mohm
    assert results()["D1", "plus to minus", "starter_battery.plus"].current_a == pytest.approx(480, rel=0.01)
    assert results()["D1", "plus to minus", "battery.plus"].current_a == pytest.approx(24 / 0.022, rel=0.02)


def test_a_running_alternator_that_is_shorted_loses_its_field_once_the_battery_is_cut_off():
    alone = results()["D1", "plus to structure", "alternator.plus"]
    running = results()["D5", "plus to structure", "alternator.plus"]
    assert [o.unit for o in alone.opened] == ["F19"]
    assert {o.unit for o in running.opened} == {"F19", "alternator"}
    assert running.verdict == "in time"
    assert running.current_a > alone.current_a


def test_a_shorted_array_gives_its_short_circuit_current_as_long_as_the_sun_shines():
    assert ("D1", "plus to minus", "solar.plus") not in results()
    fault = results()["D5", "plus to minus", "solar.plus"]
    assert fault.current_a == pytest.approx(10.5, rel=0.01)
    assert (fault.outcome, fault.verdict, fault.opened) == ("not cleared", "within rating", ())
    assert [reason.code for reason in fault.chain] == ["source-limits"]


def test_what_charges_keeps_a_fault_alive_behind_the_fuse_that_has_parted_the_battery():
    fault = results()["D5", "plus to minus", "solar_controller.battery.plus"]
    assert "F14" in {o.unit for o in fault.opened}
    assert fault.verdict == "within rating"
    assert "solar_controller" in {str(reason.fields.get("source")) for reason in fault.chain}


@pytest.mark.parametrize(("kind", "closed"), [("closed when inverting", False), ("fixed", True)])
def test_the_bond_relay_of_an_inverter_that_has_latched_off_is_open(kind: str, closed: bool):
    network = van(("neutral bond: {kind: fixed,", f"neutral bond: {{kind: {kind},"))
    circuit = equivalent(network, described_sites(network)[:1], "least")
    road = next(
        s for s in states(network) if dict(s.conditions) == {"site": "unplugged", "inverter": "running"}
    )
    bench = Bench(circuit, Units(circuit))
    (branch,) = circuit.bond_of.values()
    switched = Switched(road)
    assert bench.closed(switched)[branch]
    assert bench.closed(replace(switched, stopped=frozenset({"inverter"})))[branch] == closed


ENGINE = (
    "  - plus:  [alternator, W41: engine cable 1.5 m through engine bay, F19, W46: engine cable 0.3 m,"
    " starter_battery]\n"
)
RELAY = "  K1: {contactor: 100 A 1P, contacts: [plus], closed when: alternator running}\n"
SPARE = """\
  spare:
    battery: lead-acid AGM 12 V 90 Ah
    lowest voltage: 12 V
    highest voltage: 14.4 V
    internal resistance: 5 mohm new and warm, 15 mohm aged and cold
    discharge limit: 700 A
"""
LINK = (
    (ENGINE, ENGINE + """\
  - plus:  [starter_battery, W70: 16 mm² 0.2 m, F40: fuse T 60 A, W71: 16 mm² 3 m, K1]
  - plus:  [K1, W72: 16 mm² 0.2 m, F41: fuse T 60 A, W73: 16 mm² 0.2 m, spare]
  - minus: [spare, W74: 50 mm² 0.5 m, body]
"""),
    ("equipment:\n", SPARE + "equipment:\n" + RELAY),
)  # fmt: skip


def test_a_split_charge_relay_that_sticks_is_played_where_it_should_be_open():
    network = van(*LINK)
    places = Places(equivalent(network, combinations_of_sites(network)[0], "least"))
    state = states(network)[0]
    stuck = {
        side.id: [f.at for f in faults(places, side.on(state)) if f.kind == "contact welded" and f.direct]
        for side in direct_states(network)
        if side.changed in ((), (("alternator", "running"),))
    }
    assert stuck == {"D1": ["K1.plus"], "D2": []}


def test_a_split_charge_relay_joins_the_batteries_only_while_the_engine_runs():
    fault = results(*LINK)["D5", "plus to minus", "spare.plus"]
    # both batteries and the alternator: more than either battery alone, at most their sum with all else left out
    assert 480 < fault.current_a < 2 * 480 + 120
    alone = results(*LINK)["D1", "plus to minus", "spare.plus"]
    assert alone.current_a == pytest.approx(480, rel=0.01), (
        "the relay is open: the other battery gives nothing"
    )


def test_the_van_stays_clean_with_everything_that_charges():
    build_ = study(load_text(varied(), EXAMPLE))
    assert not [f for f in build_.faults.findings if f.grade.bars_publication]


#: the sound vehicle of the fault tests with a thinner case conductor: 10 mm² bears 63 A, 2 kW at 12 V take 185 A
THIN_CASE = ("W8: 50 mm² 1 m", "W8: 10 mm² 1 m")
APART = ("isolation: isolated,", "isolation: isolated, minus to case: apart,")
JOINED = ("isolation: isolated,", "isolation: isolated, minus to case: joined,")


@lru_cache(maxsize=8)
def direct_study(*edits: tuple[str, str]) -> FaultStudy:
    network = builds.network(builds.changed(builds.VAN, *builds.SOUND), *edits)
    return fault_study(network, states(network)[:1])


def minus_broken(*edits: tuple[str, str]) -> FaultResult:
    return next(r for r in direct_study(*edits).faults if (r.kind, r.at) == ("minus broken", "W22.minus"))


def test_with_its_minus_broken_an_inverter_takes_its_current_through_the_case_if_both_may_meet_inside():
    result = minus_broken(THIN_CASE)
    # 2 kW ÷ 0.9 at 12.0 V (LiFePO4 of 12.8 V, empty): 185 A, less what falls off in battery and cables
    assert result.dc_in_protective_a == pytest.approx(185, rel=0.2)
    assert result.dc_in_protective_a < 185.2
    assert result.verdict == "current stays"
    heaviest = result.overloaded[0]
    assert heaviest.core == "W8.PE"
    assert heaviest.current_a == pytest.approx(result.dc_in_protective_a, rel=0.01)
    assert result.opened == (), "250 A of fuse do not open on it"


@pytest.mark.parametrize(
    ("edits", "code"),
    [
        ((THIN_CASE,), "minus-to-case-not-stated"),
        ((THIN_CASE, JOINED), "conductor-overloaded"),
        ((THIN_CASE, APART), None),
        ((), None),
        ((JOINED,), None),
    ],
    ids=["not stated", "joined", "apart", "thick, not stated", "thick, joined"],
)
def test_what_a_broken_minus_comes_to_hangs_on_what_the_maker_says_and_on_the_case_conductor(edits, code):
    found = {f.code: f for f in direct_study(*edits).findings if f.code != "conductor-destroyed"}
    assert set(found) == ({code} if code else set())
    if code:
        assert "W8" in found[code].where


def test_with_minus_and_case_apart_a_broken_minus_drives_nothing_through_the_case():
    assert minus_broken(THIN_CASE, APART).dc_in_protective_a < 0.1
    assert minus_broken(THIN_CASE, JOINED).dc_in_protective_a == pytest.approx(
        minus_broken(THIN_CASE).dc_in_protective_a, rel=0.02
    )
