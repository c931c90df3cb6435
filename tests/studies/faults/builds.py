"""The road vehicle of the fault tests; each test changes a few words of it."""

from collections.abc import Mapping
from functools import lru_cache

from asfitted.description.load import load_text
from asfitted.network.build import build
from asfitted.network.equivalent import Equivalent, equivalent
from asfitted.network.model import Network
from asfitted.network.states import State, states
from asfitted.studies.faults.study import combinations_of_sites
from asfitted.tables.circuit_defaults import Bound

VAN = """\
asfitted: 1
build: {title: Van, reference: V-1, setting: road vehicle, use: work or public, rules: IEC 60364,
        ambient: 30 °C, lowest temperature: -5 °C}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  RCBO: B 2P 30 mA type A 6 kA
  fuse T: 125 V dc 20 kA
  ac cable: 2.5 mm² PVC 70 °C clipped
  dc cable: PVC 70 °C clipped
  battery cable: 70 mm² EPR 90 °C free air
boards:
  AC board: {line bar: l_bar 40 A, neutral bar: n_bar 40 A, earth bar: earth_bar}
sources:
  site: {ac supply: 230 V 50 Hz 16 A TN-S, loop impedance: at most 0.8 ohm,
         prospective fault current: at most 3 kA, upstream: C16 + RCD 30 mA type A}
  battery: {battery: LiFePO4 12.8 V 200 Ah, internal resistance: "4 mohm new and warm, 12 mohm aged and cold"}
  inverter: {inverter: 12 V 2 kW 230 V ac 50 Hz, efficiency: 0.9,
             output limit: "22 A for 0.1 s, then latched off", isolation: isolated,
             neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}}
equipment:
  inlet: {supply inlet: 16 A}
  changeover: {transfer switch: 25 A 2P, in: AC board, preferred: source 1, rest position: source 2,
               to source 1: 60 ms measured, to source 2: 0.4 s measured}
  body: structure
runs:
  - ac:    [site, W1: 25 m rubber 60 °C free air class 5, inlet, W2: 1 m, changeover.source 1]
  - ac:    [inverter, W5: L N 0.8 m, changeover.source 2]
  - ac:    [changeover, W7: 0.3 m, AC board]
  - earth: [inverter, W8: 4 mm² 1 m, earth_bar, W9: 16 mm² 0.8 m, body]
  - plus:  [battery, W20: battery cable 0.15 m, F10: fuse T 250 A, W21: battery cable 0.9 m, inverter]
  - minus: [inverter, W22: battery cable 1.2 m, battery]
  - minus: [battery, W23: 16 mm² 0.5 m, body]
circuits:
  AC board:
    F1: {RCBO: 16 A, W10: 7 m, sockets: 2 × 16 A desk, loads: {lamps: 690 W}}
    F2: {RCBO: 16 A, W11: 5 m, sockets: 2 × 16 A kitchen, loads: {kettle: 690 W}}
"""

#: the same vehicle made sound: residual current devices behind inlet and inverter, metalwork of full size
SOUND = (
    ("W2: 1 m, changeover.source 1]", "W2: 1 m, QF1: RCBO C16 in inlet board, inlet board]\n"
     "  - ac:    [inlet board, W3: 0.5 m, changeover.source 1]"),
    ("W5: L N 0.8 m, changeover.source 2]", "W5: L N 0.8 m, QF2: RCBO B10 in AC board, W6: L N 0.4 m, "
     "changeover.source 2]"),
    ("boards:\n", "boards:\n  inlet board: {line bar: s_line 40 A, neutral bar: s_neutral 40 A, earth bar: earth_bar}\n"),
    ("12 mohm aged and cold", "8 mohm aged and cold"),
    ("W8: 4 mm² 1 m", "W8: 50 mm² 1 m"),
    ("W9: 16 mm²", "W9: 50 mm²"),
    ("W23: 16 mm²", "W23: 50 mm²"),
    ("RCBO: 16 A, W10", "RCBO: 10 A, W10"),
    ("RCBO: 16 A, W11", "RCBO: 10 A, W11"),
)  # fmt: skip

#: the values with which the facts of the reference program were computed
NOMINAL = {"voltage factor": 1.0, "tyres": 1e5, "neutral electrode": 2.0, "neighbours": 0.01}


def changed(text: str, *edits: tuple[str, str]) -> str:
    """Return a description with each (old, new) replaced; `old` must be there once."""
    for old, new in edits:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
        text = text.replace(old, new)
    return text


@lru_cache(maxsize=8)
def network(text: str = VAN, *edits: tuple[str, str]) -> Network:
    """Return the network of a build with each (old, new) replaced; `old` must be there."""
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    loaded = load_text(text)
    assert loaded.description is not None, [p.fields for p in loaded.problems]
    return build(loaded)


def circuit(
    *edits: tuple[str, str],
    text: str = VAN,
    bound: Bound = "least",
    site: int = 0,
    overrides: Mapping[str, float] = NOMINAL,
) -> Equivalent:
    """Return the equivalent circuit of a changed build."""
    found = network(text, *edits)
    return equivalent(found, combinations_of_sites(found)[site], bound, overrides)


def state(found: Network, **conditions: str) -> State:
    """Return the state with the given conditions that is not in transit."""
    return next(
        s for s in states(found)
        if not s.in_transit and all(dict(s.conditions)[k] == v for k, v in conditions.items())
    )  # fmt: skip
