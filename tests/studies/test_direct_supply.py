"""Hazards of the d.c. side's operating states: each mutation is found, each sound arrangement raises nothing."""

from functools import lru_cache

import pytest

from asfitted.description.load import load_text
from asfitted.network.direct import direct_states
from asfitted.network.model import Network
from asfitted.network.states import states
from asfitted.studies.direct_supply import direct_findings, search_findings
from asfitted.studies.load_dump import load_dump_findings, load_dumps
from asfitted.studies.study import Study, study
from asfitted.tables.load_dump import load_dump
from tests.network.builds import HEAD, linked, network_of, trailer
from tests.studies import small
from tests.studies.builds import EXAMPLE, studied

CHARGE_LINE = "W61: 6 mm² 4 m, F61: fuse T 30 A, W62: 6 mm² 0.3 m, house]"
THROUGH_A_CHARGER = (CHARGE_LINE, "W61: 6 mm² 4 m, dcdc.in]\n"
                     "  - plus: [dcdc.out, F61: fuse T 30 A, W62: 6 mm² 0.3 m, house]\n"
                     "  - minus: [dcdc, W66: 6 mm² 0.3 m, house]")  # fmt: skip
A_CHARGER = ("  frame: structure", "  dcdc: {DC-DC charger: 12 V to 12 V 20 A}\n  frame: structure")
A_RELAY = (CHARGE_LINE, "W61: 6 mm² 4 m, F61: fuse T 30 A, relay, W62: 6 mm² 0.3 m, house]")


def relay(when: str) -> tuple[str, str]:
    return (
        "  frame: structure",
        f"  relay: {{contactor: 50 A 1P, contacts: [plus]{when}}}\n  frame: structure",
    )


def codes(network: Network) -> set[str]:
    found = direct_states(network)
    dumps = load_dump_findings(network, load_dumps(network, found))
    return {f.code for f in (*direct_findings(network, found), *dumps)}


@pytest.mark.parametrize(
    ("edits", "expected"),
    [
        ((), {"dc-pins-live", "feeds-outside"}),
        ((A_RELAY, relay("")), {"dc-pins-live", "feeds-outside"}),
        ((A_RELAY, relay(", closed when: tow live")), set()),
        ((THROUGH_A_CHARGER, A_CHARGER), set()),
    ],
)
def test_pins_of_a_tow_plug_are_dead_only_behind_something_that_parts_them(edits, expected):
    assert codes(trailer(*edits)) == expected


def test_a_portable_array_leaves_dead_pins_behind_its_controller_and_live_ones_without():
    through_plug = "  - dc: [panels, W70: 4 mm² 3 m, sun_plug, W74: 4 mm² 1 m, controller.array]"
    sound = trailer(
        THROUGH_A_CHARGER, ("  frame: structure", A_CHARGER[1] + "\n  sun_plug: {dc inlet: 15 A}"),
        ("  - dc: [panels, W70: 4 mm² 3 m, controller.array]", through_plug),
    )  # fmt: skip
    assert codes(sound) == set()
    rest = direct_states(sound)[0]
    assert dict(rest.conditions)["panels"] == "unplugged"
    direct = trailer(
        THROUGH_A_CHARGER, ("  frame: structure", A_CHARGER[1] + "\n  sun_plug: {dc inlet: 15 A}"),
        ("  - dc: [panels, W70: 4 mm² 3 m, controller.array]",
         through_plug + "\n  - plus: [sun_plug.pins, W75: 4 mm² 1 m, house]"),
    )  # fmt: skip
    assert "dc-pins-live" in codes(direct)


def test_an_engine_is_started_by_one_battery_behind_a_relay_and_by_two_over_a_closed_link():
    assert codes(linked()) == set()
    assert codes(linked(("closed when: alternator running, ", ""))) == {"cranking-shared"}


