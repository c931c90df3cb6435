"""A supply of two opposite lines: each with its own loads, and loads between them."""

import pytest

from asfitted.studies.results import Grade

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

#: the same with a 120 V inverter that two changeovers put on both bars
BOTH_BARS = (
    CABIN.replace(
        "  status: planned\nboards",
        "  fuse T: 125 V dc 20 kA\n  battery cable: 4/0 AWG XLPE 90 °C free air\n  status: planned\nboards",
    )
    .replace(
        "equipment:\n",
        """\
  battery: {battery: LiFePO4 12.8 V 400 Ah, lowest voltage: 12 V, highest voltage: 14.4 V, terminals: 75 °C,
            internal resistance: "3 mohm new and warm, 9 mohm aged and cold",
            discharge limit: 300 A, charge limit: 100 A, charge cut-off below: 0 °C}
  inverter: {inverter: 12 V 1.6 kW 120 V ac 60 Hz, efficiency: 0.9, isolation: isolated, certified to: listed,
             output limit: "20 A for 60 ms, then latched off", terminals: 75 °C,
             neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}}
equipment:
  T1: {transfer switch: 50 A 2P, in: panel, preferred: source 1, rest position: source 2, certified to: listed}
  T2: {transfer switch: 50 A 2P, in: panel, preferred: source 1, rest position: source 2, certified to: listed}
  QF2: {GFCI breaker: 20 A 1P, in: panel}
  F10: {fuse T: 200 A, terminals: 75 °C}
""",
    )
    .replace(
        "  - earth: [ground_bar",
        """\
  - ac:    [inverter, W5: 12 AWG 3 ft, QF2]
  - plus:  [battery, W20: battery cable 0.8 ft, F10, W21: battery cable 3 ft, inverter]
  - minus: [inverter, W22: battery cable 3 ft, battery]
  - earth: [inverter, W8: 4/0 AWG 3 ft, ground_bar]
  - earth: [ground_bar""",
    )
    .replace(
        """\
  - [QF1.out.L1, bar_1]
  - [QF1.out.L2, bar_2]
  - [QF1.out.N, n_bar]
""",
        "".join(
            f"  - [{a}, {b}]\n"
            for a, b in (
                ("QF1.out.L1", "T1.source 1.L"), ("QF1.out.L2", "T2.source 1.L"),
                ("QF1.out.N", "T1.source 1.N"), ("QF1.out.N", "T2.source 1.N"),
                ("QF2.out.L", "T1.source 2.L"), ("QF2.out.L", "T2.source 2.L"),
                ("QF2.out.N", "T1.source 2.N"), ("QF2.out.N", "T2.source 2.N"),
                ("T1.out.L", "bar_1"), ("T2.out.L", "bar_2"), ("T1.out.N", "n_bar"), ("T2.out.N", "n_bar"),
            )
        ),
    )
)  # fmt: skip
W10 = "{L: [F1.out.L1, kitchen.L], N: [n_bar, kitchen.N], PE: [ground_bar, kitchen.PE]}}"
W11 = "{L: [F2.out.L2, bedroom.L], N: [n_bar, bedroom.N], PE: [ground_bar, bedroom.PE]}}"
#: kitchen and bedroom on one cable of two lines and a shared neutral
SHARED = (
    BOTH_BARS.replace(
        W10, "{L1: [F1.out.L1, j1], L2: [F2.out.L2, j2], N: [n_bar, jn], PE: [ground_bar, jp]}}"
    )
    .replace(W11, "{L: [j1, kitchen.L], N: [jn, kitchen.N], PE: [jp, kitchen.PE]}}")
    .replace(
        "  W12: {kind: ac",
        "  W13: {kind: ac, size: 12 AWG, length: 9 ft, insulation: XLPE 90 °C, method: clipped, status: planned,\n"
        "        cores: {L: [j2, bedroom.L], N: [jn, bedroom.N], PE: [jp, bedroom.PE]}}\n  W12: {kind: ac",
    )
    .replace("equipment:\n", "equipment:\n  j1: busbar\n  j2: busbar\n  jn: busbar\n  jp: earth bar\n")
)
OPPOSITE_ONLY = "upstream: breaker 50 A}"
ONE_PHASE = "upstream: breaker 50 A, at: {old pedestal: {lines: one phase}}}"


def raised(*edits, of):
    return {(f.code, f.grade) for f in sizing(*edits, of=of).findings}


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


def test_an_inverter_on_both_bars_leaves_a_load_between_the_lines_dead():
    result = sizing(of=BOTH_BARS)
    assert raised(of=BOTH_BARS) == {
        ("load-between-one-phase", Grade.IMPROVEMENT), ("demand-exceeds-source", Grade.IMPROVEMENT)
    }  # fmt: skip
    dead = next(f for f in result.findings if f.code == "load-between-one-phase")
    assert dead.where == ("oven", "inverter")
    # 1200 and 600 W at 120 V are all that the inverter sees of it; the oven's 4.8 kW are not there
    asked = next(f for f in result.findings if f.code == "demand-exceeds-source")
    assert asked.fields["current_a"] == pytest.approx(15)


def test_in_phase_the_currents_of_both_lines_add_up_in_a_shared_neutral():
    assert "shared-neutral" not in {
        code for code, _ in raised(of=SHARED)
    }  # QF2 lets through 20 A, 12 AWG carries them
    strong = (
        ("12 V 1.6 kW", "12 V 3.6 kW"),
        ("20 A for 60 ms", "40 A for 60 ms"),
        ("QF2: {GFCI breaker: 20 A", "QF2: {GFCI breaker: 40 A"),
    )
    found = [f for f in sizing(*strong, of=SHARED).findings if f.code == "shared-neutral"]
    assert [(f.fields["cable"], f.fields["source"]) for f in found] == [("W10", "inverter")]


def test_a_pedestal_of_one_phase_doubles_the_current_in_the_neutral_of_the_lead():
    site = (OPPOSITE_ONLY, ONE_PHASE)
    known = {(f.code, f.where) for f in sizing(of=CABIN).findings}
    found = [f for f in sizing(site, of=CABIN).findings if (f.code, f.where) not in known]
    assert {(f.code, f.where) for f in found} == {
        ("shared-neutral", ("W1", "site", "old pedestal")),
        ("shared-neutral", ("W2", "site", "old pedestal")),
        ("load-between-one-phase", ("oven", "site")),
    }
    assert {f.fields["current_a"] for f in found if f.code == "shared-neutral"} == {100.0}
