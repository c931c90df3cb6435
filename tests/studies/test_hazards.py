"""Single changes to the clean example, each of which creates one hazard of bonding, coverage or back-feed.

Each must be found, in the right states, and nothing else of the two upper classes may be raised with it.
Sound arrangements that look odd must raise nothing of the two upper classes.
"""

import pytest

from asfitted.studies.results import Grade
from asfitted.studies.study import NotUsable
from tests.studies.builds import studied, varied

BOND = "neutral bond: {kind: fixed, lands on: own earth terminal, allowed by maker: data sheet}"
CHANGEOVER = "transfer switch: 25 A 2P"
W8 = "  - earth: [inverter, W8: 1 m, earth_bar, W9: 0.8 m, body]"
ON_INVERTER = {"on the road", "blackout"}
PLUGGED = {"plugged in", "plugged in, inverter off"}
IN_TRANSIT = "plugged in, during changeover"
TIE_AT_BOARD = ("\ncircuits:", "\n  - bond: [n_bar, W99: 6 mm² 0.2 m, earth_bar]\ncircuits:")
TRANSFORMER = f"  it: {{isolating transformer: 1.6 kW, shore earth: continues, {BOND}}}\n"
ONE_OUTLET = (
    (
        "    F2: {RCBO: 10 A, W13: 5 m in wall duct, sockets: 2 × 16 A tea_corner, place: tea corner, "
        "loads: {kettle: 1 kW heater}}\n",
        "",
    ),
    ("sockets: 4 × 16 A reading_desk", "sockets: 1 × 16 A reading_desk"),
    ("kettle: 0.5 h from 10:30, projector", "projector"),
    ("kettle: 0.7 h from 10:30, projector", "projector"),
)


def bond(**fields: str) -> tuple[str, str]:
    words = {"kind": "fixed", "lands on": "own earth terminal", "allowed by maker": "data sheet"} | {
        name.replace("_", " "): value for name, value in fields.items()
    }
    return BOND, "neutral bond: {" + ", ".join(f"{k}: {v}" for k, v in words.items()) + "}"


HAZARDS = {
    "no bond on the inverter": ((bond(kind="none"),), {"no-bond": ON_INVERTER}),
    "single-pole changeover": (
        ((CHANGEOVER, "transfer switch: 25 A 1P"),),
        # The link inside an inverter stays when it is switched off, and the joined neutrals carry it to the site.
        {
            "two-bonds": {*PLUGGED, IN_TRANSIT, "blackout"},
            "bond-behind-rcd": {*PLUGGED, IN_TRANSIT, "blackout"},
            "neutral-at-pins": {"on the road"},
            "reversed-onto-tie": {*PLUGGED, IN_TRANSIT},
        },
    ),
    "inverter that is not isolated, without bond": (
        (("isolation: isolated", "isolation: not isolated"), bond(kind="none")),
        {"output-without-neutral": ON_INVERTER},
    ),
    "site's neutral on an inverter that is not isolated": (
        (
            ("isolation: isolated", "isolation: not isolated"),
            bond(kind="none"),
            (CHANGEOVER, "transfer switch: 25 A 1P"),
        ),
        {
            "bond-without-neutral": {"plugged in", IN_TRANSIT, "blackout"},
            "output-without-neutral": {"on the road"},
            "neutral-at-pins": {"on the road"},
            "bond-behind-rcd": {"blackout"},
        },
    ),
    "separation of a single outlet, tied behind its residual current device": (
        (bond(kind="none"), *ONE_OUTLET, TIE_AT_BOARD),
        {
            "bond-behind-rcd": ON_INVERTER | PLUGGED,
            "two-bonds": PLUGGED,
            "reversed-onto-tie": PLUGGED,
        },
    ),
    "IT site tied aboard": (
        (
            ("ac supply: 230 V 50 Hz 16 A TN-S", "ac supply: 230 V 50 Hz 16 A IT"),
            ("      fairground: {polarity: may be reversed}\n", ""),
            bond(kind="none"),
            TIE_AT_BOARD,
        ),
        {"isolated-supply-tied": PLUGGED, "bond-behind-rcd": ON_INVERTER},
    ),
    "bond of an inverter that is not isolated": (
        (("isolation: isolated", "isolation: not isolated"),),
        {"bond-without-neutral": set()},
    ),
    "bond forbidden by the maker": ((bond(allowed_by_maker="no"),), {"bond-forbidden": set()}),
    "sockets without residual current device on the inverter": (
        (
            ("QF2: RCBO B10 in AC board", "QF2: breaker B10 2P 6 kA in AC board"),
            ("F1: {RCBO: 10 A, W10", "F1: {breaker: B10 2P 6 kA, W10"),
        ),
        {"socket-without-rcd": ON_INVERTER, "cable-ahead-of-rcd": ON_INVERTER},
    ),
    "residual current device too coarse for sockets": (
        (
            ("QF2: RCBO B10 in AC board", "QF2: RCBO B10 100 mA in AC board"),
            ("F2: {RCBO: 10 A, W13", "F2: {RCBO: 10 A 100 mA, W13"),
        ),
        {"socket-without-rcd": ON_INVERTER},
    ),
    "inverter case not connected to the earth bar": (
        (
            (W8, "  - earth: [earth_bar, W9: 0.8 m, body]"),
            ("[inverter, W5: 0.8 m, QF2", "[inverter, W5: L N 0.8 m, QF2"),
        ),
        {"bond-not-to-earth": ON_INVERTER},
    ),
    "bond on the load side of the inverter's residual current device": (
        (
            bond(kind="none"),
            TIE_AT_BOARD,
        ),
        {
            "bond-behind-rcd": ON_INVERTER | PLUGGED,
            "two-bonds": PLUGGED,
            "reversed-onto-tie": PLUGGED,
        },
    ),
}


