"""What defeats an isolating transformer: any metal from the earth or the conductors ashore to what lies behind it."""

import pytest

from asfitted.network.states import states
from asfitted.studies.results import Finding, Grade
from asfitted.studies.shore_isolation import shore_isolation_findings
from tests.studies.faults import builds
from tests.studies.faults.hazards import BOAT, ON_SITE, PLUGGED_IN, SCREEN_ONLY

CRAFT = builds.changed(builds.VAN, *builds.SOUND, *SCREEN_ONLY, BOAT)


def found(run: str = "", *edits: tuple[str, str]) -> list[tuple[Finding, set[str]]]:
    """Return the findings, each with the conditions of its states, of the craft with one more run."""
    network = builds.network(builds.changed(CRAFT, ("circuits:\n", f"{run}circuits:\n"), *edits))
    every = states(network)
    names = {s.id: " ".join(condition for _, condition in s.conditions) for s in every}
    return [(f, {names[s] for s in f.states}) for f in shore_isolation_findings(network, every)]


@pytest.mark.parametrize(
    ("run", "between", "plugged"),
    [
        ("earth: [shore_earth, W99: 4 mm² 1 m, earth_bar]", ("W99",), PLUGGED_IN),
        ("earth: [inlet.pins, W99: 4 mm² 1 m, body]", ("W99",), PLUGGED_IN),
        (
            "earth: [shore_earth, W98: 4 mm² 1 m, gi: galvanic isolator 16 A, W99: 4 mm² 1 m, body]",
            ("W98", "W99"),
            PLUGGED_IN,
        ),
        ("minus: [battery, W99: 4 mm² 1 m, shore_earth]", ("W99", "W23"), PLUGGED_IN),
        ("bond: [s_neutral, W99: 4 mm² 1 m, earth_bar]", ("W99",), PLUGGED_IN),
        ("N: [s_neutral, W99: 4 mm² 1 m, n_bar]", ("W99",), ON_SITE),
    ],
    ids=["earth bar", "hull", "galvanic isolator", "battery minus", "neutral to earth", "neutral to neutral"],
)
def test_what_goes_round_is_named_in_every_state_in_which_it_does(run, between, plugged):
    ((finding, where),) = found(f"  - {run}\n")
    assert finding.code == "isolation-defeated"
    assert finding.grade is Grade.POTENTIAL
    assert finding.where == ("it", *between)
    assert where == plugged


def test_one_earth_bar_for_both_sides_is_where_they_meet():
    ((finding, _),) = found("", ("earth bar: shore_earth}", "earth bar: earth_bar}"))
    assert finding.where == ("it", "earth_bar")


def test_an_earth_that_ends_at_the_screen_is_sound():
    assert found() == []


def test_a_polarisation_transformer_passes_the_earth_on_by_design():
    assert found("", ("shore earth: ends at the screen", "shore earth: continues")) == []
