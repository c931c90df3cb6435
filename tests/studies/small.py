"""A small vehicle and a launch on which the sizing tests play; each test changes a few words of them."""

from functools import lru_cache

from asfitted.description.load import load_text
from asfitted.network.build import build
from asfitted.network.model import Network
from asfitted.network.states import states
from asfitted.studies.auto_device import Chosen, choose_devices
from asfitted.studies.sizing import Sizing, size
from asfitted.tables.rules import rule_set

VEHICLE = """\
asfitted: 1
build: {title: Reading van, reference: RV-1, setting: road vehicle, use: work or public, rules: IEC 60364,
        ambient: 40 °C, lowest temperature: -15 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  fuse T: 125 V dc 20 kA
  fuse blade: 32 V dc 1 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  dc cable: PVC 70 °C clipped
  battery cable: 50 mm² EPR 90 °C free air
  status: planned
bundles: {wall: single layer 40 °C}
spaces: {roof void: "60 °C, insulation around 300 mm"}
boards:
  AC board: {earth bar: earth_bar, neutral bar: n_bar}
  DC board: {plus bar: dc_plus 100 A, minus bar: dc_minus 100 A}
sources:
  site: {ac supply: 230 V 50 Hz 16 A TN-S, loop impedance: at most 0.8 ohm,
         prospective fault current: at most 3 kA, upstream: C16 + RCD 30 mA type A}
  battery: {battery: LiFePO4 25.6 V 200 Ah, internal resistance: "4 mohm new and warm, 12 mohm aged and cold",
            lowest voltage: 21 V, highest voltage: 29.2 V, discharge limit: 150 A, charge limit: 100 A}
  inverter: {inverter: 24 V 1.6 kW, efficiency: 0.9, output limit: "18 A for 60 ms, then latched off",
             isolation: isolated,
             neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}}
equipment:
  inlet: {supply inlet: 16 A}
  changeover: {transfer switch: 25 A 2P, in: AC board, preferred: source 1, rest position: source 2}
  charger: {battery charger: 24 V 20 A, efficiency: 0.92, power factor: 0.98}
  body: structure
runs:
  - ac:    [site, W1: 25 m rubber 60 °C free air, inlet, W2: 1 m, QF1: RCBO C16, W3: 0.5 m,
            changeover.source 1]
  - ac:    [QF1, W4: 0.3 m, F3]
  - ac:    [inverter, W5: 0.8 m, QF2: breaker B10 2P 6 kA, W6: 0.4 m, changeover.source 2]
  - ac:    [changeover, W7: 0.3 m, F1]
  - earth: [inverter, W8: 16 mm² 1 m, earth_bar, W9: 16 mm² 0.8 m, body]
  - plus:  [battery, W20: battery cable 0.15 m, F10: fuse T 125 A, W21: battery cable 0.9 m, inverter]
  - minus: [inverter, W22: battery cable 1.2 m, battery]
  - plus:  [F10, W23: 16 mm² 0.5 m, dc_plus]
  - minus: [battery, W24: 16 mm² 0.6 m, dc_minus]
  - plus:  [charger, W25: 6 mm² 1.5 m, F22: fuse blade 30 A, W26: 6 mm² 0.3 m, dc_plus]
  - minus: [charger, W27: 6 mm² 1.5 m, dc_minus]
circuits:
  AC board:
    F1: {RCBO: 10 A, W10: 7 m in wall, sockets: 4 × 16 A desk,
         loads: {kettle: 1 kW pf 1, projector: 220 W pf 0.95}}
    F3: {RCBO: 10 A, W11: 1.5 mm² 2 m in wall, feeds: charger}
  DC board:
    F21: {fuse blade: 7.5 A, W31: 2.5 mm² 7 m, load: lamps, loads: {strip: 48 W lighting}}
"""


