"""The simulation: energy is conserved, closed forms are met, and an integrator that knows nothing of them agrees."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from asfitted.studies.energy.formulas import charging_hours, peukert_hours, time_constant_h
from asfitted.studies.energy.simulate import Store, hours_until, simulate

MINUTE = 1 / 60


def store(**changes) -> Store:
    plain = {
        "full_wh": 5120.0,
        "floor_wh": 1024.0,
        "charge_efficiency": 0.95,
        "tau_h": 0.5,
        "charge_w": 2560.0,
        "rated_w": 256.0,
        "exponent": 1.15,
    }
    return Store(**(plain | changes))


def run(battery: Store, start_wh: float, load_w, source_w, step_h: float = MINUTE, allowed: bool = True):
    load, source = np.asarray(load_w, dtype=float), np.asarray(source_w, dtype=float)
    return simulate(battery, start_wh, load, source, np.full(len(load), allowed), step_h)


watts = st.floats(0, 6000)
batteries = st.builds(
    store,
    full_wh=st.floats(100, 20_000),
    floor_wh=st.floats(0, 99),
    charge_efficiency=st.floats(0.5, 1),
    tau_h=st.floats(0.01, 5),
    charge_w=st.floats(1, 5000),
    rated_w=st.floats(5, 1000),
    exponent=st.floats(1, 1.6),
)


@settings(max_examples=150, deadline=None)
@given(
    batteries,
    st.floats(0, 1),
    st.lists(st.tuples(watts, watts, st.booleans()), min_size=1, max_size=300),
    st.sampled_from([1 / 60, 1 / 12, 1.0]),
)
def test_energy_is_conserved_in_every_step(battery, share, steps, step_h):
    start = battery.floor_wh + share * (battery.full_wh - battery.floor_wh)
    load = np.array([load for load, _, _ in steps])
    source = np.array([source for _, source, _ in steps])
    ledger = simulate(battery, start, load, source, np.array([may for _, _, may in steps]), step_h)
    came = ledger.offered_wh.sum() + start
    went = (
        (ledger.load_wh - ledger.unserved_wh).sum()
        + ledger.charging_loss_wh.sum()
        + ledger.rate_loss_wh.sum()
        + ledger.curtailed_wh.sum()
        + ledger.end_wh
    )
    assert came == pytest.approx(went, rel=1e-9)
    # no part of the balance is a residue that hides an error: each is bounded by physics of its own
    scale = 1e-9 * (came + 1)
    before = np.concatenate(([start], ledger.stored_wh[:-1]))
    assert (ledger.stored_wh <= battery.full_wh + scale).all()
    assert (ledger.stored_wh >= battery.floor_wh - scale).all()
    for part in (ledger.curtailed_wh, ledger.unserved_wh, ledger.rate_loss_wh, ledger.charging_loss_wh):
        assert (part >= -scale).all()
    assert (ledger.accepted_wh <= battery.charge_w * step_h + scale).all()
    assert (ledger.accepted_wh <= np.maximum(ledger.offered_wh - ledger.load_wh, 0) + scale).all()
    assert (ledger.accepted_wh * battery.charge_efficiency <= battery.full_wh - before + scale).all()
    forbidden = np.array([not may for _, _, may in steps])
    assert (ledger.accepted_wh[forbidden] <= scale).all()
    # what is without supply is so because the floor is reached
    short = ledger.unserved_wh > scale
    assert ledger.stored_wh[short] == pytest.approx(battery.floor_wh, abs=scale)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(watts, watts), min_size=1, max_size=8), st.floats(0.2, 1))
def test_an_integrator_of_differential_equations_agrees(steps, share):
    """scipy integrates dE/dt = min(η·P, (full − E)/τ) or −P·(P/P_r)^(k−1), clipped at the floor."""
    battery = store()
    start = battery.full_wh * share
    ours = run(battery, start, [a for a, _ in steps], [b for _, b in steps], 0.25).stored_wh
    now = start
    for number, (load, source) in enumerate(steps):
        net = source - load

        def slope(_, stored, net=net):
            if net >= 0:
                taken = min(net, battery.charge_w) * battery.charge_efficiency
                return [min(taken, (battery.full_wh - stored[0]) / battery.tau_h)]
            factor = max(-net / battery.rated_w, 1) ** (battery.exponent - 1)
            return [net * factor]

        solved = solve_ivp(slope, (0, 0.25), [now], rtol=1e-9, atol=1e-7, max_step=0.005)
        now = max(float(solved.y[0, -1]), battery.floor_wh)
        assert ours[number] == pytest.approx(now, abs=0.02 * battery.full_wh / 100)
        now = float(ours[number])


@pytest.mark.parametrize("step_h", [1 / 60, 1 / 4, 1.0, 7.3])
@pytest.mark.parametrize("power_w", [40.0, 256.0, 900.0])
def test_constant_load_lasts_as_long_as_the_closed_form(step_h, power_w):
    """t = E_u/P up to the rated current, by Peukert's law above it; whatever the step."""
    battery = store()
    usable = battery.full_wh - battery.floor_wh
    if power_w > battery.rated_w:
        # 20 h at 256 W: the whole 5120 Wh; of it the usable part
        expected = peukert_hours(5120, 20, power_w, battery.exponent) * usable / battery.full_wh
    else:
        expected = usable / power_w
    steps = math.ceil(expected / step_h) + 2
    ledger = run(battery, battery.full_wh, [power_w] * steps, [0.0] * steps, step_h)
    assert hours_until(ledger, step_h) == pytest.approx(expected, rel=1e-9)
    assert ledger.delivered_wh.sum() == pytest.approx(expected * power_w, rel=1e-9)


@pytest.mark.parametrize("step_h", [1 / 60, 1 / 7, 1.0])
@pytest.mark.parametrize("power_w", [300.0, 2000.0])
def test_charging_takes_as_long_as_the_closed_form(step_h, power_w):
    battery = store(tau_h=time_constant_h(3.0))
    usable = battery.full_wh - battery.floor_wh
    hours = charging_hours(usable, power_w, battery.charge_efficiency, battery.tau_h)
    steps = math.floor(hours / step_h)
    knee = power_w * battery.charge_efficiency * battery.tau_h
    ledger = run(battery, battery.floor_wh, [0.0] * steps, [power_w] * steps, step_h)
    left = 0.05 * knee * math.exp((hours - steps * step_h) / battery.tau_h)
    assert battery.full_wh - ledger.end_wh == pytest.approx(left, rel=1e-6)


def test_a_longer_step_changes_nothing_while_powers_are_constant():
    battery = store()
    fine = run(battery, 4000, [0.0] * 240, [700.0] * 240, 1 / 60)
    coarse = run(battery, 4000, [0.0] * 4, [700.0] * 4, 1.0)
    assert fine.stored_wh[59::60] == pytest.approx(coarse.stored_wh, rel=1e-9)


def test_a_battery_that_must_not_be_charged_still_lets_sources_carry_loads():
    battery = store()
    ledger = run(battery, 2000, [100.0] * 60, [500.0] * 60, allowed=False)
    assert ledger.end_wh == pytest.approx(2000)
    assert ledger.direct_wh.sum() == pytest.approx(100)
    assert ledger.curtailed_wh.sum() == pytest.approx(400)


def test_what_lies_below_the_floor_is_not_given_away_and_not_conjured():
    battery = store()
    ledger = run(battery, 500, [100.0] * 10, [0.0] * 10)
    assert ledger.end_wh == pytest.approx(500)
    assert ledger.unserved_wh.sum() == pytest.approx(1000 / 60)
