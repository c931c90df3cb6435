"""Operating states are derived: which there are, where the switches stand, what is live."""

import pytest

from asfitted.description import conditions
from asfitted.description.load import Loaded, load_text
from asfitted.description.marks import Mark
from asfitted.network.build import build
from asfitted.network.checks import check_names
from asfitted.network.model import Network
from asfitted.network.states import State, parse_condition, states
from asfitted.studies.naming import named

from .builds import HEAD, SOUND, network_of, sound_but


def table(network: Network) -> set[tuple[str, ...]]:
    """Return each state as (conditions of the sources …, positions of the switches …)."""
    return {
        tuple(c for _, c in state.conditions) + tuple(p for _, p in state.positions)
        for state in states(network)
    }


def test_a_supply_with_an_inlet_and_an_inverter_have_seven_states():
    assert table(sound_but()) == {
        ("live", "running", "source 1"),
        ("live", "running", "in transit"),
        ("live", "off", "source 1"),
        ("unplugged", "running", "source 2"),
        ("unplugged", "off", "source 2"),
        ("dead", "running", "source 2"),
        ("dead", "off", "source 2"),
    }


def test_the_preferred_source_and_the_rest_position_decide_where_the_switch_stands():
    prefers_2 = table(sound_but(("rest position: source 2", "rest position: off, preferred: source 2")))
    assert ("live", "running", "source 2") in prefers_2
    assert ("live", "off", "source 1") in prefers_2
    assert ("unplugged", "off", "off") in prefers_2
    stays = table(sound_but(("rest position: source 2", "rest position: stays")))
    assert ("dead", "off", "source 1") in stays


def test_a_selector_switch_can_stand_anywhere():
    switch = "25 A 2P, in: AC board,"
    found = table(
        sound_but((f"{{transfer switch: {switch} rest position: source 2,", f"{{selector switch: {switch}"))
    )
    both_there = {row for row in found if row[:2] == ("live", "running")}
    assert both_there == {("live", "running", position) for position in ("source 1", "off", "source 2")}
    assert {row[2] for row in found if row[:2] == ("live", "off")} == {"source 1", "off"}
    # Behind which everything is dead, one position stands for all: they differ in nothing.
    for site in ("unplugged", "dead"):
        assert len({row for row in found if row[:2] == (site, "off")}) == 1
        assert (site, "running", "source 2") in found


def test_a_supply_without_an_inlet_cannot_be_unplugged():
    text = """
sources:
  grid: {ac supply: 230 V 50 Hz 16 A TN-S, upstream: C16}
equipment: {heater: {kind: load, loads: {heater: 1 kW}}}
runs: [{ac: [grid, W1: 5 m, F1: RCBO C16, W2: 2 m L N, heater]}]
"""
    # Without a board there is no bar for the protective conductor, so the cables name their cores.
    network = network_of(HEAD + text.replace("W1: 5 m", "W1: 5 m L N"))
    assert {state.conditions for state in states(network)} == {(("grid", "live"),), (("grid", "dead"),)}


def state_of(network: Network, site: str, inverter: str, transit: bool = False) -> State:
    return next(
        state
        for state in states(network)
        if dict(state.conditions) == {"site": site, "inverter": inverter} and state.in_transit is transit
    )


def test_what_is_live_in_which_state():
    network = sound_but()
    plugged = state_of(network, "live", "running")
    assert plugged.energised["desk.L"] == ("site",)
    assert plugged.energised["changeover.source 2.L"] == ("inverter",)
    on_battery = state_of(network, "unplugged", "running")
    assert on_battery.energised["desk.L"] == ("inverter",)
    assert "charger.L" not in on_battery.energised
    assert not [t for t in on_battery.energised if t.startswith("inlet.")], "the pins of the plug are dead"
    nothing = state_of(network, "unplugged", "off")
    assert nothing.energised == {}
    in_transit = state_of(network, "live", "running", transit=True)
    assert "desk.L" not in in_transit.energised


