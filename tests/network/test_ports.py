"""Opening a branch by holding its current at zero, against a factorisation of the opened network and closed
forms.

It is the accuracy of this that lets one factorisation serve all that opens in a state.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from asfitted.network.circuit import EARTH, Branch, Circuit
from asfitted.network.mna import Equations, System
from asfitted.network.ports import Answers, alter, held
from asfitted.network.settle import Adjustable
from asfitted.studies.faults.stage import Bench, Switched
from asfitted.studies.faults.units import Units
from tests.network.random_circuits import random_circuit
from tests.studies.faults import builds

STIFF = (Adjustable("stiff"),)


def altered(circuit, opened, port=None, ohm=0.01):
    """Return the currents that are kept, the potentials of all nodes and the islands, by way of alterations."""
    equations = Equations(circuit, 50.0)
    closed = np.ones(len(circuit.branches), dtype=bool)
    found = Answers(System(equations, closed), [emf_of(circuit)], STIFF)
    closed[opened] = False
    islands = equations.islands(closed)
    branches = held(equations, np.array(opened), islands)
    numbers = found.places([*([port] if port else []), *branches])
    resistance = [*([ohm] if port else []), *(0.0 for _ in branches)]
    outcome = alter(
        found, np.array([numbers], dtype=np.int64), np.array([resistance]), np.ones((1, 1), dtype=complex)
    )
    return equations, outcome, islands


def emf_of(circuit):
    return [(k, b.emf_v) for k, b in enumerate(circuit.branches) if b.emf_v]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6), st.integers(2, 150), st.data())
def test_opened_branches_against_a_factorisation_without_them(seed, size, data):
    circuit = random_circuit(seed, size)
    cores = [k for k, b in enumerate(circuit.branches) if b.kind == "core"]
    assume(cores)
    opened = data.draw(st.lists(st.sampled_from(cores), min_size=1, max_size=7, unique=True))
    equations, outcome, islands = altered(circuit, opened)
    x = outcome.unknowns[:, 0]
    closed = np.ones(len(circuit.branches), dtype=bool)
    closed[opened] = False
    fresh = System(equations, closed).of_sources([emf_of(circuit)])[:, 0]
    currents = slice(equations.ground, None)
    size_a, size_v = np.abs(fresh[currents]).max(), 1 + np.abs(fresh[: equations.ground]).max()
    assert np.abs(x[currents] - fresh[currents]).max() <= 1e-9 * (1 + size_a)
    earthed = islands[:-1] == islands[-1]
    assert np.abs((x - fresh)[: equations.ground][earthed]).max(initial=0) <= 1e-7 * size_v


@pytest.mark.parametrize("leak_ohm", [1e5, 1e7])
@pytest.mark.parametrize("pole_ohm", [1e-4, 0.012])
def test_a_pole_that_is_the_only_bridge_to_a_part_that_leaks(pole_ohm, leak_ohm):
    """Beyond the pole lies a part held only by its insulation: a divider of two leaks."""
    circuit = Circuit(
        (
            Branch("g", EARTH, "a", "source", r_ohm=0.4, emf_v=230.0, source="g"),
            Branch("pole", "a", "b", "pole", r_ohm=pole_ohm),
            Branch("core", "b", "c", "core", r_ohm=0.05),
            Branch("leak up", "c", "a", "leakage", r_ohm=leak_ohm),
            Branch("leak down", "c", EARTH, "leakage", r_ohm=leak_ohm / 3),
            Branch("load", "a", EARTH, "load", r_ohm=53.0),
        ),
        50.0,
    )
    equations, outcome, _ = altered(circuit, [1])
    c = outcome.unknowns[circuit.node_index["c"], 0]
    behind = 1 / (1 / 53 + 3 / (4 * leak_ohm))
    assert abs(c) == pytest.approx(230 * behind / (0.4 + behind) / 4, rel=1e-8)
    assert abs(outcome.unknowns[equations.row_of[1], 0]) < 1e-12
    equations, outcome, _ = altered(circuit, [1], ("c", EARTH), 1000.0)
    beyond = 1 / (1 / 1000 + 3 / leak_ohm)
    behind = 1 / (1 / 53 + 1 / (leak_ohm + beyond))
    volts = 230 * behind / (0.4 + behind) * beyond / (leak_ohm + beyond)
    assert abs(outcome.altered[0, 0]) == pytest.approx(volts / 1000, rel=1e-8)


def test_two_poles_in_a_row_leave_a_part_without_any_tie():
    circuit = Circuit(
        (
            Branch("g", EARTH, "a", "source", r_ohm=0.4, emf_v=230.0, source="g"),
            Branch("first", "a", "b", "pole", r_ohm=0.01),
            Branch("second", "b", "c", "pole", r_ohm=0.01),
            Branch("load", "c", EARTH, "load", r_ohm=23.0),
        ),
        50.0,
    )
    equations, outcome, islands = altered(circuit, [1, 2])
    assert len(set(islands.tolist())) == 2
    assert abs(outcome.unknowns[equations.ground :, 0]).max() < 1e-12
    assert abs(outcome.unknowns[circuit.node_index["c"], 0]) < 1e-9


def test_openings_of_a_whole_build_agree_with_factorisations_of_their_own():
    """Every device alone, every pair of devices, every protective conductor, in every state."""
    circuit = builds.circuit(text=builds.changed(builds.VAN, *builds.SOUND))
    bench = Bench(circuit, Units(circuit))
    devices = [d.id for d in bench.units.devices]
    cores = [c.id for c in circuit.network.cores.values() if c.conductor == "PE"]
    sets = [(frozenset({a, b}), frozenset()) for a in devices for b in devices]
    sets += [(frozenset({"F1", d}), frozenset({c})) for c in cores for d in devices]
    count = 0
    for conditions in ("live", "dead", "unplugged"):
        state = builds.state(circuit.network, site=conditions, inverter="running")
        for opened, broken in sets:
            switched = replace(Switched(state), opened=opened, broken=broken)
            own = bench.opened([switched])[0]
            found = bench.answers(switched)
            numbers = np.array([[0, *found.places(branch for branch, _ in own.held)]])
            ones = np.ones((len(bench.groups), 1), dtype=complex)
            ohm = np.array([[np.inf, *(resistance for _, resistance in own.held)]])
            x = alter(found, numbers, ohm, ones).unknowns
            fresh = System(bench.equations, bench.closed(switched)).of_sources(bench.groups).sum(axis=1)
            ground = bench.equations.ground
            assert np.abs(x[ground:, 0] - fresh[ground:]).max() < 1e-11
            earthed = own.islands[:-1] == own.islands[-1]
            assert np.abs(x[:ground, 0] - fresh[:ground])[earthed].max() < 1e-6
            count += 1
    assert count > 150
