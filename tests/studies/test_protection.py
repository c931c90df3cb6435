import pytest

from asfitted.studies.results import Grade
from asfitted.words import catalogue, text

from .small import codes, sizing


def grades(result, code):
    return {f.grade for f in result.findings if f.code == code}


def places(result, code):
    return {f.where[0] for f in result.findings if f.code == code}


def test_sound_build_has_no_danger():
    result = sizing()
    assert not [f for f in result.findings if f.grade.bars_publication]


@pytest.mark.parametrize(
    ("cable", "device", "manner"),
    [
        ("W1", "site", "before"),  # the lead: the breaker of the site
        ("W10", "F1", "before"),
        ("W5", None, "source"),  # the inverter cannot deliver more than the cable carries
        ("W20", "F10", "behind"),  # between battery and fuse
        ("W22", "F10", "before"),  # the return of the inverter
        ("W23", "F21 + F22", "behind"),  # thinner than its fuse demands, short, and its branches are fused
        ("W25", "F22", "before"),  # the battery can feed it backwards through F22
    ],
)
def test_which_device_protects(cable, device, manner):
    found = sizing().cables[cable]
    assert (found.device, found.protection) == (device, manner)


def test_device_above_cable():
    result = sizing(("F21: {fuse blade: 7.5 A, W31: 2.5 mm²", "F21: {fuse blade: 30 A, W31: 2.5 mm²"))
    assert places(result, "device-above-cable") == {"W31"}
    finding = next(f for f in result.findings if f.code == "device-above-cable")
    assert finding.grade == Grade.POTENTIAL
    assert finding.fields["fitting_rating_a"] == "20"  # 23.5 A: the next blade fuse below
    assert finding.fields["fitting_size"] == "4 mm²"  # 36 × 0.87 = 31 A
    assert finding.clause


def test_no_device_on_a_battery_cable_is_a_danger():
    result = sizing(
        ("F10: fuse T 125 A, W21: battery cable 0.9 m", "F10: isolator 1P 300 A, W21: battery cable 0.9 m")
    )
    assert "W21" in places(result, "no-protection")
    assert grades(result, "no-protection") == {Grade.DANGER}


def test_fuse_far_from_the_battery():
    near, far = (
        sizing(("W20: battery cable 0.15 m", "W20: battery cable 3 m")),
        sizing(("W20: battery cable 0.15 m", "W20: battery cable 3.1 m")),
    )
    assert "unprotected-length" not in codes(near)
    assert places(far, "unprotected-length") == {"W20"}
    assert grades(far, "unprotected-length") == {Grade.POTENTIAL}


def test_long_thin_cable_behind_a_large_fuse_is_shown_to_survive():
    result = sizing(("W23: 16 mm² 0.5 m", "W23: 16 mm² 4 m"))
    assert not codes(result) & {"short-circuit-not-shown", "short-circuit-burns"}
    shown = {w.subject: w for w in result.workings if w.quantity == "live_adiabatic_before"}
    assert set(shown) == {"W23", "W26"}
    given = {i.symbol: i.value for i in shown["W23"].inputs}
    # 21 V behind 12 mohm aged and cold; out over W20 (50 mm² EPR at 90 °C) and W23, back over W24 (16 mm² PVC
    # at 70 °C), class 5, IEC 60228
    hot_90, hot_70 = 1 + 0.00393 * 70, 1 + 0.00393 * 50
    ohm = 0.012 + 0.15 * 0.386e-3 * hot_90 + 4.6 * 1.21e-3 * hot_70
    assert given["I"] == pytest.approx(21 / ohm, rel=0.01)
    assert shown["W23"].result == pytest.approx(given["I"] * given["t"] ** 0.5 / 115)


def test_a_cable_too_thin_for_the_fuse_before_it_burns():
    result = sizing(("W23: 16 mm² 0.5 m", "W23: 6 mm² 7 m"))
    assert places(result, "short-circuit-burns") == {"W23", "W26"}
    assert grades(result, "short-circuit-burns") == {Grade.POTENTIAL}


def test_nobody_knows_the_weakest_battery():
    unknown = ('internal resistance: "4 mohm new and warm, 12 mohm aged and cold"',
               "prospective fault current: at most 7 kA")  # fmt: skip
    result = sizing(("W23: 16 mm² 0.5 m", "W23: 16 mm² 4 m"), unknown)
    assert places(result, "short-circuit-not-shown") >= {"W23", "W26"}


