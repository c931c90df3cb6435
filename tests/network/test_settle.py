"""Sources that limit and diodes that block, against their closed forms and against a numerical root."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfitted.network.circuit import EARTH, Branch, Circuit
from asfitted.network.mna import Equations, System
from asfitted.network.ports import Answers, alter
from asfitted.network.settle import Adjustable, diodes, fold_back

OHM = st.floats(0.01, 1000)


def circuit(*branches: Branch) -> System:
    found = Circuit(branches, 50.0)
    return System(Equations(found, 50.0), np.ones(len(branches), dtype=bool))


@given(OHM, OHM, st.floats(1, 50))
def test_a_limiting_source_delivers_its_limit_and_no_more(r, x, limit):
    system = circuit(
        Branch("inverter", EARTH, "l", "source", r_ohm=0.4, x_ohm=0.3, emf_v=230.0, source="inverter"),
        Branch("load", "l", EARTH, "load", r_ohm=r, x_ohm=x),
    )
    found = Answers(system, [[(0, 230)]], (Adjustable("limited", limit),))
    port = found.places([("l", EARTH)])
    outcome = alter(found, np.array([port]), np.array([[np.inf]]), np.array([[1.0 + 0j]]))
    current = abs(outcome.unknowns[system.equations.row_of[0], 0])
    assert current == pytest.approx(min(limit, 230 / abs(complex(0.4 + r, 0.3 + x))))
    assert outcome.settled.still.all()


@settings(max_examples=50)
@given(OHM, OHM, OHM, st.floats(1, 20), st.floats(1, 20))
def test_two_limiting_sources_settle_within_both_limits(r1, r2, rf, first, second):
    system = circuit(
        Branch("g1", EARTH, "a", "source", r_ohm=0.4, emf_v=230.0, source="g1"),
        Branch("g2", EARTH, "b", "source", r_ohm=0.5, emf_v=120.0, source="g2"),
        Branch("r1", "a", "c", "core", r_ohm=r1),
        Branch("r2", "b", "c", "core", r_ohm=r2),
    )
    limits = (Adjustable("limited", first), Adjustable("limited", second))
    found = Answers(system, [[(0, 230)], [(1, 120)]], limits)
    port = found.places([("c", EARTH)])
    outcome = alter(found, np.array([port]), np.array([[rf]]), np.ones((2, 1), dtype=complex))
    rows = [system.equations.row_of[0], system.equations.row_of[1]]
    currents = np.abs(outcome.unknowns[rows, 0])
    driven = outcome.settled.backwards[:, 0]
    if outcome.settled.still.all():
        for current, limit, back in zip(currents, (first, second), driven, strict=True):
            assert back or current <= limit * (1 + 1e-6)


def test_a_source_pushed_backwards_is_told_apart():
    scale, backwards = fold_back(np.array([-300.0 + 0j]), np.array([50.0 + 0j]), np.array([1.0 + 0j]), 20.0)
    assert backwards.tolist() == [True]
    assert scale.tolist() == [0]


@given(st.floats(0.01, 300), st.floats(0.01, 100), st.floats(-100, 100))
def test_diodes_agree_with_the_equation_of_their_port(u, r, x):
    z = complex(r, x)
    drop = 1.26
    voltage = diodes(np.array([u / z]), np.array([1 / z]), drop)[0]
    current = u / z + voltage / z
    if u <= drop:
        assert abs(current) < 1e-9 * u / r
    else:
        # |Zth + V0/I|·I = |Uth|, the drop in phase with the current
        assert abs(z + drop / abs(current)) * abs(current) == pytest.approx(u, rel=1e-6)


def test_a_second_port_sees_the_first_one_closed():
    system = circuit(
        Branch("g", EARTH, "l", "source", r_ohm=1.0, emf_v=230.0, source="g"),
        Branch("w", "l", "c", "core", r_ohm=1.0),
        Branch("leak", "c", EARTH, "leakage", r_ohm=1e5),
    )
    found = Answers(system, [[(0, 230)]], (Adjustable("stiff"),))
    ports = found.places([("l", EARTH), ("c", EARTH)])
    outcome = alter(found, np.array([ports]), np.array([[2.0, 5.0]]), np.array([[1.0 + 0j]]))
    both = 2 * 6 / 8  # 2 Ω beside 1 Ω + 5 Ω; the leak is nothing beside them
    u = 230 * both / (1 + both)
    assert abs(outcome.altered[0, 0]) == pytest.approx(u / 2, rel=1e-4)
    assert abs(outcome.altered[0, 1]) == pytest.approx(u / 6, rel=1e-4)
