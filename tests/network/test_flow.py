"""Division of load current: by hand for two ways in parallel, and by Kirchhoff's laws on any ladder."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asfitted.network.flow import Flow, Injection, solve
from asfitted.network.model import Core, Network
from asfitted.network.states import State

from .builds import HEAD, network_of

CLOSED = ("", (), ())


def state_of(network: Network) -> State:
    return State("", network, (), ())


def ladder(rungs: int, doubled: set[int]) -> Network:
    """A battery, bars in a row on each side, a load at each pair; two cables in parallel where `doubled`."""
    runs, equipment = [], []
    for n in range(1, rungs + 1):
        equipment += [f"p{n}: busbar", f"m{n}: busbar", f"load{n}: {{kind: load, class: III}}"]
        before_plus, before_minus = (f"p{n - 1}", f"m{n - 1}") if n > 1 else ("bat", "bat")
        runs += [f"plus: [{before_plus}, A{n}: 1 m, p{n}]", f"minus: [{before_minus}, B{n}: 1 m, m{n}]"]
        if n in doubled:
            runs.append(f"plus: [{before_plus}, C{n}: 1 m, p{n}]")
        runs += [f"plus: [p{n}, L{n}: 1 m, load{n}]", f"minus: [m{n}, R{n}: 1 m, load{n}]"]
    text = "sources: {bat: {battery: LiFePO4 25.6 V 200 Ah}}\nequipment:\n"
    text += "".join(f"  {line}\n" for line in equipment) + "runs:\n" + "".join(f"  - {run}\n" for run in runs)
    return network_of(HEAD + text)


def solved(network: Network, currents: list[float], ohm: dict[str, float]) -> Flow:
    injections = [
        Injection(f"load{n}", f"load{n}.plus", f"load{n}.minus", i) for n, i in enumerate(currents, 1)
    ]
    return solve(state_of(network), ("bat.plus", "bat.minus"), injections, lambda core: ohm[core.cable])


def test_two_ways_in_parallel_divide_the_current_by_their_resistance():
    """12 A over 1 mΩ and 2 mΩ in parallel: 8 A and 4 A; drop 8 mV + 12 A × (3 + 1 + 1) mΩ = 68 mV."""
    network = ladder(1, {1})
    flow = solved(network, [12.0], {"A1": 1e-3, "C1": 2e-3, "B1": 3e-3, "L1": 1e-3, "R1": 1e-3})
    assert flow.core_a["A1.plus"] == pytest.approx(8)
    assert flow.core_a["C1.plus"] == pytest.approx(4)
    assert flow.core_a["L1.plus"] == pytest.approx(12)
    assert flow.core_a["B1.minus"] == pytest.approx(-12), (
        "it flows back to the battery, against the way of writing"
    )
    assert flow.drop_v["load1"] == pytest.approx(0.068)


def test_phasors_add_as_phasors():
    network = ladder(2, set())
    flow = solved(network, [3 + 0j, 4j], dict.fromkeys((c.cable for c in network.cores.values()), 1e-3))  # type: ignore[list-item]
    assert abs(flow.core_a["A1.plus"]) == pytest.approx(5)


def test_a_load_that_the_source_does_not_reach_carries_nothing():
    network = network_of(
        HEAD
        + "sources: {bat: {battery: LiFePO4 25.6 V 200 Ah}}\nequipment: {p: busbar, load1: {kind: load}}\n"
        "runs: [{plus: [bat, A1: 1 m, p]}, {minus: [bat, B1: 1 m, load1]}]\n"
    )
    flow = solve(
        state_of(network),
        ("bat.plus", "bat.minus"),
        [Injection("load1", "load1.plus", "load1.minus", 5)],
        lambda _: 1e-3,
    )
    assert flow.unreached == ("load1",)
    assert flow.drop_v == {}


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_kirchhoffs_laws_hold_on_any_ladder(data: st.DataObject):
    rungs = data.draw(st.integers(1, 5))
    doubled = data.draw(st.sets(st.integers(1, rungs)))
    currents = data.draw(st.lists(st.floats(-50, 50), min_size=rungs, max_size=rungs))
    network = ladder(rungs, doubled)
    ohms = st.floats(1e-4, 1.0)
    ohm = {cable: data.draw(ohms) for cable in network.cables}
    flow = solved(network, currents, ohm)
    assert flow.unreached == ()

    def into(terminal: str) -> complex:
        ends = [(core, flow.core_a[core.id]) for core in network.cores.values()]
        return sum((a for core, a in ends if core.b == terminal), 0j) - sum(
            (a for core, a in ends if core.a == terminal), 0j
        )

    # Currents: nothing stays in a bar; each load takes what it draws.
    for n in range(1, rungs + 1):
        assert into(f"p{n}") == pytest.approx(0, abs=1e-6)
        assert into(f"m{n}") == pytest.approx(0, abs=1e-6)
        assert into(f"load{n}.plus") == pytest.approx(currents[n - 1], abs=1e-6)
        assert into(f"load{n}.minus") == pytest.approx(-currents[n - 1], abs=1e-6)
    assert into("bat.plus") == pytest.approx(-sum(currents), abs=1e-6)

    # Voltages: the drop to a load is the sum along the way out and back; two ways in parallel have the same.
    def volts(core: Core) -> complex:
        return flow.core_a[core.id] * ohm[core.cable]

    cores = {core.cable: core for core in network.cores.values()}
    for n in doubled:
        assert volts(cores[f"A{n}"]) == pytest.approx(volts(cores[f"C{n}"]), abs=1e-6)
    for n in range(1, rungs + 1):
        out = sum(volts(cores[f"A{k}"]) for k in range(1, n + 1)) + volts(cores[f"L{n}"])
        back = sum(volts(cores[f"B{k}"]) for k in range(1, n + 1)) + volts(cores[f"R{n}"])
        assert flow.drop_v[f"load{n}"] == pytest.approx(out - back, abs=1e-6)
