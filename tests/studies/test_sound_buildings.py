"""Ordinary builds that an inspector would pass: a cabin with a plain main breaker, a trailer with GFCI receptacles.

Nothing of the two upper classes may be open, faults included.
"""

import pytest

from asfitted.description.load import load_text
from asfitted.studies.results import Grade
from asfitted.studies.study import Study, study

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
  - ac:    [grid, W1: 10 m, QF1: breaker C16 2P 6 kA, W3: 0.5 m, F1]
  - earth: [earth_bar, W9: 16 mm² 1 m, frame]
circuits:
  AC board:
    F1: {RCBO: 10 A, W10: 7 m, sockets: 4 × 16 A desk, loads: {kettle: 1 kW}}
"""
TRAILER = """\
asfitted: 1
build: {title: Trailer, reference: TR-1, setting: trailer, use: lived in, rules: NFPA 70, units: US,
        ambient: 30 °C, lowest temperature: -10 °C, engine: none}
revisions: {1: "2026-03-02, builder, first issue"}
defaults:
  breaker: 1P 120 V ac 10 kA
  ac cable: 12 AWG PVC 90 °C clipped
  status: planned
boards:
  panel: {line bar: l_bar 60 A, neutral bar: n_bar 60 A, earth bar: ground_bar}
sources:
  site: {ac supply: 120 V 60 Hz 30 A TN-S, loop impedance: at most 0.4 ohm,
         prospective fault current: at most 5 kA, upstream: breaker 30 A}
equipment:
  inlet: {supply inlet: 30 A}
  chassis: structure
  converter: {kind: load, loads: {converter: 400 W}}
  bench: {GFCI receptacle: 2 × 20 A, loads: {kettle: 900 W heater}}
  lounge: {GFCI receptacle: 3 × 15 A, loads: {lamp: 200 W}}
runs:
  - ac: [site, W1: 10 AWG EPR 90 °C free air class 5 25 ft, inlet, W2: 10 AWG 3 ft, QF1: breaker 30 A in panel, panel]
  - earth: [ground_bar, W9: 8 AWG PVC 90 °C clipped 3 ft, chassis]
circuits:
  panel:
    F1: {breaker: 15 A, W13: 14 AWG 4 ft, feeds: converter}
    F2: {breaker: 20 A, W14: 12 AWG 14 ft, feeds: bench}
    F3: {breaker: 15 A, W15: 14 AWG 20 ft, feeds: lounge}
"""


def studied(text: str, *edits: tuple[str, str]) -> Study:
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return study(load_text(text))


@pytest.mark.parametrize("setting", ["cabin", "house"])
@pytest.mark.parametrize("rules", ["IEC 60364", "BS 7671"])
@pytest.mark.parametrize("earthing", ["TN-S", "TN-C-S"])
def test_a_building_with_a_plain_main_breaker_is_sound(setting, rules, earthing):
    # C16 at 1 kA opens within half a period: 0.01 s × 1.0² kA² = 10 kA²s against (115 × 2.5)² = 83 kA²s
    build = studied(
        CABIN, ("setting: cabin", f"setting: {setting}"), ("IEC 60364", rules), ("TN-S", earthing)
    )
    assert build.barred == ()


def test_the_same_building_without_its_residual_current_device_is_not():
    build = studied(
        CABIN, ("RCBO: B 2P 30 mA type A 6 kA", "breaker: B 2P 6 kA"), ("{RCBO: 10 A", "{breaker: 10 A")
    )
    assert {f.code for f in build.barred} == {"socket-without-rcd"}


def test_an_it_supply_is_sound_but_for_nobody_being_told():
    build = studied(CABIN, ("TN-S", "IT"))
    assert build.barred == ()
    assert "first-fault-not-indicated" in {f.code for f in build.findings}


def test_a_trailer_with_plain_main_and_gfci_receptacles_is_sound_but_for_a_curve_to_ask_for():
    build = studied(TRAILER)
    assert build.barred == ()
    assert [f.code for f in build.findings if f.grade is Grade.INVESTIGATION] == ["breaker-curve-unknown"]
    cited = {f.clause for f in build.findings}
    assert not [clause for clause in cited if "IEC" in clause or "BS" in clause]