def test_a_published_let_through_energy_takes_the_place_of_half_a_period():
    strong = ("25 m rubber", "0.5 m rubber"), ("at most 3 kA", "at most 6 kA")
    assert "conductor-heat-not-shown" in codes(sizing(*strong))
    # a C16 of class 3 and 6 kA lets through up to 42 000 A²s, above what half a period of 2 kA makes; IEC 60228: 0.5 m
    # of flexible and 1.3 m of stranded 2.5 mm², 2 m of 1.5 mm², out and back
    by_class = (("QF1: RCBO C16", "QF1: RCBO C16 energy class 3"),)
    ohm = 230 / 6000 + 2e-3 * (0.5 * 7.98 + 1.3 * 7.41 + 2 * 12.1)
    assert heat("W11", *strong, *by_class) == {"I": pytest.approx(230 / ohm, rel=1e-3), "t": 0.01, "k": 115}
    # 1.5 mm² of PVC stand (115 × 1.5)² = 29 756 A²s
    for energy, holds in (("29 kA²s", True), ("30 kA²s", False), ("29700 A²s", True)):
        by_maker = (
            ("QF1: RCBO C16", "QF1"),
            ("equipment:\n", f"equipment:\n  QF1: {{RCBO: C16, let-through: {energy}}}\n"),
        )
        found = codes(sizing(*strong, *by_maker))
        assert ("conductor-heat-not-shown" not in found) == holds


def heat(cable, *edits):
    working = next(w for w in sizing(*edits).workings if w.id == f"{cable}.live_adiabatic")
    return {i.symbol: i.value for i in working.inputs}


def test_an_unprotected_lead_says_how_soon_it_burns():
    lead = next(w for w in sizing().workings if w.id == "W20.lead_burns_after")
    greatest = 29.2 / 0.004
    assert lead.result == pytest.approx((143 * 50 / greatest) ** 2, rel=0.01)


def test_sockets_behind_a_device_too_large():
    result = sizing(("F1: {RCBO: 10 A, W10: 7 m", "F1: {RCBO: C20, W10: 4 mm² 7 m"))
    assert places(result, "socket-device-too-large") == {"desk"}


def test_slow_fuse_needs_more_cable_than_its_rating():
    # gG 16 A operates for sure at 25.6 A, a breaker of 16 A at 23.2 A
    edits = (("W31: 2.5 mm²", "W31: 1.5 mm²"), ("ambient: 40 °C", "ambient: 30 °C"))
    slow = sizing(*edits, ("F21: {fuse blade: 7.5 A", "F21: {fuse gG: 16 A 32 V dc 6 kA"))
    assert "device-too-slow" not in codes(slow)  # 19.5 × 1.45 = 28.3 A
    slow = sizing(*edits[:1], ("F21: {fuse blade: 7.5 A", "F21: {fuse gG: 16 A 32 V dc 6 kA"))
    assert places(slow, "device-too-slow") == {"W31"}  # 17.0 × 1.45 = 24.6 A


def test_breaking_capacity():
    assert places(sizing(), "breaking-capacity-backed-up") == {"F21", "F22"}
    weak = sizing(("F10: fuse T 125 A", "F10: fuse bolt-down 125 A 32 V dc 2 kA"))
    assert places(weak, "breaking-capacity-exceeded") >= {"F10", "F21"}
    device = weak.devices["F10"]
    # 29.2 V behind 4 mohm and 0.15 m of 50 mm²
    assert device.prospective_current_a == pytest.approx(29.2 / (0.004 + 0.15 * 0.387e-3), rel=1e-3)


def test_unknown_fault_current_is_for_investigation():
    result = sizing((', internal resistance: "4 mohm new and warm, 12 mohm aged and cold"', ""))
    assert "F10" in places(result, "fault-current-unknown")


def test_device_voltage():
    result = sizing(("fuse blade: 32 V dc 1 kA", "fuse blade: 24 V dc 1 kA"))
    assert places(result, "device-voltage") == {"F21", "F22"}


