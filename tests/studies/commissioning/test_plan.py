"""The plan: every row of the list of tests is answered, the order is safe, expected values come from outside."""

import pytest

from asfitted import words
from asfitted.description.load import load, load_text
from asfitted.studies.commissioning.plan import PHASES
from asfitted.studies.commissioning.signatures import signatures
from asfitted.studies.commissioning.whole import listed
from asfitted.studies.study import study
from asfitted.tables.looked import rows
from tests.conftest import EXAMPLES
from tests.studies.builds import studied
from tests.studies.test_split_phase import CABIN as SPLIT_PHASE

BUILDS = sorted(path.parent.name for path in EXAMPLES.glob("*/build.yaml"))
#: rows of the list of tests as it was ordered: 83, numbered without a gap
ROWS = [f"CT{number:02d}" for number in range(1, 84)]


def plan_of(name):
    return study(load(EXAMPLES / name / "build.yaml")).commissioning.plan


def one(id_, **kwargs):
    return next(test for test in studied(**kwargs).commissioning.plan if test.id == id_)


def column(test, state):
    ids = {s.name: s.id for s in studied().states}
    return next(c for c in test.columns if c.state == ids[state])


def test_every_row_of_the_list_is_there_and_names_tests_that_exist():
    assert [row["row"] for row in rows("commissioning")] == ROWS
    known = set(words.catalogue("commissioning")["tests"])
    named = {code for row in rows("commissioning") for code in row["codes"].split()}
    assert named <= known
    # what no row asks for is the practice of inspectors: bond position, uncertified equipment
    assert known - named == {"bond-seen", "uncertified"}


@pytest.mark.parametrize("name", BUILDS)
def test_every_row_is_served_or_says_why_not(name):
    for row in listed(plan_of(name)):
        assert row.tests or row.absent, row
        assert not row.absent or words.text("commissioning", f"absent.{row.absent}")


@pytest.mark.parametrize("name", BUILDS)
def test_dead_before_live_and_earth_before_trips(name):
    plan = plan_of(name)
    assert [PHASES.index(test.phase) for test in plan] == sorted(PHASES.index(test.phase) for test in plan)
    order = [test.code for test in plan]
    assert order.index("prove-dead") < order.index("continuity") < order.index("insulation")
    for code in ("rcd-half", "rcd-trip", "earth-path"):
        assert max(n for n, c in enumerate(order) if c == "continuity") < order.index(code)
    assert order.index("rcd-half") < order.index("rcd-trip")
    assert len({test.id for test in plan}) == len(plan)


@pytest.mark.parametrize("name", BUILDS)
def test_every_live_test_has_a_column_for_each_state_and_each_column_an_outcome_to_come_or_a_reason(name):
    found = study(load(EXAMPLES / name / "build.yaml"))
    live = [state.id for state in found.subject.live]
    for test in found.commissioning.plan:
        if test.live:
            assert [c.state for c in test.columns] == live, test.id
        assert all(c.expected is None for c in test.columns if c.not_applicable)


def test_ids_stay_when_another_part_of_the_build_changes():
    before = {test.id for test in studied().commissioning.plan}
    row = "    F29: {breaker: 6 A,  W57: 6 m, load: step_lamp, place: rear door, loads: {step lamp: 18 W lighting}}\n"
    edited = studied((row, ""))
    after = {test.id for test in edited.commissioning.plan}
    assert after < before
    assert all("F29" in gone or "step_lamp" in gone for gone in before - after)


def test_continuity_by_hand():
    """Tea corner: 5 m of 2.5 mm² at 7.98 Ω/km (IEC 60228 class 5, the greater of both classes): 39.9 mΩ."""
    expected = one("continuity.tea_corner").columns[0].expected
    assert expected.value == pytest.approx(5 * 7.98e-3)
    assert expected.high == pytest.approx(1.2 * 5 * 7.98e-3 + 0.05)
    # class 2 has 7.41 Ω/km; copper 15 % better and the last digit of the meter are allowed for
    assert expected.floor == pytest.approx(0.85 * 5 * 7.41e-3 - 0.01, abs=1e-3)
    assert expected.at_20c


def test_line_and_earth_by_hand():
    """Reading desk: 7 m of 2.5 mm², out and back."""
    expected = one("line-and-earth.reading_desk").columns[0].expected
    assert expected.value == pytest.approx(2 * 7 * 7.98e-3)


def test_loop_by_hand():
    """Heater behind a B10: two thirds of 230 V / 50 A; the lead alone has 25 m of 2.5 mm² twice."""
    expected = column(one("loop.heater"), "plugged in").expected
    assert expected.high == pytest.approx(2 / 3 * 230 / 50, rel=1e-3)
    assert expected.floor > 0.85 * 2 * 25 * 7.98e-3 - 0.01


def test_no_loop_is_measured_on_an_inverter():
    assert column(one("loop.tea_corner"), "on the road").not_applicable == "limited source"


def test_times_of_iec_61008_in_every_state_that_feeds_the_socket():
    for state in ("plugged in", "on the road", "blackout"):
        assert column(one("rcd-trip.tea_corner"), state).expected.high == 0.3
        assert column(one("rcd-five.tea_corner"), state).expected.high == 0.04
        ramp = column(one("rcd-ramp.tea_corner"), state).expected
        assert (ramp.low, ramp.high) == (0.015, 0.03)


def test_a_missing_link_reads_half_with_the_one_meter_and_next_to_nothing_with_the_other():
    """Equal filters on line and neutral divide the output in halves; 3 kΩ takes what they pass."""
    found = {(s.at, s.condition): s for s in signatures(studied().subject)}
    missing = found["reading_desk", "link missing"]
    assert missing.voltmeter_v[1] == pytest.approx(115, rel=0.02)
    assert missing.loaded_v[1] < 5
    made = found["reading_desk", "link made"]
    assert made.voltmeter_v == pytest.approx((230, 230, 0), abs=0.1)
    assert made.loaded_v == pytest.approx((230, 230, 0), abs=0.1)


def test_kinds_of_outlet_differ_in_what_both_meters_show():
    found = {s.condition: s for s in signatures(studied().subject) if s.at == "inlet"}
    assert found["reversed"].voltmeter_v == pytest.approx((230, 0, 230), abs=0.5)
    assert found["line to line"].voltmeter_v == pytest.approx((230, 115, 115), abs=0.5)
    assert found["line to line"].loaded_v == pytest.approx((230, 115, 115), abs=0.5)
    assert found["isolated"].loaded_v[1] < 20 < found["isolated"].voltmeter_v[1]


def test_a_fixed_single_pole_neutral_has_two_ties_and_the_plan_wants_one():
    two = studied(("transfer switch: 25 A 2P", "transfer switch: 25 A 1P"))
    test = next(t for t in two.commissioning.plan if t.id == "bonds")
    assert all(c.expected.high == 1 for c in test.columns if c.expected)


def test_both_lines_of_a_split_phase_supply_are_tried():
    plan = study(load_text(SPLIT_PHASE)).commissioning.plan
    before = {t.detail: t.columns[0].expected for t in plan if t.code == "supply-before-plugging"}
    assert set(before) == {"L1-L2", "L1-N", "L2-N", "L1-PE", "L2-PE", "N-PE"}
    assert (before["L1-L2"].value, before["L1-N"].value) == (240, 120)
    assert {t.detail for t in plan if t.code == "pins-dead"} == set(before)
    assert {t.detail for t in plan if (t.code, t.at) == ("voltage", "oven")} >= {"L1-L2", "L1-PE", "L2-PE"}