LAUNCH = """\
asfitted: 1
build: {title: Launch, reference: LA-1, setting: boat, use: lived in, rules: IEC 60364,
        ambient: 40 °C, lowest temperature: -5 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  fuse T: 125 V dc 20 kA
  fuse blade: 32 V dc 10 kA
  fuse bolt-down: 58 V dc 10 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  dc cable: PVC 70 °C clipped
  battery cable: 70 mm² EPR 90 °C free air
  status: planned
boards:
  AC board: {earth bar: earth_bar, neutral bar: n_bar}
  DC board: {plus bar: dc_plus 100 A, minus bar: dc_minus 200 A}
sources:
  shore: {ac supply: 230 V 50 Hz 16 A TN-S, loop impedance: at most 0.8 ohm,
          prospective fault current: at most 3 kA, upstream: C16 + RCD 30 mA type A}
  house: {battery: lead-acid AGM 12 V 300 Ah,
          internal resistance: "2 mohm new and warm, 6 mohm aged and cold", lowest voltage: 10.5 V,
          highest voltage: 14.4 V, discharge limit: 300 A}
  starter: {battery: lead-acid flooded 12 V 90 Ah, use: starter, discharge limit: 500 A,
            internal resistance: "5 mohm new and warm, 15 mohm aged and cold"}
  combi: {inverter charger: 12 V 1.6 kW, efficiency: 0.9, charge current: 70 A, charge efficiency: 0.9,
          power factor: 0.98, transfer poles: 2P, transfer rating: 16 A, isolation: isolated,
          neutral bond: {kind: closed when inverting, lands on: own earth terminal,
                         allowed by maker: data sheet}}
  alternator: {alternator: 14 V 90 A}
  panels: {solar array: 300 W, open-circuit voltage: 40 V, short-circuit current: 9 A}
equipment:
  inlet: {supply inlet: 16 A}
  it: {isolating transformer: 3.6 kW, shore earth: ends at the screen,
       neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}}
  dcdc: {DC-DC charger: 12 V to 12 V 30 A, efficiency: 0.95}
  mppt: {solar controller: 100 V 20 A}
  hull: structure
runs:
  - ac:    [shore, W1: 25 m rubber 60 °C free air, inlet, W2: 1 m, QF1: RCBO C16, W3: 0.5 m, it.primary]
  - ac:    [it.secondary, W4: 1 m, QF2: RCBO C16, W5: 1 m, combi.ac in]
  - ac:    [combi.ac out, W6: 1 m, F1]
  - earth: [earth_bar, W9: 16 mm² 0.8 m, hull]
  - plus:  [house, W20: battery cable 0.3 m, F10: fuse T 225 A, W21: battery cable 1 m, combi]
  - minus: [combi, W22: battery cable 1.2 m, house]
  - plus:  [house, W23: 35 mm² 0.5 m, F11: fuse bolt-down 100 A, W24: 35 mm² 0.3 m, dc_plus]
  - minus: [house, W25: 35 mm² 0.6 m, dc_minus]
  - plus:  [starter, W30: 16 mm² 0.3 m, F12: fuse bolt-down 50 A, W31: 16 mm² 4 m, dcdc.in]
  - plus:  [dcdc.out, W32: 10 mm² 1 m, F13: fuse bolt-down 40 A, W33: 10 mm² 0.5 m, dc_plus]
  - minus: [dcdc, W34: 16 mm² 1 m, dc_minus]
  - minus: [starter, W35: 25 mm² 3 m, dc_minus]
  - plus:  [alternator, W36: 50 mm² 1.5 m, F15: fuse bolt-down 100 A, W38: 50 mm² 0.2 m, starter]
  - minus: [alternator, W37: 50 mm² 1.5 m, starter]
  - dc:    [panels, W40: 6 mm² 8 m, mppt.array]
  - plus:  [mppt.battery, W41: 6 mm² 1 m, F14: fuse blade 30 A, W42: 6 mm² 0.3 m, dc_plus]
  - minus: [mppt.battery, W43: 6 mm² 1 m, dc_minus]
circuits:
  AC board:
    F1: {RCBO: 10 A, W10: 7 m, sockets: 4 × 16 A galley}
  DC board:
    F21: {fuse blade: 10 A, W50: auto 9 m, load: pump, loads: {bilge: 60 W motor}}
"""