REVERSED = {
    "inverter on minus twice": ("[main_plus, F11, W23", "[main_minus, F11, W23"),
    "charger's minus on the plus bar": ("W36: 10 mm² 1.2 m, main_minus]", "W36: 10 mm² 1.2 m, main_plus]"),
    "solar controller's minus on the plus bar": (
        "W37: 6 mm² 1.5 m, main_minus]",
        "W37: 6 mm² 1.5 m, main_plus]",
    ),
    "alarms the wrong way round": (
        "[main_minus, W59: 1.5 mm² 6 m, alarms]",
        "[main_plus, W59: 1.5 mm² 6 m, alarms]",
    ),
}


@pytest.mark.parametrize("name", REVERSED)
def test_exchanged_poles_are_found(name):
    build = studied(REVERSED[name])
    assert "polarity-reversed" in {f.code for f in build.found if f.grade.bars_publication}


def test_current_without_a_way_back_is_found():
    w39 = next(line for line in varied().splitlines() if "W39" in line and "minus:" in line)
    build = studied((w39 + "\n", ""))
    assert {f.where for f in build.found if f.code == "no-way-back"} == {
        ("engine_charger", "starter_battery")
    }


def test_missing_isolators_are_found():
    build = studied(
        ("  Q10: {isolator: 300 A 48 V dc, place: battery locker}\n", ""),
        ("W21: battery cable 0.5 m, Q10, W22: battery cable 0.3 m,", "W21: battery cable 0.8 m,"),
    )
    assert "battery-without-isolator" in {f.code for f in build.found}


#: the findings of the studies of bonding, coverage and supply
CODES = {
    "no-bond",
    "two-bonds",
    "bond-behind-rcd",
    "bond-not-to-earth",
    "bond-without-neutral",
    "bond-forbidden",
    "output-without-neutral",
    "isolated-supply-tied",
    "reversed-onto-tie",
    "live-pins",
    "neutral-at-pins",
    "feeds-dead-site",
    "sources-parallel",
    "socket-without-rcd",
    "cable-ahead-of-rcd",
    "isolation-defeated",
    "make-before-break",
    "socket-without-gfci",
    "conductors-apart",
    "neutral-of-another-source",
}


def upper(build) -> dict[str, set[str]]:
    """Return the findings of the studies of bonding, coverage and supply of the two upper classes, with their states."""
    names = {state.id: state.name for state in build.states}
    found: dict[str, set[str]] = {}
    for finding in build.found:
        if finding.code in CODES and finding.grade in (Grade.DANGER, Grade.POTENTIAL):
            found.setdefault(finding.code, set()).update(names[s] for s in finding.states)
    return found


