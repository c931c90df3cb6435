"""Sources that give in one direction and up to a limit: what they come to, against closed forms and the laws."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from asfitted.network.one_way import one_way

FOREVER = np.inf


def on_a_bar(volts: list[float], ohm: list[float], load_ohm: float) -> np.ndarray:
    """Return own[j, k]: the current of source j for source k alone, all through their own resistance on one bar."""
    siemens = np.array([1 / r for r in ohm])
    total = siemens.sum() + 1 / load_ohm
    e = np.array(volts)
    bar = siemens * e / total  # voltage of the bar for each source alone
    own = -siemens[:, None] * bar[None, :]
    own[np.diag_indices(len(e))] += siemens * e
    return own[:, :, None].astype(complex)


def solved(volts: list[float], ohm: list[float], load_ohm: float, limits: list[float]) -> list[float]:
    own = on_a_bar(volts, ohm, load_ohm)
    scale, still = one_way(np.array(limits), np.ones((len(volts), 1), dtype=complex), own)
    assert still.all()
    return list(np.einsum("jk,k->j", own[:, :, 0].real, scale[:, 0].real))


def test_a_charger_below_its_limit_shares_with_the_battery_by_resistance():
    # 12 V behind 10 mohm and 14 V behind 50 mohm on 1 ohm: bar = (12/0.01 + 14/0.05) / (100 + 20 + 1) = 12.231 V
    bar = (12 / 0.01 + 14 / 0.05) / (1 / 0.01 + 1 / 0.05 + 1)
    got = solved([12, 14], [0.01, 0.05], 1.0, [FOREVER, 100])
    np.testing.assert_allclose(got, [(12 - bar) / 0.01, (14 - bar) / 0.05], rtol=1e-12)


def test_a_charger_at_its_limit_gives_that_and_no_more():
    battery, charger = solved([12, 14], [0.01, 0.05], 0.01, [FOREVER, 20])
    assert charger == 20.0 or abs(charger - 20) < 1e-9
    # the battery gives the rest: (12 - U)/0.01 + 20 = U/0.01
    assert abs(battery - (12 - (12 + 0.2) / 2) / 0.01) < 1e-9


def test_a_battery_above_its_voltage_drives_no_current_back_into_a_charger():
    battery, charger = solved([14.4, 14.0], [0.01, 0.05], 1.0, [FOREVER, 20])
    assert abs(charger) < 1e-9
    assert abs(battery - 14.4 / 1.01) < 1e-9


@given(
    st.lists(st.tuples(st.floats(10, 16), st.floats(0.005, 0.5), st.floats(1, 200)), min_size=1, max_size=5),
    st.floats(0.001, 50),
)
def test_every_source_stands_in_one_of_its_three_regimes(sources, load_ohm):
    volts, ohm, limits = [13.0], [0.01], [FOREVER]
    for v, r, limit in sources:
        volts.append(v), ohm.append(r), limits.append(limit)
    currents = solved(volts, ohm, load_ohm, limits)
    bar = sum(currents) * load_ohm  # Kirchhoff: all of it goes through the load
    for v, r, limit, i in zip(volts[1:], ohm[1:], limits[1:], currents[1:], strict=True):
        free = abs(v - bar - r * i) < 1e-6
        at_limit = abs(i - limit) < 1e-6 and bar < v - r * limit + 1e-6
        blocked = abs(i) < 1e-6 and bar > v - 1e-6
        assert -1e-6 <= i <= limit + 1e-6
        assert free or at_limit or blocked
