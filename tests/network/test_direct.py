"""Operating states of the d.c. side are derived, and add to the others instead of multiplying them."""

from asfitted.network.direct import DirectState, direct_states
from asfitted.network.model import Network

from .builds import HEAD, network_of

TRAILER = """
defaults: {fuse T: 125 V dc 20 kA}
sources:
  tow: {dc supply: 12 V 25 A}
  house: {battery: lead-acid AGM 12 V 100 Ah}
  panels: {solar array: 200 W, open-circuit voltage: 40 V, short-circuit current: 6 A}
equipment:
  plug: {dc inlet: 25 A}
  controller: {solar controller: 100 V 15 A}
  frame: structure
runs:
  - plus: [tow, F60: fuse T 30 A, W60: 6 mm² 5 m, plug, W61: 6 mm² 4 m, F61: fuse T 30 A, W62: 6 mm² 0.3 m, house]
  - minus: [tow, W63: 6 mm² 5 m, plug, W64: 6 mm² 4 m, house]
  - minus: [house, W65: 6 mm² 1 m, frame]
  - dc: [panels, W70: 4 mm² 3 m, controller.array]
  - plus: [controller.battery, W71: 4 mm² 1 m, F71: fuse T 20 A, W72: 4 mm² 1 m, house]
  - minus: [controller.battery, W73: 4 mm² 1 m, house]
"""
HEAD_WITHOUT_DEFAULTS = HEAD[: HEAD.index("defaults:")]

LINK = """
sources:
  alternator: {alternator: 14 V 90 A}
  starter: {battery: lead-acid AGM 12 V 90 Ah, use: starter}
  house: {battery: lead-acid AGM 12 V 200 Ah}
equipment:
  relay: {contactor: 100 A 1P, closed when: alternator running, contacts: [plus]}
  frame: structure
runs:
  - plus: [alternator, W41: 25 mm² 1.5 m, starter]
  - minus: [alternator, W43: 25 mm² 0.5 m, frame]
  - minus: [starter, W42: 25 mm² 0.6 m, frame]
  - minus: [house, W44: 25 mm² 0.6 m, frame]
  - plus: [starter, F20: fuse T 80 A 125 V dc 20 kA, W47: 25 mm² 2 m, relay]
  - plus: [relay, W48: 25 mm² 2 m, F21: fuse T 80 A 125 V dc 20 kA, house]
"""


def trailer() -> Network:
    text = TRAILER.replace("fuse T: 125 V dc 20 kA}", "fuse T: 125 V dc 20 kA, dc cable: 4 mm²}")
    return network_of(HEAD_WITHOUT_DEFAULTS + text)


def linked(*edits: tuple[str, str]) -> tuple[DirectState, ...]:
    text = HEAD + LINK
    for find, write in edits:
        assert text.count(find) == 1, find
        text = text.replace(find, write)
    return direct_states(network_of(text))


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
    found = linked()
    rest, running = found[0], named(found, ("alternator", "running"))
    assert rest.energised["relay.out.plus"] == ("house",)
    assert set(running.energised["relay.out.plus"]) == {"house", "starter", "alternator"}
    assert not [state for state in found if ("alternator", "cranking") in state.conditions]


def test_a_link_that_is_always_closed_starts_the_engine_from_both_batteries():
    found = linked(("closed when: alternator running, ", ""))
    cranking = named(found, ("alternator", "cranking"))
    assert "alternator" not in cranking.sources
