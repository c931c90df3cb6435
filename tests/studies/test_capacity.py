from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.values import METRIC_SIZES_MM2, size
from asfitted.studies.capacity import Surroundings, capacity, circuits_in, surroundings
from asfitted.tables.rules.iec60364 import RULES

from .small import network

VAN = network()
AIR_40 = Surroundings(40, "build")


def cable(id_, **changes):
    return replace(VAN.cables[id_], **changes)


@pytest.mark.parametrize(
    ("insulation", "temp", "method", "id_", "amperes"),
    [
        ("PVC 70 °C", 70.0, "free air", "W1", 202),
        ("XLPE 90 °C", 90.0, "clipped", "W1", 245),
        ("XLPE 90 °C", 90.0, "free air", "W1", 263),
        ("EPR 90 °C", 90.0, "free air", "W20", 282),  # single core: 310 A × 0.91
    ],
)
def test_seventy_square_at_forty_degrees(insulation, temp, method, id_, amperes):
    changed = cable(id_, insulation=insulation, conductor_temp_c=temp, method=method)
    found = capacity(changed, size("70 mm²"), AIR_40, RULES)
    assert found.current_a == pytest.approx(amperes, abs=0.6)
    assert not found.assumptions


def test_neighbours_and_hot_air():
    found = capacity(cable("W10"), size("2.5 mm²"), surroundings(VAN, VAN.cables["W10"]), RULES)
    assert circuits_in(VAN, "wall") == 2
    assert found.current_a == pytest.approx(27 * 0.87 * 0.85)


def test_roof_void_with_insulation_takes_the_worst_of_both():
    roof = network(("W10: 7 m in wall", "W10: 7 m through roof void"))
    around = surroundings(roof, roof.cables["W10"])
    assert (around.ambient_c, around.ambient_origin, around.insulation_m) == (60, "space", 0.3)
    found = capacity(roof.cables["W10"], size("2.5 mm²"), around, RULES)
    assert found.current_a == pytest.approx(27 * 0.5 * 0.51)  # 300 mm: the row of 400 mm


def test_rubber_lead_clipped_has_no_table_and_says_so():
    found = capacity(cable("W1", method="clipped"), size("2.5 mm²"), AIR_40, RULES)
    assert [a.code for a in found.assumptions] == ["nearest-capacity"]
    assert found.working.verified == "assumed"
    assert found.current_a < 27 * 0.87


def test_awg_takes_the_smaller_metric_row_and_says_so():
    found = capacity(cable("W10"), size("12 AWG"), AIR_40, RULES)
    assert found.current_a == pytest.approx(27 * 0.87)
    assert found.assumptions[0].fields["used"].startswith("2.5 mm²")


def test_air_hotter_than_the_insulation_leaves_nothing():
    assert capacity(cable("W10"), size("2.5 mm²"), Surroundings(75, "build"), RULES).current_a == 0


SIZES = st.sampled_from([size(f"{mm2:g} mm²") for mm2 in METRIC_SIZES_MM2[:18]])
CABLES = st.sampled_from(sorted(c.id for c in VAN.cables.values() if c.kind != "earth"))


@given(CABLES, SIZES, st.lists(st.floats(-20, 90), min_size=2, max_size=2).map(sorted), st.integers(1, 30))
def test_hotter_never_more_capacity(id_, conductor, ambient, circuits):
    cold, hot = (
        capacity(cable(id_), conductor, Surroundings(t, "build", "bunched", circuits), RULES).current_a
        for t in ambient
    )
    assert hot <= cold


@given(CABLES, SIZES, st.floats(0, 1), st.floats(0, 1), st.integers(1, 30), st.integers(1, 30))
def test_more_insulation_or_neighbours_never_more_capacity(id_, conductor, a, b, m, n):
    def amperes(length, circuits):
        around = Surroundings(40, "build", "bunched", circuits, length)
        return capacity(cable(id_), conductor, around, RULES).current_a

    assert amperes(max(a, b), max(m, n)) <= amperes(min(a, b), min(m, n))
