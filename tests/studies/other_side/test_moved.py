"""A build moved to the other side of the Atlantic: the same power, that side's voltage, devices and sizes."""

from functools import cache

import pytest

from asfitted import words
from asfitted.description.load import load, load_text
from asfitted.description.values import size
from asfitted.studies.other_side.moved import Moved, moved
from asfitted.studies.other_side.reasons import ASKED, GOVERNED
from asfitted.studies.study import Study, study
from asfitted.tables.sides import rules_there, side, side_of
from tests.studies.builds import EXAMPLE, studied

from ..test_split_phase import CABIN as SPLIT

LASTING = (
    ("inverter: 24 V 1.6 kW 230 V", "inverter: 24 V 2 kW 230 V"),
    ("projector: 220 W pf 0.95 rides 20 ms", "projector: 220 W pf 1 continuous"),
    ("laptops: 260 W pf 0.95 rides 3600 s class II", "laptops: 260 W pf 1 continuous"),
    ("kettle: 1 kW heater", "kettle: 1600 W pf 1 continuous"),
)


@cache
def of_example(name: str) -> tuple[Study, Moved]:
    found = study(load(EXAMPLE.parents[1] / name / "build.yaml"))
    there = moved(found.network, found.states)
    assert there is not None
    return found, there


def device(found: Moved, id_: str):
    return next(d for d in found.devices if d.here.id == id_)


def cable(found: Moved, id_: str):
    return next(c for c in found.cables if c.cable == id_)


def codes(why) -> set[str]:
    return {reason.code for reason in why}


def test_2000_watts_at_115_volts_by_the_facts_of_the_trade():
    """Common practice, no published source: 2000 W at 115 V are 17.4 A; times 1.25 21.75 A; the next breaker is 25 A;
    12 AWG may have 20 A at the most (NFPA 70 240.4(D)), so 10 AWG; and 25 A is a feeder (Table 210.21(B)(3)).
    """
    build = studied(*LASTING)
    found = moved(build.network, build.states, voltage_v=115)
    feed = cable(found, "W6")
    assert feed.there.current_a == pytest.approx(17.39, abs=0.005)
    assert 1.25 * feed.there.current_a == pytest.approx(21.74, abs=0.005)
    feeder = device(found, "QF2")
    assert feeder.there.spec.rating_a == 25
    assert {"continuous load", "feeder"} <= codes(feeder.why)
    assert feed.there.size.designation == "10 AWG"
    small = next(why for why in feed.why if why.code == "small conductor")
    assert small.clause == "NFPA 70 240.4(D)"
    assert dict(small.fields)["smaller"] == "12 AWG"
    assert dict(small.fields)["held_a"] == 20
    assert dict(small.fields)["carries_a"] > 25
    # 1600 W are 13.9 A, 17.4 A at 125 %: a branch of 20 A, 12 AWG at the least, receptacles of 20 A (16 A by a cord)
    assert device(found, "F2").there.spec.rating_a == 20
    assert cable(found, "W13").there.size.mm2 >= size("12 AWG").mm2
    assert found.network.items["tea_corner"].spec.rating_a == 20


def test_one_circuit_that_would_need_25_a_is_refused_before_receptacles():
    edits = (*LASTING[:3], ("kettle: 1 kW heater", "kettle: 1 kW pf 1 continuous, urn: 1 kW pf 1 continuous"))
    build = studied(*edits)
    found = moved(build.network, build.states, voltage_v=115)
    assert device(found, "F2").there.spec.rating_a == 25
    refused = next(why for why in device(found, "F2").why if why.code == "outlets refuse")
    assert "210.21(B)(3)" in refused.clause


@pytest.mark.parametrize(
    ("volts", "amperes", "there_a"),
    # 3680 W and 3600 W, 2300 W and 2400 W: the pairs of supplies that give the same power
    [(230, 16, 30), (120, 30, 16), (230, 10, 20), (120, 20, 10), (230, 32, 50)],
)
def test_supplies_that_give_the_same_power(volts, amperes, there_a):
    other = side("120 V" if volts == 230 else "230 V")
    assert other.supply_for(volts * amperes).value == there_a


@pytest.mark.parametrize(("volts", "name"), [(230, "230 V"), (240, "230 V"), (115, "120 V"), (127, "120 V")])
def test_side_of_a_nominal_voltage(volts, name):
    assert side_of(volts).name == name


def test_no_side_for_other_voltages():
    assert side_of(400) is None
    assert side_of(48) is None


