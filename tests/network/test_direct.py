"""Operating states of the d.c. side are derived, and add to the others instead of multiplying them."""

from asfitted.network.direct import DirectState, direct_states

from .builds import linked, trailer


def named(states: tuple[DirectState, ...], *changed: tuple[str, str]) -> DirectState:
    return next(state for state in states if state.changed == changed)


def test_a_trailer_uncoupled_coupled_and_in_the_sun():
    found = direct_states(trailer())
    assert [state.changed for state in found] == [
        (), (("tow", "live"),), (("tow", "dead"),), (("panels", "sunlit"),), (("tow", "live"), ("panels", "sunlit")),
    ]  # fmt: skip
    assert [state.id for state in found] == ["D1", "D2", "D3", "D4", "D5"]


def test_what_is_live_at_the_tow_plug_and_at_the_array():
    found = direct_states(trailer())
    rest = found[0]
    assert rest.energised["plug.pins.plus"] == ("house",), "nothing stands between battery and pins"
    assert "plug.coupler.plus" not in rest.energised
    assert "panels.plus" not in rest.energised
    assert "controller.array.plus" not in rest.energised, "a controller feeds nothing back into its array"
    coupled = named(found, ("tow", "live"))
    assert set(coupled.energised["plug.coupler.plus"]) == {"house", "tow"}
    sunlit = named(found, ("panels", "sunlit"))
    assert sunlit.energised["controller.array.plus"] == ("panels",)
    assert "controller" in sunlit.sources


def test_a_relay_that_closes_while_the_engine_runs_keeps_the_batteries_apart_while_it_is_started():
    found = direct_states(linked())
    rest, running = found[0], named(found, ("alternator", "running"))
    assert rest.energised["relay.out.plus"] == ("house",)
    assert set(running.energised["relay.out.plus"]) == {"house", "starter", "alternator"}
    assert not [state for state in found if ("alternator", "cranking") in state.conditions]


def test_a_link_that_is_always_closed_starts_the_engine_from_both_batteries():
    found = direct_states(linked(("closed when: alternator running, ", "")))
    cranking = named(found, ("alternator", "cranking"))
    assert "alternator" not in cranking.sources
