"""The solver against the laws of circuits, on random networks, and against sums worked by hand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfitted.network.circuit import EARTH, Branch, Circuit
from asfitted.network.mna import Complex, Equations, System
from tests.network.random_circuits import random_circuit

CIRCUITS = st.builds(random_circuit, st.integers(0, 10**6), st.integers(2, 200))
FEW = settings(max_examples=25, deadline=None)


def solved(circuit: Circuit) -> tuple[System, Complex, np.ndarray]:
    """Return the system with everything closed, its one solution, and the current of every branch."""
    system = System(Equations(circuit, circuit.frequency_hz), np.ones(len(circuit.branches), dtype=bool))
    emf = [[(k, b.emf_v) for k, b in enumerate(circuit.branches) if b.emf_v]]
    x = system.of_sources(emf)
    currents = [system.current(x, k, b.emf_v)[0] for k, b in enumerate(circuit.branches)]
    return system, x, np.array(currents)


def volts(system: System, x: Complex, node: str) -> complex:
    return complex(system.voltage(x, node, EARTH)[0])


@FEW
@given(CIRCUITS)
def test_currents_into_every_node_add_up_to_nothing(circuit):
    _, _, currents = solved(circuit)
    sums = dict.fromkeys((*circuit.nodes, EARTH), 0j)
    for branch, current in zip(circuit.branches, currents, strict=True):
        sums[branch.a] -= current
        sums[branch.b] += current
    assert max(map(abs, sums.values())) < 1e-9 * max(1, abs(currents).max())


@FEW
@given(CIRCUITS)
def test_every_branch_obeys_ohm_and_all_power_comes_from_the_sources(circuit):
    system, x, currents = solved(circuit)
    z = [b.impedance_ohm(50) for b in circuit.branches]
    emf = np.array([b.emf_v for b in circuit.branches])
    across = np.array([volts(system, x, b.a) - volts(system, x, b.b) for b in circuit.branches])
    assert np.abs(across + emf - z * currents).max() < 1e-9 * emf.max()
    # Tellegen: Σ U·I* over all branches is zero
    power = np.sum(across * np.conj(currents))
    assert abs(power) < 1e-9 * np.sum(np.abs(emf * currents))


@FEW
@given(CIRCUITS, st.data())
def test_transfer_impedances_are_reciprocal(circuit, data):
    nodes = (*circuit.nodes, EARTH)
    pick = st.lists(st.sampled_from(nodes), min_size=2, max_size=2, unique=True).map(tuple)
    first, second = data.draw(pick), data.draw(pick)
    system, _, _ = solved(circuit)
    x = system.of_ports([first, second])
    there, back = system.voltage(x, *second)[0], system.voltage(x, *first)[1]
    own = abs(system.voltage(x, *first)[0]) + abs(system.voltage(x, *second)[1])
    assert abs(there - back) <= 1e-9 * own


@FEW
@given(CIRCUITS, st.randoms(use_true_random=False))
def test_names_and_order_change_nothing(circuit, random):
    names = [f"m{k}" for k in range(len(circuit.nodes))]
    random.shuffle(names)
    named = {EARTH: EARTH, **dict(zip(circuit.nodes, names, strict=True))}
    branches = [replace(b, a=named[b.a], b=named[b.b]) for b in circuit.branches]
    random.shuffle(branches)
    other = Circuit(tuple(branches), 50.0)
    system, x, _ = solved(circuit)
    system_2, x_2, _ = solved(other)
    for node in circuit.nodes:
        assert volts(system_2, x_2, named[node]) == pytest.approx(volts(system, x, node), abs=1e-7)


@FEW
@given(CIRCUITS, st.data())
def test_splitting_a_branch_in_two_changes_nothing(circuit, data):
    splittable = [k for k, b in enumerate(circuit.branches) if b.kind == "core" and b.r_ohm > 1e-3]
    if not splittable:
        return
    chosen = data.draw(st.sampled_from(splittable))
    part = data.draw(st.floats(0.2, 0.8))
    old = circuit.branches[chosen]
    first = replace(old, b="half way", r_ohm=old.r_ohm * part, x_ohm=old.x_ohm * part)
    second = replace(old, id="rest", a="half way", r_ohm=old.r_ohm * (1 - part), x_ohm=old.x_ohm * (1 - part))
    other = Circuit((*circuit.branches[:chosen], first, *circuit.branches[chosen + 1 :], second), 50.0)
    system, x, _ = solved(circuit)
    system_2, x_2, _ = solved(other)
    for node in circuit.nodes:
        assert volts(system_2, x_2, node) == pytest.approx(volts(system, x, node), abs=1e-7)


@FEW
@given(CIRCUITS)
def test_sources_add_up(circuit):
    system, x, _ = solved(circuit)
    apart = system.of_sources([[(k, b.emf_v)] for k, b in enumerate(circuit.branches) if b.emf_v])
    assert np.abs(apart.sum(axis=1) - x[:, 0]).max() < 1e-9 * np.abs(x).max()


def test_a_divider_and_its_port():
    circuit = Circuit(
        (
            Branch("g", EARTH, "a", "source", r_ohm=1.0, emf_v=230.0, source="g"),
            Branch("w", "a", "b", "core", r_ohm=0.02),
            Branch("r", "b", EARTH, "load", r_ohm=22.98),
        ),
        50.0,
    )
    system, x, currents = solved(circuit)
    assert currents[0] == pytest.approx(230 / 24)
    assert volts(system, x, "b") == pytest.approx(230 / 24 * 22.98)
    port = system.of_ports([("b", EARTH)])
    assert system.voltage(port, "b", EARTH)[0] == pytest.approx(1.02 * 22.98 / 24)


def test_a_transformer_carries_power_and_no_current_to_earth():
    circuit = Circuit(
        (
            Branch("g", EARTH, "p", "source", r_ohm=1.0, emf_v=230.0, source="g"),
            Branch("t", "s2", "s1", "winding", r_ohm=0.5, primary=(EARTH, "p")),
            Branch("r", "s1", "s2", "load", r_ohm=10.0),
        ),
        50.0,
    )
    system, x, currents = solved(circuit)
    assert currents[2] == pytest.approx(230 / 11.5)
    assert np.isnan(system.voltage(x, "s1", EARTH)[0]), "the secondary floats"
    assert abs(system.of_ports([("s1", EARTH)])).max() == 0


def test_capacitors_and_windings_are_open_for_direct_current():
    circuit = Circuit(
        (
            Branch("g", EARTH, "a", "source", r_ohm=1.0, emf_dc_v=12.0, source="g"),
            Branch("c", "a", "b", "capacitor", c_f=1e-6),
            Branch("r", "b", EARTH, "load", r_ohm=100.0),
        ),
        50.0,
    )
    system = System(Equations(circuit, 0.0), np.ones(3, dtype=bool))
    x = system.of_sources([[(0, 12.0)]])
    assert system.voltage(x, "a", EARTH)[0] == pytest.approx(12)
    assert system.voltage(x, "b", EARTH)[0] == pytest.approx(0)


def test_milliamperes_survive_beside_hundreds_of_amperes():
    """A residual current is the small difference of two large ones: here 2 mA beside 230 A, through 0.1 mΩ
    poles.
    """
    circuit = Circuit(
        (
            Branch("g", EARTH, "l0", "source", r_ohm=0.5, emf_v=230.0, source="g"),
            Branch("pole.L", "l0", "l1", "pole", r_ohm=1e-4),
            Branch("load", "l1", "n1", "load", r_ohm=0.4998),
            Branch("pole.N", "n1", EARTH, "pole", r_ohm=1e-4),
            Branch("leak", "l1", EARTH, "leakage", r_ohm=57_500.0),
        ),
        50.0,
    )
    _, _, currents = solved(circuit)
    residual = currents[1] - currents[3]
    expected = (230 - 0.5 * currents[0] - 1e-4 * currents[1]) / 57_500
    assert residual == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(("ohm", "told"), [(0.0, "w"), (1e-6, "w"), (1e9, "w")])
def test_what_no_solver_can_divide_is_refused_by_name(ohm, told):
    with pytest.raises(ValueError, match=told):
        Branch("w", "a", "b", "core", r_ohm=ohm)
