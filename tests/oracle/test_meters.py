"""What voltmeters read, against ngspice: the meter as a resistor and a capacitor in a netlist of its own."""

import random
from itertools import product
from pathlib import Path

import pytest

from asfitted.description.load import load
from asfitted.network.circuit import Branch
from asfitted.network.states import State
from asfitted.studies.commissioning.meters import LOW_IMPEDANCE, VOLTMETER, Instruments, Meter
from asfitted.studies.study import study
from tests.conftest import EXAMPLES
from tests.oracle.ngspice import Deck, SpiceCase, currents

PAIRS = (("L", "N"), ("L", "PE"), ("N", "PE"))
#: relative; no voltmeter shows less than a hundredth of a volt on its range of 600 V
TOLERANCE, NOTHING_V = 1e-3, 1e-2


def spice_volts(
    instruments: Instruments,
    state: State,
    ends: tuple[str, str],
    meter: Meter,
    broken: frozenset[str],
    folder: Path,
) -> float:
    """Return what ngspice says: nothing of the solver is used but the list of branches."""
    equivalent = instruments.circuit
    on = equivalent.closed(state)
    a, b = (equivalent.node_of[end] for end in ends)
    branches = [
        branch
        for closed, branch in zip(on, equivalent.circuit.branches, strict=True)
        if closed and branch.kind != "load" and branch.id not in broken
    ]
    branches.append(Branch("meter", a, b, "leakage", r_ohm=meter.r_ohm))
    if meter.c_f:
        branches.append(Branch("meter capacitance", a, b, "capacitor", c_f=meter.c_f))
    live = {s.id for s, alive in zip(equivalent.sources, equivalent.energised(state), strict=True) if alive}
    emf = {b.id: complex(b.emf_v) for b in branches if b.emf_v and (b.source in live or not b.source)}
    deck = Deck(branches, equivalent.circuit.frequency_hz, ["meter"])
    [(_, metered)] = currents(deck, [SpiceCase((), emf)], folder, "meter")
    return abs(metered["meter"]) * meter.r_ohm


def cases(name: str):
    """Yield every outlet and inlet of a build in every live state with both meters, its links made and missing."""
    found = study(load(EXAMPLES / name / "build.yaml"))
    subject = found.subject
    node = subject.instruments.circuit.node_of
    bonds = [b for b in subject.instruments.circuit.circuit.index if b.endswith("#bond")]
    # diodes are no straight line: the transient runs judge what lies behind a galvanic isolator
    diodes = bool(found.network.of_kind("galvanic isolator"))
    inlets = () if diodes else found.network.of_kind("supply inlet")
    places = [*subject.outlets, *(f"{i.id}.pins" for i in inlets)]
    linear = [s for s in subject.live if not (diodes and "live" in dict(s.conditions).values())]
    for state, place, pair, meter, broken in product(
        linear, places, PAIRS, (VOLTMETER, LOW_IMPEDANCE), ((), tuple(bonds))
    ):
        ends = (f"{place}.{pair[0]}", f"{place}.{pair[1]}")
        if all(end in node for end in ends):
            yield subject.instruments, state, ends, meter, frozenset(broken)


@pytest.mark.parametrize(("name", "count"), [("paper_lantern", 40), ("slow_heron", 40), ("tin_kiln", 40)])
def test_readings_agree_with_ngspice(name, count, tmp_path, record_property):
    every = list(cases(name))
    compared, ghosts, worst = 0, 0, 0.0
    for instruments, state, ends, meter, broken in random.Random(count).sample(every, count):  # noqa: S311  (a sample)
        ours = instruments.volts(state, [ends], meter, broken)[0]
        theirs = spice_volts(instruments, state, ends, meter, broken, tmp_path)
        compared += 1
        ghosts += meter is VOLTMETER and 20 < theirs < 0.6 * 230 and bool(broken)
        if max(ours, theirs) > NOTHING_V:
            worst = max(worst, abs(ours - theirs) / max(ours, theirs))
    record_property("worst", worst)
    print(f"\n{name}: {compared} readings of {len(every)}, {ghosts} ghosts, worst {worst:.1e}")
    assert compared == count
    assert ghosts
    assert worst < TOLERANCE
