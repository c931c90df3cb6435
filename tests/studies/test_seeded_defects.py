"""For each rule a build that breaks only it: the finding is the only new one, and the sound build raises
none.

The sound twins are the three small builds as they stand; each case changes a few words of one of them.
"""

import pytest
import yaml

from asfitted.resources import site_src
from asfitted.studies.results import Grade

from .small import LAUNCH, MULTIWIRE, TRAILER, VEHICLE, second_battery, sizing
from .test_split_phase import CABIN as SPLIT
from .test_split_phase import ONE_PHASE, OPPOSITE_ONLY
from .test_tt import CABIN, PLAIN

HOUSE_MINUS = "  - minus: [house, W25: 35 mm² 0.6 m, dc_minus]"
CASE_ON_HULL = """
  - minus: [dc_minus, W26: 35 mm² 0.6 m, hull]
  - earth: [combi, W27: 16 mm² 1 m, earth_bar]"""


HULL = "  hull: structure"
HULL_BOND = "  - earth: [earth_bar, W9"
GALVANIC_WAY = """\
  - earth: [inlet.pins, W7: 4 mm² 0.5 m, gi.in]
  - earth: [gi.out, W8: 4 mm² 0.5 m, earth_bar]
"""
GALVANIC = LAUNCH.replace(
    HULL, f"{HULL}\n  gi: {{galvanic isolator: 16 A, certified to: ISO 13297}}"
).replace(HULL_BOND, GALVANIC_WAY + HULL_BOND)


CRAFT = LAUNCH.replace("IEC 60364", "33 CFR 183").replace("W50: auto 9 m", "W50: 14 AWG 3 m")


LOCKER = ('spaces: {roof void: "60 °C', 'spaces: {gas locker: gas cylinders, roof void: "60 °C')
PETROL = (
    LAUNCH.replace("setting: boat", "setting: boat, engine: petrol")
    .replace("boards:\n", "spaces: {bay: petrol}\nboards:\n")
    .replace("14 V 90 A}", "14 V 90 A, space: bay, certified to: ISO 8846 ignition protected}")
)

NOT_JOINED = (
    "rod, W8: 16 mm² 3 m, earth_bar, W9: 16 mm² 1 m, frame]",
    "earth_bar, W9: 16 mm² 1 m, frame]",
)
FITTED = (
    "frame: structure",
    "frame: structure\n  spd: {kind: load, loads: {indicator: 1 W}, certified to: IEC 61643-11}",
)
TWO_BATTERIES = VEHICLE
for _old, _new in second_battery("LiFePO4 25.6 V 200 Ah"):
    TWO_BATTERIES = TWO_BATTERIES.replace(_old, _new)

