"""What is read with a failure in a build, against ngspice: the failure as branches left out and added."""

import random

import pytest

from asfitted.description.load import load
from asfitted.network.circuit import Branch
from asfitted.studies.commissioning.meters import LOW_IMPEDANCE, VOLTMETER
from asfitted.studies.study import study
from asfitted.studies.troubleshooting.failures import outlet_end
from asfitted.studies.troubleshooting.play import ALL, NONE
from tests.conftest import EXAMPLES
from tests.oracle.ngspice import Deck, SpiceCase, currents

PAIRS = (("L", "N"), ("L", "PE"), ("N", "PE"))
COUNT = 40
TOLERANCE, NOTHING_V = 1e-3, 1e-2


# the Slow Heron has diodes, which are no straight line: its readings are judged by the transient runs
@pytest.mark.parametrize("build", ["paper_lantern", "tin_kiln"])
def test_readings_with_a_failure_agree_with_ngspice(build, tmp_path):
    found = study(load(EXAMPLES / build / "build.yaml")).troubleshooting
    shop, observer = found.observer.workshop, found.observer
    bench = shop.bench
    branches = bench.circuit.circuit.branches
    pick = random.Random(25)  # noqa: S311
    failures = [f for f in found.failures if not f.stopped and f.kind not in ("battery dead", "sound")]
    live = [s for s in observer.states if s.sources]
    for number, failure in enumerate(pick.sample(failures, COUNT)):
        ending = pick.choice(shop.endings(failure, pick.choice(live)))
        load_, meter = pick.choice((ALL, NONE)), pick.choice((VOLTMETER, LOW_IMPEDANCE))
        outlet, pair = pick.choice(observer.outlets), pick.choice(PAIRS)
        ends = tuple(outlet_end(bench.plain, outlet, c) for c in pair)
        # the netlist says for itself what a failure is: what it opens is left out, what it closes put in
        extra = {branches[n].id for n in bench.added}
        on = bench.circuit.closed(ending.state)
        opened = {n for id_ in ending.opened for n in bench.device[id_].opens}
        there = [
            b
            for n, (closed, b) in enumerate(zip(on, branches, strict=True))
            if closed
            and n not in opened
            and b.id not in failure.opens
            and (b.id not in extra or (b.id in failure.closes and (load_ == ALL or not failure.plugged_in)))
            and (load_ == ALL or b.kind != "load" or b.id.endswith("#draw"))
            and not (b.of in ending.opened and "#crossed" in b.id)
        ]
        a, b = (bench.circuit.node_of[end] for end in ends)
        there.append(Branch("meter", a, b, "leakage", r_ohm=meter.r_ohm))
        if meter.c_f:
            there.append(Branch("meter capacitance", a, b, "capacitor", c_f=meter.c_f))
        alive = zip(bench.circuit.sources, bench.circuit.energised(ending.state), strict=True)
        running = {s.id for s, yes in alive if yes}
        emf = {x.id: complex(x.emf_v) for x in there if x.emf_v and x.source in running}
        deck = Deck(there, bench.circuit.circuit.frequency_hz, ["meter"])
        folder = tmp_path / str(number)
        folder.mkdir()
        [(_, metered)] = currents(deck, [SpiceCase((), emf)], folder, "meter")
        spice = abs(metered["meter"]) * meter.r_ohm
        own = shop.volts(ending.state, shop.mask(failure, ending, load_), *ends, meter)
        assert own == pytest.approx(spice, rel=TOLERANCE, abs=NOTHING_V), (failure.id, ending, ends)
