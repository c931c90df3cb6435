"""A supply of two opposite lines: each with its own loads, and loads between them."""

import pytest

from .small import sizing

CABIN = """\
asfitted: 1
build: {title: Cabin, reference: C-1, setting: trailer, use: lived in, rules: NFPA 70, units: US,
        ambient: 30 °C, lowest temperature: -10 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  GFCI breaker: 1P 120 V ac 10 kA
  breaker: 1P 120 V ac 10 kA
  ac cable: 12 AWG XLPE 90 °C clipped
  status: planned
boards:
  panel: {line 1 bar: bar_1 60 A, line 2 bar: bar_2 60 A, neutral bar: n_bar 60 A, earth bar: ground_bar}
sources:
  site: {ac supply: 120/240 V 60 Hz 50 A TN-S, loop impedance: at most 0.3 ohm,
         prospective fault current: at most 5 kA, upstream: breaker 50 A}
equipment:
  inlet: {supply inlet: 50 A}
  chassis: structure
  kitchen: {GFCI receptacle: 2 × 20 A, loads: {kettle: 1.2 kW heater}}
  bedroom: {GFCI receptacle: 2 × 20 A, loads: {fan heater: 600 W heater}}
  oven: {kind: load, loads: {oven: 4.8 kW heater}}
  F1: {breaker: 20 A, in: panel, contacts: [L1]}
  F2: {breaker: 20 A, in: panel, contacts: [L2]}
  F3: {breaker: 30 A 2P, in: panel, contacts: [L1, L2]}
  QF1: {GFCI breaker: 50 A 2P, in: panel, contacts: [L1, L2]}
runs:
  - ac: [site, W1: L1 L2 N PE 6 AWG EPR 90 °C free air 25 ft, inlet, W2: L1 L2 N PE 6 AWG 3 ft, QF1]
  - earth: [ground_bar, W9: 8 AWG 3 ft, chassis]
links:
  - [QF1.out.L1, bar_1]
  - [QF1.out.L2, bar_2]
  - [QF1.out.N, n_bar]
  - [bar_1, F1.in.L1]
  - [bar_2, F2.in.L2]
  - [bar_1, F3.in.L1]
  - [bar_2, F3.in.L2]
cables:
  W10: {kind: ac, size: 12 AWG, length: 20 ft, insulation: XLPE 90 °C, method: clipped, status: planned,
        cores: {L: [F1.out.L1, kitchen.L], N: [n_bar, kitchen.N], PE: [ground_bar, kitchen.PE]}}
  W11: {kind: ac, size: 12 AWG, length: 20 ft, insulation: XLPE 90 °C, method: clipped, status: planned,
        cores: {L: [F2.out.L2, bedroom.L], N: [n_bar, bedroom.N], PE: [ground_bar, bedroom.PE]}}
  W12: {kind: ac, size: 10 AWG, length: 10 ft, insulation: XLPE 90 °C, method: clipped, status: planned,
        cores: {L1: [F3.out.L1, oven.L1], L2: [F3.out.L2, oven.L2], PE: [ground_bar, oven.PE]}}
"""


def test_each_line_carries_its_own_loads_and_those_between_the_lines():
    result = sizing(of=CABIN)
    assert result.cables["W10"].design_current_a == pytest.approx(10)  # 1200 W at 120 V
    assert result.cables["W11"].design_current_a == pytest.approx(5)
    assert result.cables["W12"].design_current_a == pytest.approx(20)  # 4800 W at 240 V
    assert result.cables["W1"].design_current_a == pytest.approx(30)  # the fuller line
    assert not [f for f in result.findings if f.grade.bars_publication]


def test_drop_of_a_load_between_the_lines_is_counted_against_both():
    result = sizing(of=CABIN)
    oven = next(d for d in result.drops if d.item == "oven")
    kitchen = next(d for d in result.drops if d.item == "kitchen")
    assert oven.voltage_v == 240
    assert kitchen.voltage_v == 120


def test_every_outlet_of_both_lines_has_its_earth_fault():
    result = sizing(of=CABIN)
    assert {x.outlet for x in result.loops} == {"kitchen", "bedroom", "oven"}
    assert {x.outcome for x in result.loops} == {"residual"}


def test_second_line_is_overloaded_by_itself():
    result = sizing(("fan heater: 600 W", "fan heater: 4.8 kW"), of=CABIN)
    assert "device-below-load" in {f.code for f in result.findings if "F2" in f.where}
    assert not [f for f in result.findings if "F1" in f.where]


def test_an_open_neutral_divides_twice_the_voltage_by_the_loads():
    found = {w.subject: w.result for w in sizing(of=CABIN).workings if w.quantity == "open_neutral"}
    # kettle 1200 W in series with heater 600 W across 240 V: 12 Ω and 24 Ω; the oven has no neutral
    assert found == {
        "site–kitchen": pytest.approx(240 * 12 / 36),
        "site–bedroom": pytest.approx(240 * 24 / 36),
    }