DEFECTS = [
    # IEC 60364
    ("device-above-cable", VEHICLE, [("F21: {fuse blade: 7.5 A", "F21: {fuse blade: 30 A")]),
    ("no-protection", VEHICLE, [("F10: fuse T 125 A, W21", "F10: isolator 1P 300 A 48 V dc, W21")]),
    ("unprotected-length", VEHICLE, [("W20: battery cable 0.15 m", "W20: battery cable 3.1 m")]),
    (
        "short-circuit-not-shown",
        VEHICLE.replace("W23: 16 mm² 0.5 m", "W23: 16 mm² 4 m"),
        [
            (
                'internal resistance: "4 mohm new and warm, 12 mohm aged and cold"',
                "prospective fault current: at most 7 kA",
            )
        ],
    ),
    ("short-circuit-burns", VEHICLE, [("W23: 16 mm² 0.5 m", "W23: 6 mm² 7 m")]),
    (
        "device-too-slow",
        VEHICLE,
        [("W31: 2.5 mm²", "W31: 1.5 mm²"), ("F21: {fuse blade: 7.5 A", "F21: {fuse gG: 16 A 32 V dc 6 kA")],
    ),
    ("drop-exceeded", VEHICLE, [("W31: 2.5 mm² 7 m", "W31: 2.5 mm² 60 m")]),
    ("device-below-load", VEHICLE, [("F21: {fuse blade: 7.5 A", "F21: {fuse blade: 2 A")]),
    ("fault-current-unknown", VEHICLE, [("prospective fault current: at most 3 kA, ", "")]),
    (
        "breaking-capacity-exceeded",
        VEHICLE,
        [("RCBO: B 2P 30 mA type A 6 kA", "RCBO: B 2P 30 mA type A 0.2 kA")],
    ),
    ("device-voltage", VEHICLE, [("fuse blade: 32 V dc 1 kA", "fuse blade: 24 V dc 1 kA")]),
    ("device-voltage-unknown", VEHICLE, [("fuse T: 125 V dc 20 kA", "fuse T: 20 kA")]),
    ("ac-device-on-dc", VEHICLE, [("F22: fuse blade 30 A", "F22: breaker C32 230 V ac 10 kA")]),
    ("protective-conductor-small", VEHICLE, [("W10: 7 m", "W10: PE 1.5 mm² 7 m")]),
    (
        "protective-conductor-burns",
        VEHICLE,
        [("W2: 1 m", "W2: PE 0.5 mm² 1 m"), ("25 m rubber", "2 m rubber")],
    ),
    ("socket-device-too-large", VEHICLE, [("F1: {RCBO: 10 A, W10: 7 m", "F1: {RCBO: C20, W10: 4 mm² 7 m")]),
    ("equipment-not-protected", VEHICLE, [("transfer switch: 25 A", "transfer switch: 7 A")]),
    ("equipment-overloaded", VEHICLE, [("transfer switch: 25 A", "transfer switch: 5 A")]),
    (
        "equipment-uncertified",
        VEHICLE,
        [("rest position: source 2}", "rest position: source 2, certified to: none}")],
    ),
    ("other-uncertified", VEHICLE, [("power factor: 0.98}", "power factor: 0.98, certified to: none}")]),
    ("demand-exceeds-site", VEHICLE, [("30 mA type A}", "30 mA type A, at: {hall: {rating: 6 A}}}")]),
    ("battery-overdrawn", VEHICLE, [("discharge limit: 150 A", "discharge limit: 80 A")]),
    ("battery-overcharged", VEHICLE, [("charge limit: 100 A", "charge limit: 15 A")]),
    ("battery-limit-unknown", VEHICLE, [("discharge limit: 150 A, ", "")]),
    ("batteries-unlike", VEHICLE, second_battery("lead-acid AGM 24 V 200 Ah")),
    ("batteries-uneven", VEHICLE, second_battery("LiFePO4 25.6 V 100 Ah, charge cut-off below: 0 °C")),
    ("rcd-type-ac", VEHICLE, [("2P 30 mA type A 6 kA", "2P 30 mA type AC 6 kA")]),
    (
        "single-pole-device",
        VEHICLE,
        [("use: work or public", "use: lived in"), ("QF2: breaker B10 2P", "QF2: breaker B10 1P")],
    ),
    (
        "single-pole-reversible",
        VEHICLE,
        [("30 mA type A}", "30 mA type A, polarity: may be reversed}"), ("RCBO C16,", "RCBO C16 1P,")],
    ),
    (
        "disconnection-too-slow",
        VEHICLE,
        [
            ("at most 0.8 ohm", "at most 9 ohm"),
            ("C16 + RCD 30 mA type A", "C16"),
            ("RCBO: B 2P 30 mA type A 6 kA", "breaker: B 2P 6 kA"),
            ("RCBO C16", "breaker C16"),
            ("{RCBO: 10 A, W10", "{breaker: 10 A, W10"),
            ("{RCBO: 10 A, W11", "{breaker: 10 A, W11"),
        ],
    ),
    ("loop-not-known", VEHICLE, [("loop impedance: at most 0.8 ohm,", "")]),
    (
        "surge-below-cut-out",
        VEHICLE,
        [
            (
                "24 V 1.6 kW, efficiency",
                "24 V 1.6 kW, surge: 3.2 kW for 2 s, cut-out below: 19.5 V, efficiency",
            )
        ],
    ),
    ("conductor-below-least", VEHICLE, [("W11: 1.5 mm² 2 m", "W11: 1 mm² 2 m")]),
    # 60 °C conductors in air of 60 °C: Table 310.15(B)(1)(1) ends at 55 °C
    (
        "no-capacity-row",
        TRAILER.replace("boards:\n", "spaces: {roof: 30 °C}\nboards:\n").replace(
            "W4: 14 AWG 2 ft", "W4: 14 AWG PVC 60 °C 2 ft through roof"
        ),
        [("roof: 30 °C", "roof: 60 °C")],
    ),
    ("no-size-fits", VEHICLE, [("W31: 2.5 mm² 7 m", "W31: auto 1900 m"), ("strip: 48 W", "strip: 150 W")]),
    # small craft, and solar
    ("solar-voltage", LAUNCH, [("solar controller: 100 V", "solar controller: 44 V")]),
    ("string-fuses", LAUNCH, [("short-circuit current: 9 A}", "short-circuit current: 9 A, strings: 3}")]),
    (
        "alternator-on-lithium",
        LAUNCH,
        [
            (
                "starter: {battery: lead-acid flooded 12 V 90 Ah",
                "starter: {battery: LiFePO4 12.8 V 90 Ah, charge cut-off below: 0 °C",
            )
        ],
    ),
    ("case-conductor-dc", LAUNCH, [(HOUSE_MINUS, HOUSE_MINUS + CASE_ON_HULL)]),
    (
        "case-conductor-unfused",
        LAUNCH.replace(HOUSE_MINUS, HOUSE_MINUS + CASE_ON_HULL).replace("W27: 16 mm²", "W27: 70 mm²"),
        [("F10: fuse T 225 A", "F10: isolator 1P 300 A 48 V dc")],
    ),
    (
        "unprotected-length",
        LAUNCH.replace("IEC 60364", "ISO 13297")
        .replace("battery cable 0.3 m", "battery cable 0.2 m")
        .replace("35 mm² 0.5 m", "35 mm² 0.2 m")
        .replace("W30: 16 mm² 0.3 m", "W30: 16 mm² 0.2 m")
        .replace("W6: 1 m", "W6: 0.5 m")
        .replace("W4: 1 m", "W4: 0.5 m"),
        [("W20: battery cable 0.2 m", "W20: battery cable 0.3 m")],
    ),
    ("bundle-of-two-voltages", VEHICLE, [("W31: 2.5 mm² 7 m", "W31: 2.5 mm² 7 m in wall")]),
    (
        "lead-too-thin",
        VEHICLE,
        [
            ("W1: 25 m rubber", "W1: 1.5 mm² 5 m rubber"),
            ("16 A TN-S", "10 A TN-S"),
            ("upstream: C16", "upstream: C10"),
        ],
    ),
    (
        "not-ignition-protected",
        LAUNCH,
        [("boards:\n", "spaces: {bay: petrol}\nboards:\n"), ("14 V 90 A}", "14 V 90 A, space: bay}")],
    ),
    # leads and sites
    (
        "site-above-lead",
        VEHICLE.replace("RCBO C16", "RCBO C20")
        .replace("25 m rubber", "1 m rubber")
        .replace("at most 0.8 ohm", "at most 0.4 ohm"),
        [("30 mA type A}", "30 mA type A, at: {pier: {upstream: B20 + RCD 30 mA type A}}}")],
    ),
    (
        "outlet-below-demand",
        VEHICLE,
        [("30 mA type A}", "30 mA type A, at: {kitchen: {rating: 10 A, upstream: B16}}}")],
    ),
    (
        "main-above-inlet",
        TRAILER.replace("ac cable: 10 AWG", "ac cable: 8 AWG").replace(
            "transfer switch: 30 A", "transfer switch: 60 A"
        ),
        [("GFCI breaker 30 A", "GFCI breaker 40 A")],
    ),
    # places with gas and petrol
    (
        "equipment-in-gas-locker",
        VEHICLE,
        [LOCKER, ("power factor: 0.98}", "power factor: 0.98, space: gas locker}")],
    ),
    ("cable-in-gas-locker", VEHICLE, [LOCKER, ("W31: 2.5 mm² 7 m", "W31: 2.5 mm² 7 m through gas locker")]),
    (
        "cable-in-gas-locker-height",
        VEHICLE,
        [LOCKER, ("W31: 2.5 mm² 7 m", "W31: 4 mm² 7 m in conduit through gas locker")],
    ),
    (
        "battery-beside-fuel",
        LAUNCH,
        [
            ("boards:\n", "spaces: {hold: petrol tank}\nboards:\n"),
            ("flooded 12 V 90 Ah", "flooded 12 V 90 Ah, space: hold"),
        ],
    ),
    ("petrol-space-not-described", LAUNCH, [("setting: boat", "setting: boat, engine: petrol")]),
    ("petrol-place-not-stated", PETROL, [("space: bay, ", "")]),
    # two lines that are of one phase
    ("shared-neutral", SPLIT, [(OPPOSITE_ONLY, ONE_PHASE)]),
    ("load-between-one-phase", SPLIT, [(OPPOSITE_ONLY, ONE_PHASE)]),
    (
        "alarm-behind-isolator",
        VEHICLE.replace("loads: {strip: 48 W lighting}", "loads: {strip: 48 W lighting, smoke: 1 W alarm}"),
        [("W23: 16 mm² 0.5 m", "W23: 16 mm² 0.5 m, Q1: isolator 1P 100 A 48 V dc, W39: 16 mm² 0.5 m")],
    ),
    # TT systems and overvoltages
    ("tt-no-electrode", CABIN, [("  rod: {earth electrode: 40 ohm}\n", ""), NOT_JOINED]),
    ("tt-electrode-not-joined", CABIN, [NOT_JOINED]),
    ("tt-without-rcd", CABIN, PLAIN),
    ("tt-electrode-too-high", CABIN, [("earth electrode: 40 ohm", "earth electrode: 1700 ohm")]),
    ("no-surge-protection", CABIN.replace(*FITTED), [FITTED[::-1]]),
    # batteries in parallel
    ("string-share-exceeded", TWO_BATTERIES, [("F18: fuse T 125 A", "F18: fuse T 50 A")]),
    ("cable-overloaded", VEHICLE, [("W31: 2.5 mm²", "W31: 1.5 mm²"), ("strip: 48 W", "strip: 500 W")]),
    ("source-above-cable", LAUNCH, [("W40: 6 mm² 8 m", "W40: 0.5 mm² 8 m")]),
    # two lines of one phase: 2 × 10 A, held to 16 A by QF1, return in 1.5 mm², which carries 15.2 A
    ("shared-neutral", MULTIWIRE, [("W10: {kind: ac, size: 2.5 mm²", "W10: {kind: ac, size: 1.5 mm²")]),
    ("galvanic-isolator-small", GALVANIC, [("galvanic isolator: 16 A", "galvanic isolator: 10 A")]),
    ("galvanic-isolator-unproved", GALVANIC, [(", certified to: ISO 13297}", "}")]),
    (
        "breaking-capacity-backed-up",
        VEHICLE.replace("32 V dc 1 kA", "32 V dc 10 kA"),
        [("32 V dc 10 kA", "32 V dc 1 kA")],
    ),
    ("breaking-capacity-unknown", VEHICLE, [("fuse blade: 32 V dc 1 kA", "fuse blade: 32 V dc")]),
    ("demand-exceeds-source", VEHICLE, [("16 A TN-S", "5 A TN-S")]),
    (
        "disconnection-not-shown",
        VEHICLE,
        [("F1: {RCBO: 10 A", "F1: {breaker: B10 2P 6 kA"), ("then latched off", "then folds back")],
    ),
    (
        "conductor-heat-not-shown",
        VEHICLE,
        [("25 m rubber", "0.5 m rubber"), ("at most 3 kA", "at most 6 kA")],
    ),
    (
        "surge-opens-fuse",
        VEHICLE,
        [
            ("24 V 1.6 kW, efficiency", "24 V 1.6 kW, surge: 4.5 kW for 2 s, efficiency"),
            ("F10: fuse T 125 A", "F10: fuse blade 100 A 32 V dc 10 kA"),
        ],
    ),
    ("device-above-good-practice", CRAFT, [("F21: {fuse blade: 10 A", "F21: {fuse blade: 20 A")]),
    ("device-warm", VEHICLE, [("F3: {RCBO: 10 A", "F3: {RCBO: 3 A")]),
    # NFPA 70
    ("small-conductor", TRAILER, [("F1: {breaker: 20 A", "F1: {breaker: 25 A"), ("2 × 20 A", "1 × 30 A")]),
    ("receptacle-device", TRAILER, [("F1: {breaker: 20 A, W10: 12 AWG", "F1: {breaker: 25 A, W10: 10 AWG")]),
    # 1 kW at 12 V: 92.6 A, 115.7 A at 125 %; 2 AWG has 115 A at 75 °C and may have a fuse of 125 A, the
    # next size up
    (
        "cable-continuous-load",
        TRAILER,
        [
            ("12 V 1.2 kW", "12 V 1 kW"),
            ("F10: fuse T 150 A", "F10"),
            ("2/0 AWG", "2 AWG"),
            ("  chassis: structure", "  chassis: structure\n  F10: {fuse T: 125 A, terminals: 75 °C}"),
            ("discharge limit: 200 A", "terminals: 75 °C, discharge limit: 200 A"),
            ("isolation: isolated", "terminals: 75 °C, isolation: isolated"),
            ("900 W", "600 W"),
        ],
    ),
    # 7.5 A, 9.4 A at 125 %
    (
        "device-continuous-load",
        TRAILER,
        [
            ("tools: 900 W heater", "tools: 900 W pf 1 continuous"),
            ("F1: {breaker: 20 A", "F1: {breaker: 8 A"),
            ("2 × 20 A", "1 × 20 A"),
        ],
    ),
    (
        "equipment-not-listed",
        TRAILER,
        [
            (
                "rest position: source 2,\n             certified to: listed",
                "rest position: source 2,\n             certified to: none",
            )
        ],
    ),
    ("listing-not-stated", TRAILER, [("power factor: 0.95, certified to: listed", "power factor: 0.95")]),
    ("unprotected-length", TRAILER, [("W20: battery cable 0.8 ft", "W20: battery cable 2 ft")]),
]