def test_the_share_of_the_starting_current_is_that_of_the_resistances():
    # 5 mohm new beside 15 mohm aged: 1/5 of (1/5 + 1/15) is three quarters
    network = linked(
        ("closed when: alternator running, ", ""),
        ("AGM 12 V 90 Ah, use: starter}",
         'AGM 12 V 90 Ah, use: starter, internal resistance: "4 mohm new and warm, 15 mohm aged and cold"}'),
        ("AGM 12 V 200 Ah}", 'AGM 12 V 200 Ah, internal resistance: "5 mohm new and warm, 12 mohm aged and cold"}'),
    )  # fmt: skip
    (finding,) = direct_findings(network, direct_states(network))
    assert finding.fields["share"] == "75"


def test_what_leaves_an_alternator_without_battery():
    alone = linked(
        ("  starter: {battery: lead-acid AGM 12 V 90 Ah, use: starter}\n", ""),
        ("  house: {battery: lead-acid AGM 12 V 200 Ah}", "  house: {battery: LiFePO4 12.8 V 200 Ah}"),
        ("[alternator, W41: 25 mm² 1.5 m, starter]", "[alternator, W41: 25 mm² 1.5 m, Q1]"),
        ("[starter, F20: fuse T 80 A 125 V dc 20 kA, W47: 25 mm² 2 m, relay]",
         "[Q1: isolator 100 A 1P, F20: fuse T 80 A 125 V dc 20 kA, W47: 25 mm² 2 m, relay]"),
        ("  - minus: [starter, W42: 25 mm² 0.6 m, frame]\n", ""),
    )  # fmt: skip
    found = load_dumps(alone, direct_states(alone))
    assert {(d.opens, d.by) for d in found} == {
        ("house", "own protection"), ("Q1", "hand"), ("F20", "fault"), ("F21", "fault"), ("relay", "fault"),
    }  # fmt: skip
    assert codes(alone) >= {"load-dump-by-battery", "load-dump-by-switch"}


def test_peaks_of_a_load_dump_as_iso_16750_2_prints_them():
    # ISO 16750-2:2012, test A: 12 V 79 to 101 V for 40 to 400 ms; 24 V 151 to 202 V for 100 to 350 ms
    for volts, least, greatest, longest in ((14.0, 79, 101, 0.4), (28.0, 151, 202, 0.35)):
        dump = load_dump(volts)
        assert (dump.least_v.value, dump.greatest_v.value, dump.greatest_s) == (least, greatest, longest)


SEARCHING = """
defaults: {breaker: 1P 120 V ac 10 kA, fuse T: 125 V dc 20 kA, ac cable: 2.5 mm², dc cable: 25 mm²}
boards: {panel: {line bar: l_bar 60 A, neutral bar: n_bar 60 A, earth bar: ground_bar}}
sources:
  battery: {battery: LiFePO4 25.6 V 200 Ah}
  inverter: {inverter: 24 V 1.9 kW 120 V ac 60 Hz, search below: 15 W, isolation: isolated,
             neutral bond: {kind: fixed, allowed by maker: data sheet}}
equipment: {bench: {GFCI receptacle: 20 A, loads: {kettle: 900 W}}}
runs:
  - plus: [battery, F1: fuse T 125 A, W1: 1 m, inverter]
  - minus: [battery, W2: 1 m, inverter]
  - ac: [inverter, W3: 1 m, Q1: breaker 20 A in panel, panel]
  - earth: [inverter, W4: 6 mm² 1 m, ground_bar]
circuits:
  panel:
    F2: {breaker: 20 A, W5: 3 m, feeds: bench}
"""


def test_an_inverter_that_searches_starves_what_needs_a_supply_to_trip():
    network = network_of(HEAD[: HEAD.index("defaults:")] + SEARCHING)
    (finding,) = search_findings(network, states(network))
    assert finding.where == ("inverter", "bench")
    assert finding.fields["unseen_ma"] == "125", "15 W at 120 V"
    quiet = network_of(HEAD[: HEAD.index("defaults:")] + SEARCHING.replace("search below: 15 W, ", ""))
    assert search_findings(quiet, states(quiet)) == ()
    # 0.6 W is 5 mA: whatever trips a Class A device wakes the inverter too
    fine = network_of(HEAD[: HEAD.index("defaults:")] + SEARCHING.replace("15 W", "0.6 W"))
    assert search_findings(fine, states(fine)) == ()


