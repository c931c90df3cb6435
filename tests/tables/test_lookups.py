"""Look-ups off the printed rows stay on the safe side; every row says where it is from."""

from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.values import AWG_NUMBERS, METRIC_SIZES_MM2, size
from asfitted.tables.capacity import PRINTED, current_carrying_capacity, reference_method
from asfitted.tables.conductors import adiabatic_k, resistance_20c_ohm_per_km
from asfitted.tables.factors import ambient_factor, grouping_factor, thermal_insulation_factor
from asfitted.tables.looked import NoRowError, rows
from asfitted.tables.rules import RULE_SETS, rule_set
from asfitted.tables.rules.iec60364 import connecting_lead_mm2
from asfitted.tables.rules.rule_set import SILENT

TABLES = sorted(p.name.removesuffix(".csv") for p in files("asfitted.tables").joinpath("data").iterdir())


def value_or_nearest(call, *arguments):
    try:
        return call(*arguments).value
    except NoRowError as missing:
        nearest = missing.nearest
    assert nearest is not None
    assert nearest.verified == "assumed"
    return nearest.value


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_a_source_and_says_how_far_it_was_verified(name):
    assert rows(name)
    for row in rows(name):
        assert row["source"]
        assert row["verified"] in ("read", "from memory", "assumed")
        assert None not in row  # no stray comma


@given(
    st.sampled_from([("rubber", 60.0), ("PVC", 70.0), ("PVC", 90.0), ("EPR", 90.0), ("silicone", 180.0)]),
    st.sampled_from(["in insulation", "in conduit", "clipped", "free air"]),
    st.booleans(),
    st.lists(st.floats(0.5, 240), min_size=2, max_size=2).map(sorted),
)
def test_a_larger_conductor_never_carries_less(insulation, method, single, areas):
    letter = reference_method(method, single)
    small, large = (value_or_nearest(current_carrying_capacity, *insulation, letter, 2, a) for a in areas)
    assert small <= large


@given(st.sampled_from(sorted(PRINTED)), st.lists(st.floats(-20, 55), min_size=2, max_size=2).map(sorted))
def test_hotter_air_never_gives_a_larger_factor(temp, ambient):
    assert ambient_factor(temp, ambient[0]).value >= ambient_factor(temp, ambient[1]).value


@given(
    st.sampled_from(["bunched", "single layer"]),
    st.lists(st.integers(1, 20), min_size=2, max_size=2).map(sorted),
)
def test_more_circuits_never_give_a_larger_factor(arrangement, circuits):
    assert grouping_factor(arrangement, circuits[0]).value >= grouping_factor(arrangement, circuits[1]).value


@given(st.lists(st.floats(0, 5000), min_size=2, max_size=2).map(sorted))
def test_more_thermal_insulation_never_gives_a_larger_factor(lengths):
    assert thermal_insulation_factor(lengths[0]).value >= thermal_insulation_factor(lengths[1]).value


def test_air_as_hot_as_the_conductor_has_no_factor():
    with pytest.raises(NoRowError) as raised:
        ambient_factor(70, 70)
    assert raised.value.nearest is None


@pytest.mark.parametrize("number", AWG_NUMBERS)
def test_awg_takes_the_next_smaller_metric_row(number):
    area = size(f"{number} AWG").mm2
    with pytest.raises(NoRowError) as raised:
        current_carrying_capacity("PVC", 70, "C", 2, area)
    smaller = max(s for s in METRIC_SIZES_MM2 if s <= area)
    assert raised.value.nearest.value == current_carrying_capacity("PVC", 70, "C", 2, smaller).value
    assert resistance_20c_ohm_per_km(f"{number} AWG", area, True).verified == "read"


def test_unknown_insulation_takes_the_k_that_asks_most():
    assert value_or_nearest(adiabatic_k, "live", "silicone", 180.0) == 100


def test_a_silent_rule_set_says_so():
    assert rule_set("IEC 60364").clause("overload")
    assert rule_set("33 CFR 183").clause("disconnection time") == SILENT
    with pytest.raises(KeyError):
        rule_set("IEC 60364-5")


@pytest.mark.parametrize("name", RULE_SETS)
def test_every_rule_set_has_drop_limits_and_lengths(name):
    rules = rule_set(name)
    for supply in ("public", "private"):
        for use in ("lighting", "other"):
            assert 3 <= rules.drop_limit(supply, use).value <= 10
    assert rules.drop_limit("dc", "critical").value == 3
    assert rules.drop_limit("dc", "other").value == 10
    for origin in ("ac", "battery", "charging"):
        assert rules.unprotected_m(origin, False).value <= rules.unprotected_m(origin, True).value


def test_drop_limits_and_leads():
    assert rule_set("IEC 60364").drop_limit("public", "lighting").value == 3
    assert rule_set("IEC 60364").drop_limit("private", "other").value == 8
    assert connecting_lead_mm2(16).value == 2.5
    assert connecting_lead_mm2(10).value == 2.5
    assert connecting_lead_mm2(125) is None