@pytest.mark.parametrize(
    ("code", "build", "edits"), DEFECTS, ids=[f"{c} {n}" for n, (c, _, _) in enumerate(DEFECTS)]
)
def test_breaks_only_its_own_rule(code, build, edits):
    sound, broken = sizing(of=build), sizing(*edits, of=build)
    before = {(f.code, f.where) for f in sound.findings}
    new = [f for f in broken.findings if (f.code, f.where) not in before]
    grade = next((f.grade for f in new if f.code == code), None)
    assert {f.code for f in new if f.grade == grade} == {code} | SEEN_TWICE.get(code, set())


#: one defect seen from both ends: what a source gives is its load; each of two batteries may have to carry all
SEEN_TWICE = {"source-above-cable": {"cable-overloaded"}, "string-share-exceeded": {"device-below-load"}}
#: catalogues of what other studies find, seeded in tests of their own
OTHER_STUDIES = {"findings", "findings_faults", "findings_transfer", "findings_energy", "findings_tests"}
#: what is said where `auto` finds nothing, seeded in test_auto_device
OF_CHOICE = {"no-device-fits", "no-device-fits-outlets", "no-standard-device"}


def test_every_finding_of_sizing_is_seeded():
    words = {path.stem: path for path in (site_src() / "words").glob("findings*.yaml")}
    assert set(words) == OTHER_STUDIES | {"findings_sizing"}
    codes = set(yaml.safe_load(words["findings_sizing"].read_text(encoding="utf-8")))
    assert codes - OF_CHOICE == {code for code, _, _ in DEFECTS}


@pytest.mark.parametrize("build", [VEHICLE, LAUNCH, TRAILER, MULTIWIRE, CABIN, SPLIT, PETROL])
def test_sound_builds_raise_nothing_of_the_two_upper_classes(build):
    assert not [f for f in sizing(of=build).findings if f.grade in (Grade.DANGER, Grade.POTENTIAL)]


def test_alternator_above_its_cable_overloads_it_as_well():
    """Where the source is the load the two findings are one defect seen from both ends."""
    edits = (("W36: 50 mm²", "W36: 16 mm²"), ("F15: fuse bolt-down 100 A", "F15: isolator 1P 200 A 48 V dc"))
    before = {(f.code, f.where) for f in sizing(of=LAUNCH).findings}
    new = {f.code for f in sizing(*edits, of=LAUNCH).findings if (f.code, f.where) not in before}
    assert {"source-above-cable", "cable-overloaded"} <= new