TRAILER = """\
asfitted: 1
build: {title: Trailer, reference: TR-1, setting: trailer, use: work or public, rules: NFPA 70, units: US,
        ambient: 30 °C, lowest temperature: -10 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  breaker: 1P 120 V ac 10 kA
  GFCI breaker: 1P 120 V ac 10 kA
  fuse T: 125 V dc 20 kA
  ac cable: 10 AWG XLPE 90 °C clipped
  battery cable: 2/0 AWG XLPE 90 °C free air
  status: planned
boards:
  panel: {line bar: l_bar 60 A, neutral bar: n_bar 60 A, earth bar: ground_bar}
sources:
  site: {ac supply: 120 V 60 Hz 30 A TN-S, loop impedance: at most 0.4 ohm,
         prospective fault current: at most 5 kA, upstream: breaker 30 A}
  battery: {battery: LiFePO4 12.8 V 200 Ah, internal resistance: "3 mohm new and warm, 9 mohm aged and cold",
            lowest voltage: 12 V, highest voltage: 14.4 V, discharge limit: 200 A, charge limit: 100 A,
            charge cut-off below: 0 °C}
  inverter: {inverter: 12 V 1.2 kW 120 V ac 60 Hz, efficiency: 0.9, isolation: isolated,
             output limit: "20 A for 60 ms, then latched off", certified to: listed,
             neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}}
equipment:
  inlet: {supply inlet: 30 A}
  transfer: {transfer switch: 30 A 2P, in: panel, preferred: source 1, rest position: source 2,
             certified to: listed}
  charger: {battery charger: 12 V 20 A, efficiency: 0.9, power factor: 0.95, certified to: listed}
  chassis: structure
  bench: {GFCI receptacle: 2 × 20 A, loads: {tools: 900 W heater}}
  wheels: {GFCI receptacle: 3 × 15 A, loads: {wheel: 300 W heater}}
runs:
  - ac:    [site, W1: 25 ft EPR 90 °C free air, inlet, W2: 3 ft, QF1: GFCI breaker 30 A, W3: 1 ft,
            transfer.source 1]
  - ac:    [QF1, W4: 14 AWG 2 ft, F3]
  - ac:    [inverter, W5: 12 AWG 3 ft, QF2: GFCI breaker 20 A, W6: 12 AWG 1 ft, transfer.source 2]
  - ac:    [transfer, W7: 1 ft, panel]
  - earth: [inverter, W8: 1/0 AWG 3 ft, ground_bar, W9: 8 AWG 3 ft, chassis]
  - plus:  [battery, W20: battery cable 0.8 ft, F10: fuse T 150 A, W21: battery cable 3 ft, inverter]
  - minus: [inverter, W22: battery cable 3 ft, battery]
  - plus:  [charger, W23: 10 AWG 4 ft, F11: fuse T 30 A, inverter]
  - minus: [charger, W25: 10 AWG 4 ft, inverter]
circuits:
  panel:
    F1: {breaker: 20 A, W10: 12 AWG 20 ft, feeds: bench}
    F2: {breaker: 15 A, W11: 14 AWG 25 ft, feeds: wheels}
    F3: {breaker: 15 A, W12: 14 AWG 5 ft, feeds: charger}
"""


