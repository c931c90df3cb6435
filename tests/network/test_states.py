"""Operating states are derived: which there are, where the switches stand, what is live."""

from asfitted.description import conditions
from asfitted.network.model import Network
from asfitted.network.states import State, parse_condition, states

from .builds import HEAD, network_of, sound_but


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
    text = "site unplugged, inverter running"
    assert parse_condition(text) == tuple((c.source, c.condition) for c in conditions.parse(text))
    for kind, words in conditions.CONDITIONS.items():
        for word in words:
            assert parse_condition(f"x {word}") == (("x", word),), kind
    assert parse_condition("site sleeping") == ()


def test_states_come_in_the_same_order_each_time():
    network = sound_but()
    assert [s.conditions for s in states(network)] == [s.conditions for s in states(network)]
    assert [state.id for state in states(network)] == [f"S{n}" for n in range(1, 8)]
