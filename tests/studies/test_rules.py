"""Rule sets side by side: what the national rule says where it is stricter than the formula, and why."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfitted.description.values import METRIC_SIZES_MM2, size
from asfitted.network.states import states
from asfitted.studies.bonding import islands
from asfitted.studies.bonding_findings import bonding_findings
from asfitted.studies.both_ways import both_ways, counts_as
from asfitted.studies.capacity import Surroundings, capacity
from asfitted.studies.coverage import coverage
from asfitted.studies.coverage_findings import coverage_findings
from asfitted.studies.results import Grade
from asfitted.tables.awg import awg_sizes
from asfitted.tables.conductors import resistance_20c_ohm_per_km
from asfitted.tables.rules import RULE_SETS, rule_set
from asfitted.tables.rules.rule_set import SILENT
from asfitted.words import text

from .small import LAUNCH, TRAILER, VEHICLE, codes, network, sizing

TWELVE_AWG_25_A = (("F1: {breaker: 20 A", "F1: {breaker: 25 A"),)


def finding(result, code):
    return next(f for f in result.findings if f.code == code)


def said(found):
    return " ".join(
        text("findings_sizing", f"{found.code}.{part}", **found.fields)
        for part in ("message", "why", "remedy")
    )


def test_twelve_awg_may_not_have_25_a_and_the_page_says_why():
    result = sizing(*TWELVE_AWG_25_A, of=TRAILER)
    refused = finding(result, "small-conductor")
    assert refused.grade == Grade.POTENTIAL
    assert "240.4(D)" in refused.clause
    assert refused.fields["ampacity_a"] == 30  # 90 °C column: the wire alone would carry it
    assert refused.fields["permitted_a"] == 20
    assert refused.fields["fitting_size"] == "10 AWG"
    assert "10 AWG" in said(refused)


def test_25_a_may_not_feed_receptacles_and_both_remedies_are_size():
    result = sizing(*TWELVE_AWG_25_A, of=TRAILER)
    refused = finding(result, "receptacle-device")
    assert "210.21(B)(3)" in refused.clause
    words = said(refused)
    assert "10 AWG" in words  # a feeder of 25 A
    assert "20 A there" in words
    assert "12 AWG" in words  # or 20 A, 12 AWG,
    assert "16 A for what lasts" in words  # and the source held to 16 A


def test_125_percent_and_derating_are_never_multiplied():
    """16 A that last: 20 A before any factor; in air of 45 °C the actual 16 A after it. 134 → 167 →
    235 A is wrong.
    """
    load = (("tools: 900 W heater", "tools: 1.08 kW pf 1 continuous"), ("1.2 kW 120 V", "2 kW 120 V"),
            ("12 V 2 kW", "12 V 2 kW"))  # fmt: skip
    result = sizing(load[0], ("ambient: 30 °C", "ambient: 45 °C"), of=TRAILER)
    working = {w.quantity: w for w in result.workings if w.subject == "W10"}
    assert working["continuous_load"].result == pytest.approx(1.25 * 9)
    assert working["continuous_load"].limit.value == 20
    assert working["capacity"].result == pytest.approx(min(30 * 0.87, 20))
    assert working["capacity"].limit.value == pytest.approx(9)


def test_next_size_up_is_size():
    result = sizing(of=TRAILER)
    rated = next(w for w in result.workings if w.subject == "W21" and w.quantity == "rated_current")
    assert rated.limit.value == 175  # 2/0 AWG at 75 °C is a standard rating itself
    assert result.cables["W21"].device == "F10"


def test_uncertified_equipment_is_refused_where_listing_is_demanded():
    edit = (
        "rest position: source 2,\n             certified to: listed",
        "rest position: source 2,\n             certified to: none",
    )
    refused = finding(sizing(edit, of=TRAILER), "equipment-not-listed")
    assert refused.grade == Grade.POTENTIAL
    assert "551.30(B)" in refused.clause
    words = said(refused)
    assert "overload" in words  # what breakers cure
    assert "clearance" in words  # and what they do not


def test_law_allows_150_percent_and_good_practice_does_not():
    craft = LAUNCH.replace("IEC 60364", "33 CFR 183").replace("W50: auto 9 m", "W50: 14 AWG 3 m")
    edit = ("F21: {fuse blade: 10 A", "F21: {fuse blade: 20 A")
    result = sizing(edit, of=craft)
    assert "device-above-good-practice" in codes(result)
    assert "device-above-cable" not in {f.code for f in result.findings if "W50" in f.where}
    assert finding(result, "device-above-good-practice").grade == Grade.IMPROVEMENT
    over = sizing(("F21: {fuse blade: 10 A", "F21: {fuse blade: 40 A"), of=craft)
    assert "W50" in finding(over, "device-above-cable").where


def test_engine_space_of_the_law():
    craft = LAUNCH.replace("IEC 60364", "33 CFR 183").replace(
        "boards:", "spaces: {bay: '50 °C, diesel'}\nboards:", 1
    )
    result = sizing(("W36: 50 mm² 1.5 m", "W36: 1/0 AWG PVC 105 °C 1.5 m through bay"), of=craft)
    assert result.cables["W36"].capacity_a == pytest.approx(285 * 0.85)


@pytest.mark.parametrize("name", RULE_SETS)
def test_every_rule_set_sizes_every_small_build(name):
    for build, own in ((VEHICLE, "IEC 60364"), (LAUNCH, "IEC 60364"), (TRAILER, "NFPA 70")):
        result = sizing((f"rules: {own}", f"rules: {name}"), of=build)
        assert result.cables
        for f in result.findings:
            assert said(f)
        for a in result.assumptions:
            assert text("assumptions", a.code, **a.fields)


def test_own_table_of_small_craft_was_not_seen_and_the_page_says_so():
    result = sizing(("IEC 60364", "ISO 13297"), of=LAUNCH)
    working = next(w for w in result.workings if w.subject == "W10" and w.quantity == "capacity")
    assert working.verified == "assumed"
    assert any("ISO 13297 Table A.1" in str(a.fields) for a in result.assumptions)


def test_both_ways_names_what_changes_and_why():
    van = network()
    all_states = states(van)
    first = sizing()
    found = both_ways(van, all_states, first, rule_set("IEC 60364"), rule_set("NFPA 70"))
    changed = {c.cable: c for c in found.cables}
    assert "310.16" in changed["W10"].other_sources
    assert "B.52" in changed["W10"].sources
    assert ("inverter", "desk", 8, 5) in found.drops
    assert not both_ways(van, all_states, first, rule_set("IEC 60364"), rule_set("IEC 60364")).cables


# ---- properties
# -----------------------------------------------------------------------------------------------------


def placed_capacity(rules, conductor, ambient):
    cable = network().cables["W10"]
    return capacity(cable, conductor, Surroundings(ambient, "build"), rule_set(rules)).current_a


SIZES = [*(size(f"{mm2:g} mm²") for mm2 in METRIC_SIZES_MM2 if 1.5 <= mm2 <= 95), *awg_sizes()[2:]]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(RULE_SETS)), st.sampled_from(SIZES), st.integers(0, 70), st.integers(0, 70))
def test_hotter_air_never_gives_more_capacity(rules, conductor, one, other):
    cool, hot = sorted((one, other))
    assert placed_capacity(rules, conductor, hot) <= placed_capacity(rules, conductor, cool)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(sorted(RULE_SETS)), st.sampled_from(SIZES), st.sampled_from(SIZES), st.integers(10, 50)
)
def test_thicker_never_carries_less(rules, one, other, ambient):
    thin, thick = sorted((one, other), key=lambda s: s.mm2)
    assert placed_capacity(rules, thin, ambient) <= placed_capacity(rules, thick, ambient) + 1e-9


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(RULE_SETS)), st.sampled_from(SIZES), st.integers(10, 50), st.integers(0, 4))
def test_a_device_is_never_above_what_a_rule_names(rules, conductor, ambient, receptacles):
    from asfitted.studies.capacity import laid

    cable = network().cables["W10"]
    placed = laid(cable, conductor, Surroundings(ambient, "build"))
    carries = placed_capacity(rules, conductor, ambient)
    found = rule_set(rules).permitted(placed, carries, receptacles)
    assert found.strict_a <= found.rating_a
    if found.rule == "capacity":
        assert found.rating_a == carries
    if found.rule == "small conductor":
        assert found.rating_a <= 30
    assert found.source


@pytest.mark.parametrize("name", ["14", "12", "10", "8", "6", "4", "2", "1/0", "2/0", "4/0"])
def test_awg_and_metric_entry_of_the_same_copper_agree(name):
    """Resistance times area is that of copper for both: the gauge is only another name of the same
    conductor.
    """
    awg = size(f"{name} AWG")
    metric = min((m for m in METRIC_SIZES_MM2), key=lambda m: abs(m - awg.mm2))
    by_gauge = resistance_20c_ohm_per_km(awg.designation, awg.mm2, False).value * awg.mm2
    by_area = resistance_20c_ohm_per_km("", metric, False).value * metric
    assert by_gauge == pytest.approx(by_area, rel=0.105)  # IEC areas are nominal


def test_same_copper_has_the_same_resistance_under_all_rules():
    drops = {
        name: {
            (d.source, d.item): d.drop_v for d in sizing((f"rules: {'IEC 60364'}", f"rules: {name}")).drops
        }
        for name in RULE_SETS
    }
    reference = drops["IEC 60364"]
    for name, found in drops.items():
        assert found == pytest.approx(reference), name


@settings(max_examples=12, deadline=None)
@given(st.lists(st.integers(1, 60), min_size=2, max_size=2).map(sorted))
def test_longer_run_never_a_smaller_drop(metres):
    short, long = (
        next(
            d.drop_v
            for d in sizing(("W10: 7 m", f"W10: {m} m")).drops
            if (d.source, d.item) == ("site", "desk")
        )
        for m in metres
    )
    assert long >= short


def test_auto_says_that_the_drop_at_surge_governs():
    """3.2 kW at 18.5 V: 192 A; 12 mohm in the battery take 2.31 V of 21 V: 0.19 V are left for 2.1 m of cable."""
    surge = (
        "24 V 1.6 kW, efficiency",
        "24 V 1.6 kW, surge: 3.2 kW for 2 s, cut-out below: 18.5 V, efficiency",
    )
    auto = ("W21: battery cable 0.9 m", "W21: auto EPR 90 °C free air 0.9 m")
    result = sizing(surge, auto, ("W22: battery cable 1.2 m", "W22: auto EPR 90 °C free air 1.2 m"))
    found = result.cables["W21"]
    assert found.governed_by == "surge drop"
    assert found.size.mm2 > 25  # what the fuse alone asks for
    assert found.size_by_current == "16 mm²"
    assert "surge-below-cut-out" not in codes(result)
    smaller = sizing(
        surge,
        ("W21: battery cable 0.9 m", "W21: 25 mm² EPR 90 °C free air 0.9 m"),
        ("W22: battery cable 1.2 m", "W22: 25 mm² EPR 90 °C free air 1.2 m"),
    )
    assert "surge-below-cut-out" in codes(smaller)


def test_breaker_in_hot_air_beside_others():
    working = next(w for w in sizing().workings if w.id == "F1.device_at_temperature")
    assert working.result == pytest.approx(10 * (1 - 0.006 * 10) * 0.95)  # 40 °C, F3 beside it
    assert working.verified == "from memory"


@settings(max_examples=10, deadline=None)
@given(
    st.sampled_from(sorted(RULE_SETS)),
    st.lists(st.integers(1, 400), min_size=2, max_size=2).map(sorted),
    st.lists(st.integers(10, 55), min_size=2, max_size=2).map(sorted),
)
def test_more_load_or_hotter_air_never_a_thinner_cable_under_any_rules(rules, watts, ambient):
    def chosen(power, air):
        result = sizing(
            ("rules: IEC 60364", f"rules: {rules}"),
            ("W31: 2.5 mm² 7 m", "W31: auto 7 m"),
            ("strip: 48 W", f"strip: {power} W"),
            ("F21: {fuse blade: 7.5 A", "F21: {fuse blade: 25 A"),
            ("ambient: 40 °C", f"ambient: {air} °C"),
        )
        return result.cables["W31"].size.mm2

    least = chosen(watts[0], ambient[0])
    assert chosen(watts[1], ambient[0]) >= least
    assert chosen(watts[0], ambient[1]) >= least


def test_smallest_standard_rating_for_the_load():
    assert sizing().devices["F10"].smallest_rating_a == 90  # 87 A: fuses of this kind come in 80 and 90 A
    assert (
        sizing(of=TRAILER).devices["F3"].smallest_rating_a == 10
    )  # 2.8 A that last, 240.6(A) begins at 10 A


@pytest.mark.parametrize(
    ("rules", "socket", "tie"),
    [
        ("IEC 60364", "IEC 60364-4-41 411.3.3", "IEC 60364-5-55 551.4.2"),
        ("BS 7671", "BS 7671 411.3.3", "BS 7671 551.4.2"),
        ("NFPA 70", "NFPA 70 210.8", "NFPA 70 250.30"),
        ("ISO 13297", "ISO 13297", "ISO 13297:2020 6.8"),
        ("33 CFR 183", "ABYC E-11", "ABYC E-11"),
    ],
)
def test_ties_and_residual_protection_cite_the_rules_of_the_build(rules, socket, tie):
    built = network(
        ("rules: IEC 60364", f"rules: {rules}"),
        ("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"),
        ("neutral bond: {kind: fixed", "neutral bond: {kind: none"),
        of=VEHICLE,
    )
    every = states(built)
    tied = {s.id: islands(s) for s in every}
    covered = {s.id: coverage(s, tied[s.id]) for s in every}
    found = (*coverage_findings(built, every, covered), *bonding_findings(built, tied))
    by_code = {f.code: f.clause for f in found}
    assert by_code[f"socket-without-{'gfci' if rules == 'NFPA 70' else 'rcd'}"].startswith(socket)
    assert by_code["no-bond"].startswith(tie)
    own = rules.split()[0]
    assert all(c.startswith((own, "ABYC")) or c == SILENT for c in by_code.values())


@pytest.mark.parametrize(
    ("metric", "gauge"),
    [("2.5 mm²", "14 AWG"), ("4 mm²", "12 AWG"), ("6 mm²", "10 AWG"), ("10 mm²", "8 AWG"), ("16 mm²", "6 AWG"),
     ("25 mm²", "4 AWG"), ("35 mm²", "2 AWG"), ("70 mm²", "2/0 AWG")],
)  # fmt: skip
def test_sizes_of_two_systems_are_never_equal(metric, gauge):
    """ASTM B258 and IEC 60228: each gauge is smaller than the metric size that is usually named beside it."""
    assert size(gauge).mm2 < size(metric).mm2
    assert counts_as(size(metric), rule_set("NFPA 70")) == gauge
    there = counts_as(size(gauge), rule_set("IEC 60364"))
    assert size(there).mm2 < size(gauge).mm2
    assert counts_as(size(metric), rule_set("IEC 60364")) == ""


def test_what_the_other_rules_do_not_print_is_not_called_zero():
    """1.5 mm² counts as 16 AWG, below the 14 AWG of NFPA 70 310.106(A): not 0 A, but not allowed."""
    build, here = network(), sizing()
    found = both_ways(build, states(build), here, rule_set("IEC 60364"), rule_set("NFPA 70"))
    thin = next(c for c in found.cables if c.cable == "W11")
    assert (thin.counts_as, thin.other_capacity_a, thin.other_device_a) == ("16 AWG", None, None)
    assert {"conductor-below-least"} == {f.code for f in found.new if "W11" in f.where}
    assert all(c.other_capacity_a is None or c.other_capacity_a > 0 for c in found.cables)


def test_no_cure_names_an_empty_figure():
    """No branch circuit of NFPA 70 Table 210.21(B)(3) feeds receptacles of 16 A."""
    build, here = network(), sizing()
    found = both_ways(build, states(build), here, rule_set("IEC 60364"), rule_set("NFPA 70"))
    refused = [f for f in found.new if f.code == "receptacle-device"]
    assert refused
    assert all("–" not in str(f.fields["cure"]) and " 0 A" not in str(f.fields["cure"]) for f in refused)