@pytest.mark.parametrize("name", HAZARDS)
def test_hazard_is_found_in_its_states_and_alone(name):
    replacements, expected = HAZARDS[name]
    assert upper(studied(*replacements)) == expected


def test_clean_example_raises_nothing():
    assert studied().findings == ()
    assert {finding.grade for finding, _ in studied().accepted} <= {Grade.IMPROVEMENT, Grade.INVESTIGATION}


SOUND = {
    "bond relay instead of a fixed link": (bond(kind="closed when inverting"),),
    "link on the earth bar": (bond(lands_on="earth_bar"),),
    "site on TT": (("ac supply: 230 V 50 Hz 16 A TN-S", "ac supply: 230 V 50 Hz 16 A TT"),),
    "site on IT needs no tie": (("ac supply: 230 V 50 Hz 16 A TN-S", "ac supply: 230 V 50 Hz 16 A IT"),),
    "separation of a single outlet": (bond(kind="none"), *ONE_OUTLET),
    "isolating transformer behind an inverter that is not isolated": (
        ("isolation: isolated", "isolation: not isolated"),
        bond(kind="none"),
        ("  body: structure", TRANSFORMER + "  body: structure"),
        ("[inverter, W5: 0.8 m, QF2", "[inverter, W5: 0.8 m, it.primary]\n  - ac:    [it.secondary, W6b: 0.3 m, QF2"),
    ),
    "changeover that rests between its positions": (("rest position: source 2", "rest position: off"),),
}  # fmt: skip


@pytest.mark.parametrize("name", SOUND)
def test_sound_arrangement_raises_nothing(name):
    assert upper(studied(*SOUND[name])) == {}


def test_of_an_isolated_supply_nobody_is_told_of_the_first_fault():
    build = studied(("ac supply: 230 V 50 Hz 16 A TN-S", "ac supply: 230 V 50 Hz 16 A IT"))
    (finding,) = (f for f in build.found if f.code == "first-fault-not-indicated")
    assert finding.grade is Grade.IMPROVEMENT
    assert {build.state(s).name for s in finding.states} == PLUGGED | {IN_TRANSIT}


def test_ties_are_counted():
    build = studied(("25 A 2P", "25 A 1P"), TIE_AT_BOARD)
    counts = {f.where: f.fields["count"] for f in build.found if f.code == "two-bonds"}
    assert counts[("site", "inverter", "W99")] == 3


def test_idle_bond_is_never_a_second_one():
    build = studied()
    plugged = next(s for s in build.states if s.name == "plugged in")
    by_source = {island.sources: island for island in build.islands[plugged.id]}
    assert [tie.at for tie in by_source[("site",)].effective] == ["site"]
    assert by_source[("inverter",)].idle
    assert [(tie.at, tie.effective) for tie in by_source[("inverter",)].ties] == [("inverter", False)]


def test_accepting_does_not_open_the_way_for_the_upper_classes():
    accepted = (
        "\naccepted:\n",
        '\naccepted:\n  - {finding: no-bond, where: inverter, reason: it never happens, date: "2026-01-01"}\n',
    )
    build = studied(bond(kind="none"), accepted)
    assert [f.code for f in build.barred] == ["no-bond"]


def test_variation_refuses_what_is_not_in_the_example():
    with pytest.raises(AssertionError):
        varied(("no such words in it", ""))


def test_open_size_of_an_installed_cable_is_answered_with_the_figure():
    with pytest.raises(NotUsable) as caught:
        studied(("W10: 7 m in wall duct", "W10: auto 7 m in wall duct"))
    (problem,) = caught.value.problems
    text = varied(("W10: 7 m in wall duct", "W10: auto 7 m in wall duct"))
    row = next(n for n, line in enumerate(text.splitlines(), 1) if "W10: auto" in line)
    assert problem.code == "auto installed"
    assert (problem.mark.line, problem.mark.column) == (row, text.splitlines()[row - 1].index("auto") + 1)
    assert "2.5 mm²" in problem.sentence("right") or "1.5 mm²" in problem.sentence("right")
