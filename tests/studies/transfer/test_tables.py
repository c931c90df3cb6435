"""Published figures that the transfer study leans on."""

import math

import pytest

from asfitted.tables.looked import NoRowError
from asfitted.tables.transfer import (
    changeover_share,
    motor_start,
    tolerated_s,
    voltage_change_percent,
)


@pytest.mark.parametrize(
    ("percent", "time_s"),
    [(0, 0.02), (69.9, 0.02), (70, 0.5), (79.9, 0.5), (80, 10), (89.9, 10), (90, math.inf), (100, math.inf)],
)
def test_lower_points_of_the_iti_curve_revision_2000(percent, time_s):
    """ITI (CBEMA) curve, revision 2000: dropout 20 ms, 70 % 0.5 s, 80 % 10 s, 90 % for ever."""
    assert tolerated_s(percent).value == time_s
    assert "ITI" in tolerated_s(percent).source


@pytest.mark.parametrize(("percent", "time_s"), [(110, math.inf), (111, 0.5), (120, 0.5)])
def test_upper_points_of_the_iti_curve_revision_2000(percent, time_s):
    assert tolerated_s(percent).value == time_s


def test_above_the_iti_curve_nothing_is_promised():
    with pytest.raises(NoRowError):
        tolerated_s(130)


def test_coils_let_go_between_20_and_75_per_cent_and_come_back_at_85_iec_60947_4_1():
    assert changeover_share("coil", "drops out at the latest").value == 0.20
    assert changeover_share("coil", "drops out at the earliest").value == 0.75
    assert changeover_share("coil", "picks up at the latest").value == 0.85


def test_what_is_from_memory_says_so():
    """IEC 61000-3-3: 3.3, 4, 6 and 7 %; NFPA 70 440.12: six times."""
    found = [voltage_change_percent(s) for s in ("steady", "by itself", "by hand", "attended")]
    assert [each.value for each in found] == [3.3, 4, 6, 7]
    found.append(motor_start("current over running current"))
    assert found[4].value == 6
    assert {each.verified for each in found} == {"from memory"}