_ONE_CIRCUIT = """\
    F1: {RCBO: 10 A, W10: 7 m in wall, sockets: 4 × 16 A desk,
         loads: {kettle: 1 kW pf 1, projector: 220 W pf 0.95}}
"""
#: the vehicle with two lines of one phase and a neutral between them, to two groups of sockets
MULTIWIRE = (
    VEHICLE.replace(_ONE_CIRCUIT, "")
    .replace(
        "{earth bar: earth_bar, neutral bar: n_bar}",
        "{line bar: l_bar, earth bar: earth_bar, neutral bar: n_bar}",
    )
    .replace("W7: 0.3 m, F1]", "W7: 4 mm² 0.3 m, AC board]\n  - L:     [l_bar, F1]\n  - L:     [l_bar, F2]")
    .replace(
        "  body: structure\n",
        """\
  body: structure
  j1: busbar
  j2: busbar
  jn: busbar
  jp: earth bar
  desk: {sockets: 2 × 16 A, loads: {kettle: 800 W heater}}
  galley: {sockets: 2 × 16 A, loads: {toaster: 700 W heater}}
  F1: {breaker: B10 1P 6 kA, in: AC board}
  F2: {breaker: B10 1P 6 kA, in: AC board}
""",
    )
    + """\
cables:
  W10: {kind: ac, size: 2.5 mm², length: 7 m, insulation: PVC 70 °C, method: clipped, status: planned,
        cores: {L1: [F1.out.L, j1], L2: [F2.out.L, j2], N: [n_bar, jn], PE: [earth_bar, jp]}}
  W12: {kind: ac, size: 2.5 mm², length: 1 m, insulation: PVC 70 °C, method: clipped, status: planned,
        cores: {L: [j1, desk.L], N: [jn, desk.N], PE: [jp, desk.PE]}}
  W13: {kind: ac, size: 2.5 mm², length: 1 m, insulation: PVC 70 °C, method: clipped, status: planned,
        cores: {L: [j2, galley.L], N: [jn, galley.N], PE: [jp, galley.PE]}}
"""
)

#: the vehicle with an adaptor between the site and its lead
WITH_ADAPTOR = VEHICLE.replace("[site, W1:", "[site, plug, W1:").replace(
    "  body: structure", "  body: structure\n  plug: {adaptor: 16 A}"
)


def network(*edits: tuple[str, str], of: str = VEHICLE) -> Network:
    """Return the network of a build with each `(old, new)` replaced; `old` must be there."""
    text = of
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    loaded = load_text(text)
    assert loaded.description is not None, loaded.problems
    return build(loaded)


@lru_cache(maxsize=8)
def sizing(*edits: tuple[str, str], of: str = VEHICLE) -> Sizing:
    """Return the sizing of a build with each `(old, new)` replaced."""
    changed = network(*edits, of=of)
    return size(changed, states(changed))


@lru_cache(maxsize=8)
def chosen(*edits: tuple[str, str], of: str = VEHICLE) -> tuple[Chosen, Sizing]:
    """Return the choices for devices written `auto` in a build with each `(old, new)` replaced, and its sizing."""
    changed = network(*edits, of=of)
    found = choose_devices(changed, states(changed), rule_set(changed.description.build.rules))
    return found, size(found.network, found.states)


def codes(result: Sizing) -> set[str]:
    """Return the codes of all findings."""
    return {finding.code for finding in result.findings}


INVERTER = "  inverter: {inverter: 24 V"
SPARE = """\
  spare: {battery: %s, internal resistance: "4 mohm new and warm, 12 mohm aged and cold",
          lowest voltage: 21 V, highest voltage: 29.2 V, discharge limit: 150 A, charge limit: 100 A}
"""
LEADS = "  - plus:  [F10, W23:"
SPARE_LEADS = """\
  - plus:  [spare, W28: battery cable 0.15 m, F18: fuse T 125 A, W29: battery cable 0.5 m, inverter]
  - minus: [spare, W32: battery cable 0.5 m, inverter]
"""


def second_battery(text: str) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the edits that put a second battery beside that of the vehicle."""
    return ((INVERTER, SPARE % text + INVERTER), (LEADS, SPARE_LEADS + LEADS))
