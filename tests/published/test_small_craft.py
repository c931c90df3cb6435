"""33 CFR 183 and the practice of small craft, against the text of the law and published worked examples."""

from dataclasses import replace

import pytest

from asfitted.description.values import size
from asfitted.tables.rules import cfr33_183, rule_set
from asfitted.tables.rules.rule_set import Laid

PLAIN = Laid(size("10 AWG"), "PVC", 105, "free air", True, 2, 2, 30)
SIZES = ["18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
TABLE_5 = {
    60: "10 15 20 25 40 55 80 105 120 140 165 195 225 260 300",
    75: "10 15 20 25 40 65 95 125 145 170 195 230 265 310 360",
    90: "20 25 30 40 55 70 100 135 155 180 210 245 285 330 385",
    105: "20 25 35 45 60 80 120 160 180 210 245 285 330 385 445",
}


def laid(designation, **changes):
    return replace(PLAIN, size=size(f"{designation} AWG"), **changes)


@pytest.mark.parametrize(
    ("temp", "designation", "printed_a"),
    [
        pytest.param(temp, d, float(a), id=f"33 CFR 183.425 Table 5 {temp} °C {d} AWG")
        for temp, line in TABLE_5.items()
        for d, a in zip(SIZES, line.split(), strict=True)
    ],
)
def test_allowable_current(temp, designation, printed_a):
    assert cfr33_183.tabulated(laid(designation, conductor_temp_c=temp)).value == printed_a


@pytest.mark.parametrize(
    ("conductors", "outside", "inside"),
    [
        pytest.param(2, 60, 51, id="worked example W25, single"),
        pytest.param(3, 42, 35.7, id="worked example W25, 3 conductors"),
        pytest.param(4, 36, 30.6, id="worked example W25, 4 to 6 conductors"),
        pytest.param(6, 36, 30.6, id="33 CFR 183.425 note 2, 6 conductors"),
        pytest.param(7, 30, 25.5, id="worked example W25, 7 to 24 conductors"),
        pytest.param(24, 30, 25.5, id="33 CFR 183.425 note 2, 24 conductors"),
    ],
)
def test_engine_spaces_and_bundles(conductors, outside, inside):
    placed = laid("10", arrangement="bunched", conductors=conductors)
    cool = cfr33_183.tabulated(placed).value * cfr33_183.grouping(placed).value
    hot = replace(placed, engine_space=True, ambient_c=50)
    assert cool == pytest.approx(outside)
    assert cool * cfr33_183.ambient(hot).value == pytest.approx(inside)


def test_no_bundling_factor_below_50_volts_33_cfr_183_435_b():
    assert cfr33_183.grouping(laid("10", arrangement="bunched", conductors=9, extra_low=True)).value == 1


def test_device_below_50_volts_33_cfr_183_455_c_1():
    found = cfr33_183.permitted(laid("10", extra_low=True), 60, 0)
    assert (found.rating_a, found.good_practice_a, found.strict_a) == (90, 60, 60)


def test_device_from_50_volts_on_33_cfr_183_455_c_2():
    assert cfr33_183.permitted(laid("10"), 42, 0).rating_a == 45
    assert cfr33_183.permitted(laid("10"), 60, 0).rating_a == 60


INCH = 0.0254


@pytest.mark.parametrize(
    ("origin", "enclosed", "inches"),
    [
        pytest.param("charging", False, 7, id="33 CFR 183.455(b)(1) 7 in"),
        pytest.param("charging", True, 40, id="33 CFR 183.455(b)(2) 40 in in a sheath"),
        pytest.param("battery", False, 7, id="33 CFR 183.455(b)(1) 7 in from a battery, not sheathed"),
    ],
)
def test_length_before_the_device(origin, enclosed, inches):
    assert rule_set("33 CFR 183").unprotected_m(origin, enclosed).value == pytest.approx(
        inches * INCH, abs=5e-4
    )


def test_72_inches_are_from_memory_and_only_for_sheathed_battery_conductors():
    found = rule_set("33 CFR 183").unprotected_m("battery", True)
    assert found.value == pytest.approx(72 * INCH, abs=5e-4)
    assert found.verified == "from memory"


@pytest.mark.parametrize(
    ("origin", "metres"),
    [
        pytest.param("ac", 0.5, id="ISO 13297:2020 13.2.2"),
        pytest.param("charging", 1.8, id="ISO 13297:2020 12.3"),
    ],
)
def test_length_before_the_device_iso_13297(origin, metres):
    assert rule_set("ISO 13297").unprotected_m(origin, False).value == metres


@pytest.mark.parametrize(
    ("rules", "use", "percent"),
    [
        pytest.param("33 CFR 183", "critical", 3, id="ABYC E-11 critical"),
        pytest.param("33 CFR 183", "other", 10, id="ABYC E-11 other"),
        pytest.param("ISO 13297", "critical", 3, id="ISO 10133 Annex C critical"),
    ],
)
def test_voltage_drop_on_dc(rules, use, percent):
    assert rule_set(rules).drop_limit("dc", use).value == percent


def test_worked_example_w08_ampacity_governs():
    """24 V, 3 %, loop of 10 ft, 100 A, 105 °C: drop alone 14 931 cmil, 8 AWG; ampacity 80 A < 100
    A: 6 AWG.
    """
    cmil = 10.75 * 100 * 10 / 0.72
    assert cmil == pytest.approx(14931, abs=1)
    assert 16510 >= cmil > 10380  # 8 AWG, not 10
    assert cfr33_183.tabulated(laid("8")).value < 100 <= cfr33_183.tabulated(laid("6")).value
