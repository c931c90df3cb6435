"""What a short-circuit heats a conductor with, until what feeds it has opened: sums by hand."""

import numpy as np
import pytest

from asfitted.description.load import load_text
from asfitted.network.build import build
from asfitted.network.equivalent import Equivalent, equivalent
from asfitted.network.sites import described_sites
from asfitted.network.states import states
from asfitted.studies.faults.fault import Fault
from asfitted.studies.faults.sequence import Run, begin, play
from asfitted.studies.faults.stage import Bench, Switched
from asfitted.studies.faults.units import Units
from asfitted.studies.study import study

CABIN = """\
asfitted: 1
build: {title: Cabin, reference: CA-1, setting: cabin, use: lived in, rules: IEC 60364,
        ambient: 30 °C, lowest temperature: -15 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  earth cable: PVC 70 °C clipped
  status: planned
boards:
  AC board: {earth bar: earth_bar}
sources:
  grid: {ac supply: 230 V 50 Hz 16 A TN-S, loop impedance: at most 0.8 ohm,
         prospective fault current: at most 3 kA, upstream: C16}
equipment:
  frame: structure
runs:
  - ac:    [grid, W1: 10 m, QF1: RCBO C16, W3: 0.5 m, F1]
  - earth: [earth_bar, W9: 16 mm² 1 m, frame]
circuits:
  AC board:
    F1: {RCBO: 10 A, W10: 7 m, sockets: 4 × 16 A desk, loads: {kettle: 1 kW}}
"""

#: sockets fed by two breakers, of which one trips at once and the other carries the fault on
TWICE = CABIN.replace("upstream: C16", "upstream: D63").replace(
    "RCBO C16, W3: 0.5 m, F1]",
    "breaker D63 2P 6 kA, W3: 10 mm² 0.5 m, FA: breaker B6 2P 6 kA, WA: 10 m, desk]\n"
    "  - ac:    [QF1, W4: 10 mm² 0.5 m, FB: breaker D63 2P 6 kA, WB: 10 m, desk]",
).replace("F1: {RCBO: 10 A, W10: 7 m, sockets: 4 × 16 A desk, loads: {kettle: 1 kW}}",
          "F1: {RCBO: 10 A, W10: 7 m, sockets: 4 × 16 A bench, loads: {kettle: 1 kW}}").replace(
    "equipment:\n", "equipment:\n  desk: {sockets: 1 × 16 A}\n").replace(
    "  - earth:", "  - ac:    [QF1, W5: 0.5 m, F1]\n  - earth:")  # fmt: skip


def greatest(text: str) -> Equivalent:
    loaded = load_text(text)
    assert not loaded.problems, [p.fields for p in loaded.problems]
    network = build(loaded)
    return equivalent(network, described_sites(network)[:1], "greatest")


def shorted(circuit: Equivalent, at: str) -> tuple[Bench, Run]:
    bench = Bench(circuit, Units(circuit))
    state = next(s for s in states(circuit.network) if dict(s.conditions) == {"grid": "live"})
    port = (circuit.node_of[f"{at}.L"], circuit.node_of[f"{at}.N"])
    fault = Fault("live to neutral", f"{at}.L", (at,), port)
    run = begin(bench, fault, (1.0,) * len(bench.adjustable), Switched(state))
    return bench, play(bench, [run], None, alternatives=False)[0]


def heats(bench: Bench, run: Run) -> dict[str, float]:
    assert isinstance(run.heat, np.ndarray)
    ids = [id_ for id_ in bench.equivalent.network.cores if id_ in bench.equivalent.circuit.index]
    return dict(zip(ids, run.heat.tolist(), strict=True))


def test_a_core_whose_current_ends_with_a_breaker_that_trips_at_once_is_heated_half_a_period():
    bench, run = shorted(greatest(CABIN), "desk")
    current = run.steps[0].current_a
    assert current > 160, "C16 trips at once from 160 A"
    # the kettle's few amperes beside the fault are part of the current in the cable
    assert heats(bench, run)["W10.L"] == pytest.approx(current**2 * 0.01, rel=0.03)


def test_a_core_whose_current_carries_on_is_heated_for_the_whole_promised_time():
    bench, run = shorted(greatest(TWICE), "desk")
    first, second = run.steps[0], run.steps[1]
    assert first.acted == ("FA",)
    assert first.end_s == pytest.approx(0.1)
    devices = [d.id for d in bench.units.devices]
    through_a, through_b = (float(first.load_a[devices.index(d)]) for d in ("FA", "FB"))
    alone = float(second.load_a[devices.index("FB")])
    assert alone > through_b, "with one of the two open the other carries what is left"
    # B6 opens after half a period; WB carries its share until then, and all of it for the rest of 0.1 s and longer
    until_open = through_b**2 * 0.01 + alone**2 * 0.09
    afterwards = alone**2 * min(second.end_s - second.start_s, 5.0)
    found = heats(bench, run)
    assert found["WA.L"] == pytest.approx(through_a**2 * 0.01, rel=1e-6)
    assert second.end_s > 1, "D63 does not trip at once"
    assert found["WB.L"] == pytest.approx(until_open + afterwards, rel=1e-6)


@pytest.mark.parametrize("upstream", ["C16", "C16 + RCD 30 mA type A"])
def test_a_sound_cabin_on_a_strong_supply_destroys_no_conductor(upstream: str):
    # 1 kA through 2.5 mm²: 0.1 s would be 1.2 times k²S² (IEC 60364-4-43), half a period is an eighth of it
    text = CABIN.replace("upstream: C16", f"upstream: {upstream}")
    found = study(load_text(text)).faults
    assert max(r.current_a for r in found.faults) > 950
    assert "conductor-destroyed" not in {f.code for f in found.findings}


def test_what_is_destroyed_at_the_greatest_current_is_told_although_the_least_is_the_worse_for_people():
    # 0.5 mm² bears (115 · 0.5)² = 3.3 kA²s (IEC 60364-4-43 Table 43A); half a period of 1 kA is more
    text = CABIN.replace("W10: 7 m", "W10: 0.5 mm² 1 m")
    burnt = [r for r in study(load_text(text)).faults.faults if "W10.L" in r.destroyed]
    assert burnt
    assert all(r.destroyed_a**2 * 0.01 > (115 * 0.5) ** 2 for r in burnt)
    assert "least" in {r.bound for r in burnt}


@pytest.mark.parametrize(
    ("cable", "counted"), [("2.5 mm² 200 m", False), ("1 mm² 80 m", True)], ids=["24 A behind 16 A", "13 A"]
)
def test_a_breaker_that_opens_slowly_protects_a_conductor_that_bears_its_rated_current(cable, counted):
    """IEC 60364-4-43 435.1: a breaker against overload of the conductor protects it against short-circuit as well."""
    text = CABIN.replace("F1: {RCBO: 10 A, W10: 7 m", f"F1: {{RCBO: 16 A, W10: {cable}")
    bench, run = shorted(greatest(text), "desk")
    first = run.steps[0]
    assert "F1" in first.acted
    assert first.end_s > 5
    expected = first.current_a**2 * 5 if counted else 0
    assert heats(bench, run)["W10.L"] == pytest.approx(expected, rel=0.15)