def test_the_example_raises_none_of_them():
    build = studied()
    own = {"dc-pins-live", "feeds-outside", "cranking-shared", "search-mode-starves"}
    assert not own & {f.code for f in build.found}
    assert not {f.code for f in build.found if f.code.startswith("load-dump")}


LINKED = (
    ("  dcdc: {DC-DC charger: 12 V to 12 V 30 A, efficiency: 0.95}\n",
     "  relay: {contactor: 60 A 1P, closed when: alternator running, contacts: [plus]}\n"),
    ("F12: fuse bolt-down 50 A, W31: 16 mm² 4 m, dcdc.in]", "F12: fuse bolt-down 50 A, W31: 16 mm² 4 m, relay]"),
    ("[dcdc.out, W32: 10 mm² 1 m, F13: fuse bolt-down 40 A, W33: 10 mm² 0.5 m, dc_plus]",
     "[relay, W32: 16 mm² 1 m, F13: fuse bolt-down 50 A, W33: 16 mm² 0.5 m, dc_plus]"),
    ("  - minus: [dcdc, W34: 16 mm² 1 m, dc_minus]\n", ""),
)  # fmt: skip
OF_THE_LINK = {"W30", "W31", "W32", "W33"}


def unprotected(*edits: tuple[str, str]) -> set[tuple[str, str]]:
    """Return (cable, source) of every finding that a cable of the link is not protected against a source."""
    found = small.sizing(*LINKED, *edits, of=small.LAUNCH).findings
    wanted = {"no-protection", "device-above-cable", "unprotected-length"}
    return {(f.where[0], f.where[-1]) for f in found if f.code in wanted and f.where[0] in OF_THE_LINK}


def test_a_link_that_is_fed_from_both_ends_needs_a_device_at_each():
    house_end = "W32: 16 mm² 1 m, F13: fuse bolt-down 50 A, W33: 16 mm² 0.5 m, dc_plus]"
    starter_end = "W30: 16 mm² 0.3 m, F12: fuse bolt-down 50 A, W31: 16 mm² 4 m,"
    assert not {("W32", "house"), ("W30", "starter")} & unprotected()
    assert ("W32", "house") in unprotected((house_end, "W32: 16 mm² 6 m, house]"))
    assert ("W30", "starter") in unprotected((starter_end, "W30: 16 mm² 4.3 m,"))


TOWED = EXAMPLE.parents[1] / "tin_kiln" / "build.yaml"


@lru_cache(maxsize=8)
def towed(*edits: tuple[str, str]) -> Study:
    text = TOWED.read_text(encoding="utf-8")
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return study(load_text(text, TOWED))


def test_the_towed_example_is_sound_and_its_charge_line_without_a_fuse_is_not():
    own = {"tow", "tow_plug", "tow_charger", "W40", "W41", "W42", "W43", "W44", "W45", "W46", "F14", "F15"}
    assert not [f for f in towed().found if own & set(f.where)]
    found = towed(
        ("  F14: {fuse T: 20 A, place: the tow vehicle}\n", ""),
        ("W40: 8 AWG 0.5 ft, F14, W41: 8 AWG 11 ft", "W40: 8 AWG 11.5 ft"),
    ).found
    assert {("no-protection", "W40"), ("no-protection", "W42")} <= {(f.code, f.where[0]) for f in found}
    from_inside = towed(
        ("  F15: {fuse T: 10 A, place: battery box}\n", ""),
        ("W45: 8 ft, F15, main_plus]", "W45: 8 ft, main_plus]"),
    ).found
    assert ("device-above-cable", ("W45", "F10")) in {(f.code, f.where) for f in from_inside}