def test_names_belong_to_the_states_whose_conditions_they_say():
    names = {state.id: state.name for state in states(sound_but())}
    assert sorted(names.values()) == ["", "", "", "", "on battery", "plugged in", "plugged in"]
    assert names["S1"] == "plugged in"


def test_the_words_of_conditions_are_those_that_the_reader_checks():
    text = "site unplugged, inverter running, changeover source 2"
    assert parse_condition(text) == {
        ("site", "unplugged"), ("inverter", "running"), ("changeover", "source 2"),
    }  # fmt: skip
    possible = {word for words in conditions.CONDITIONS.values() for word in words}
    for state in states(sound_but()):
        assert {condition for _, condition in state.conditions} <= possible


SELECTOR = (
    "{transfer switch: 25 A 2P, in: AC board, rest position: source 2,",
    "{selector switch: 25 A 2P, in: AC board,",
)
BATTERY = "on battery: site unplugged, inverter running"


def loaded_but(*edits: tuple[str, str]) -> Loaded:
    text = SOUND
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return load_text(text)


def names_of(*edits: tuple[str, str]) -> dict[str, tuple[str, ...]]:
    """Return the name of each state -> its conditions and where the changeover stands."""
    loaded = loaded_but(*edits)
    assert loaded.problems == ()
    found = states(build(loaded))
    assert check_names(loaded, found) == []
    return {s.name: (*(c for _, c in s.conditions), s.position("changeover")) for s in named(found)}


def test_a_name_that_fits_several_states_is_followed_by_what_tells_them_apart():
    assert names_of()["plugged in (inverter off)"] == ("live", "off", "source 1")
    found = names_of(SELECTOR)
    assert {name for name in found if name.startswith("on battery")} == {
        "on battery (changeover on source 1)", "on battery (changeover on source 2)",
    }  # fmt: skip
    # Where the switch stands at source 1 or between, the sockets are dead: the two are one state.
    assert len(found) == len(set(found))


def test_a_name_may_say_where_a_switch_stands():
    found = names_of(SELECTOR, (BATTERY, f"{BATTERY}, changeover source 2"))
    assert found["on battery"] == ("unplugged", "running", "source 2")
    assert [name for name in found if name.startswith("on battery")] == ["on battery"]
    off = names_of(SELECTOR, (BATTERY, "all dead: site unplugged, inverter running, changeover off"))
    assert off["all dead"][:2] == ("unplugged", "running"), (
        "alike to the switch at source 1: that state bears it"
    )


def test_the_more_exact_name_counts():
    both = names_of((BATTERY, f"{BATTERY}\n  charging and running: site live, inverter running"))
    assert both["charging and running"] == ("live", "running", "source 1")
    assert both["plugged in"] == ("live", "off", "source 1")


@pytest.mark.parametrize(
    ("edit", "code", "line"),
    [
        ((BATTERY, "on battery: site dead, inverter running, changeover source 1"), "state name fits none", BATTERY),
        ((BATTERY, "on battery: site live, inverter running\n  too: site live, inverter off"), "state name without use",
         "plugged in: site live"),
    ],
)  # fmt: skip
def test_a_name_that_no_state_bears_is_a_problem_at_its_line(edit: tuple[str, str], code: str, line: str):
    loaded = loaded_but(edit)
    (problem,) = check_names(loaded, states(build(loaded)))
    before = SOUND[: SOUND.index(line)].split("\n")
    assert (problem.code, problem.mark) == (code, Mark(len(before), len(before[-1]) + 1))
    assert problem.fields["key"] == line.split(":")[0]


def test_states_come_in_the_same_order_each_time():
    network = sound_but()
    assert [s.conditions for s in states(network)] == [s.conditions for s in states(network)]
    assert [state.id for state in states(network)] == [f"S{n}" for n in range(1, 8)]
