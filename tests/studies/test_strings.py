"""Batteries in parallel share by resistance; the better one may carry more than its fuse bears."""

import pytest

from .small import codes, second_battery, sizing

TWO = second_battery("LiFePO4 25.6 V 200 Ah")


def shares(*edits):
    return {w.subject: w for w in sizing(*edits).workings if w.quantity == "string_share"}


def test_a_single_battery_shares_with_nobody():
    assert shares() == {}


def test_share_by_hand():
    found = shares(*TWO)
    assert set(found) == {"battery", "spare"}
    per_m = 0.386e-3 * (1 + 0.00393 * 70)  # 50 mm² of class 5 at 90 °C
    of_battery, of_spare = (0.15 + 0.9 + 1.2) * per_m, (0.15 + 0.5 + 0.5) * per_m
    better, worse = 4e-3 + of_spare, 12e-3 + of_battery
    total = next(i.value for i in found["spare"].inputs if i.symbol == "I")
    assert found["spare"].result == pytest.approx(total * worse / (better + worse), rel=0.02)
    assert found["spare"].result > total / 2
    assert "string-share-exceeded" not in codes(sizing(*TWO))


def test_a_fuse_below_the_share_is_found():
    small = ("F18: fuse T 125 A", "F18: fuse T 50 A")
    result = sizing(*TWO, small)
    found = next(f for f in result.findings if f.code == "string-share-exceeded")
    assert found.where == ("spare", "F18")
    assert found.fields["share_a"] > found.fields["bears_a"] == 50