def test_equipment_is_rated_and_protected():
    behind_f1 = sizing(("transfer switch: 25 A", "transfer switch: 13 A"))
    assert "equipment-not-protected" not in codes(behind_f1)  # F1 lets through no more than 10 A
    assert "equipment-not-protected" in codes(sizing(("transfer switch: 25 A", "transfer switch: 7 A")))
    overloaded = sizing(("transfer switch: 25 A", "transfer switch: 5 A"))
    assert places(overloaded, "equipment-overloaded") == {"changeover"}
    uncertified = sizing(("rest position: source 2}", "rest position: source 2, certified to: none}"))
    assert places(uncertified, "equipment-uncertified") == {"changeover"}


def test_batteries_and_sources_have_limits():
    assert "battery-overdrawn" in codes(sizing(("discharge limit: 150 A", "discharge limit: 80 A")))
    assert "battery-overcharged" in codes(sizing(("charge limit: 100 A", "charge limit: 15 A")))
    assert "battery-limit-unknown" in codes(sizing(("discharge limit: 150 A, ", "")))
    heavy = sizing(("kettle: 1 kW pf 1", "kettle: 4 kW pf 1"))
    assert {"demand-exceeds-source", "device-below-load"} <= codes(heavy)
    site = sizing(
        ("upstream: C16 + RCD 30 mA type A}", "upstream: C16 + RCD 30 mA type A, at: {hall: {rating: 6 A}}}")
    )
    assert "demand-exceeds-site" in codes(site)


def test_small_protective_conductor():
    assert places(sizing(("W8: 16 mm²", "W8: 2.5 mm²")), "protective-conductor-small") == {"W8"}
    assert places(sizing(("W10: 7 m", "W10: PE 1.5 mm² 7 m")), "protective-conductor-small") == {"W10"}


def test_every_finding_can_be_read():
    """Every code that the tests above provoke has its four sentences, with every field at hand."""
    edits = [
        [("F21: {fuse blade: 7.5 A", "F21: {fuse blade: 30 A")],
        [("F10: fuse T 125 A", "F10: isolator 1P 300 A")],
        [("W20: battery cable 0.15 m", "W20: battery cable 4 m")],
        [("W23: 16 mm² 0.5 m", "W23: 16 mm² 4 m"), ("discharge limit: 150 A", "discharge limit: 80 A")],
        [("kettle: 1 kW", "kettle: 9 kW"), ("charge limit: 100 A", "charge limit: 15 A")],
        [("strip: 48 W", "strip: 480 W"), ("W31: 2.5 mm² 7 m", "W31: 1.5 mm² 70 m")],
        [("transfer switch: 25 A", "transfer switch: 5 A"), ("fuse blade: 32 V dc", "fuse blade: 24 V dc")],
        [("rules: IEC 60364", "rules: NFPA 70")],
    ]
    seen = set()
    for finding in (f for edit in edits for f in sizing(*edit).findings):
        seen.add(finding.code)
        for part in ("title", "message", "why", "remedy"):
            assert text("findings_sizing", f"{finding.code}.{part}", **finding.fields)
    assert len(seen) >= 15


def test_no_words_for_findings_that_do_not_exist():
    from pathlib import Path

    import asfitted.studies

    source = "".join(p.read_text(encoding="utf-8") for p in Path(asfitted.studies.__path__[0]).glob("*.py"))
    assert [code for code in catalogue("findings_sizing") if f'"{code}"' not in source] == []


# IEC 60364-5-52 528.1 (from memory): each cable of a bundle insulated for the highest voltage in it; ISO 10133 7.8, read:
# d.c. conductors are not in one wiring system with a.c. ones
@pytest.mark.parametrize(
    ("rules", "made_for", "found"),
    [
        ("IEC 60364", "", True),
        ("IEC 60364", "insulated for 60 V", True),
        ("IEC 60364", "insulated for 450 V", False),
        ("ISO 13297", "insulated for 450 V", True),
    ],
)
def test_cables_of_two_voltages_in_one_bundle(rules, made_for, found):
    result = sizing(
        ("rules: IEC 60364", f"rules: {rules}"), ("W31: 2.5 mm² 7 m", f"W31: 2.5 mm² 7 m in wall {made_for}")
    )
    assert ("bundle-of-two-voltages" in codes(result)) == found