@pytest.mark.parametrize(
    ("rules", "there", "expected"),
    [
        ("IEC 60364", "120 V", "NFPA 70"),
        ("BS 7671", "120 V", "NFPA 70"),
        ("NFPA 70", "230 V", "IEC 60364"),
        ("ISO 13297", "120 V", "33 CFR 183"),
        ("33 CFR 183", "230 V", "ISO 13297"),
        ("ISO 13297", "230 V", "ISO 13297"),  # an American craft built to the international standard
    ],
)
def test_rule_set_of_the_other_side(rules, there, expected):
    assert rules_there(rules, side(there)) == expected


@pytest.mark.parametrize("name", ["paper_lantern", "tin_kiln", "slow_heron"])
def test_every_load_keeps_its_power_and_the_direct_current_side_stays(name):
    build, found = of_example(name)
    for moving in found.cables:
        was, becomes = (moving.here.current_a, moving.there.current_a)
        assert becomes * found.there.voltage_v == pytest.approx(was * found.here.voltage_v, rel=1e-6)
    direct = {c.equipment for c in build.network.contacts if c.conductor in ("plus", "minus")}
    assert direct
    assert all(found.network.items[id_].spec is build.network.items[id_].spec for id_ in direct)
    kept = [c for c in build.network.cables.values() if c.kind not in ("ac", "L", "N")]
    assert all(found.network.cables[c.id] is c for c in kept)


@pytest.mark.parametrize("name", ["paper_lantern", "tin_kiln", "slow_heron"])
def test_devices_and_sizes_are_those_of_the_other_side(name):
    _, found = of_example(name)
    standard = found.other.standard_ratings_a("breaker")
    assert all(d.there.spec.rating_a in standard for d in found.devices)
    assert all(bool(c.there.size.awg) == found.other.awg for c in found.cables)
    for c in found.cables:
        assert c.there.capacity_a >= c.there.current_a
        assert c.there.drop_percent is None or c.there.drop_percent <= c.there.drop_limit


def test_outlets_behind_an_rcbo_get_interrupters_of_their_own():
    _, found = of_example("paper_lantern")
    assert (device(found, "F1").there.kind, device(found, "F1").there.spec.rating_a) == ("breaker", 15)
    assert found.network.items["reading_desk"].kind == "GFCI receptacle"
    assert device(found, "QF1").there.kind == "GFCI breaker"  # the first on its way to open on leakage
    assert device(found, "QF1").there.spec.rating_a == 30
    assert device(found, "F3").there.kind == "breaker"  # the charger's: QF1 stands before it
    assert found.network.items["inlet"].spec.rating_a == 30


def test_interrupters_become_rcbos():
    _, found = of_example("tin_kiln")
    for id_ in ("QF1", "QF2", "QF4", "F2", "F3"):
        spec = device(found, id_).there.spec
        assert (spec.KIND, spec.residual_a, spec.residual_type) == ("RCBO", 0.03, "A")
    assert device(found, "QF3").there.kind == "breaker"
    assert found.network.items["bench"].kind == "sockets"
    assert device(found, "QF1").there.spec.rating_a == 16


def test_a_craft_keeps_a_main_that_opens_at_30_ma():
    _, found = of_example("slow_heron")
    assert found.other.name == "33 CFR 183"
    assert (device(found, "QF1").there.kind, device(found, "QF1").there.spec.rating_a) == ("RCBO", 30)
    assert found.network.items["galley"].kind == "GFCI receptacle"


def test_an_appliance_that_no_outlet_there_may_feed_is_named():
    build = studied(("kettle: 1 kW heater", "kettle: 3 kW heater"))
    found = moved(build.network, build.states)
    assert found.too_large == (("kettle", pytest.approx(25)),)


def test_a_supply_of_two_lines_has_no_counterpart():
    build = study(load_text(SPLIT))
    assert moved(build.network, build.states) is None


def test_every_reason_has_words_and_every_word_a_reason():
    said = set(words.catalogue("other_side")) - {"its source"}
    of_kind = {"GFCI receptacle", "GFCI breaker", "main on leakage", "plain breaker", "RCBO"}
    of_rating = {
        "main",
        "next rating",
        "panel temperature",
        "no rating",
        "feeder",
        "outlets refuse",
        "outlet",
    }
    of_size = {"small conductor", "no size", *(f"size by {check}" for check in GOVERNED)}
    assert said == of_kind | of_rating | of_size | set(ASKED)
