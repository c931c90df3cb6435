"""What a build does with a failure in it, against what is known of such failures."""

import pytest

from asfitted.studies.commissioning.meters import LOW_IMPEDANCE, VOLTMETER
from asfitted.studies.troubleshooting.failures import SOUND
from asfitted.studies.troubleshooting.play import ALL, NONE
from tests.studies.builds import studied


@pytest.fixture(scope="module")
def table():
    return studied().troubleshooting


def failure(table, kind, at="", conductor=""):
    return next(
        f for f in table.failures if f.kind == kind and at in ("", f.at) and conductor in ("", f.conductor)
    )


def state(table, name):
    return next(s for s in table.observer.states if s.name == name)


def test_a_sound_build_stays_as_it_is_in_every_state(table):
    for each in table.observer.states:
        (ending,) = table.observer.workshop.endings(SOUND, each)
        assert ending.opened == frozenset()
        assert (ending.state.conditions, ending.state.positions) == (each.conditions, each.positions)


def test_two_bonds_trip_the_residual_current_device_ashore(table):
    """procedures T3: with two bonds the neutral current divides, and the device of the site trips on plugging in."""
    ends = table.observer.workshop.endings(
        failure(table, "second bond", "inlet", "pins"), state(table, "plugged in")
    )
    assert {end.opened for end in ends} == {frozenset({"site upstream"})}
    assert all(end.state.position("changeover") == "source 2" for end in ends)


def test_a_missing_link_trips_nothing_on_the_road(table):
    """procedures T2: without a link the output floats, a first fault to earth is silent."""
    missing, road = failure(table, "bond missing"), state(table, "on the road")
    shop = table.observer.workshop
    (ending,) = shop.endings(missing, road)
    assert ending.opened == frozenset()
    assert shop.trips(missing, ending, NONE, ("reading_desk#test",)) == ([], [])
    assert shop.trips(SOUND, ending, NONE, ("reading_desk#test",))[0]


def test_a_floating_output_shows_about_half_to_a_voltmeter_and_next_to_nothing_to_one_that_loads_it(table):
    """procedures T2: N–PE reads about half of L–N; a low-impedance meter tells the ghost."""
    missing, road = failure(table, "bond missing"), state(table, "on the road")
    shop = table.observer.workshop
    (ending,) = shop.endings(missing, road)
    on = shop.mask(missing, ending, NONE)
    ends = "reading_desk.N", "reading_desk.PE"
    assert 70 < shop.volts(ending.state, on, *ends, VOLTMETER) < 150
    assert shop.volts(ending.state, on, *ends, LOW_IMPEDANCE) < 20


def test_a_dead_battery_stops_the_inverter_and_darkens_all_it_feeds(table):
    (ending,) = table.observer.workshop.endings(
        failure(table, "battery dead", "battery"), state(table, "on the road")
    )
    assert ending.state.condition("inverter") == "off"


def test_a_switch_that_stays_leaves_the_other_source_unused(table):
    stays = next(f for f in table.failures if f.stays == ("changeover", "source 1"))
    (ending,) = table.observer.workshop.endings(stays, state(table, "on the road"))
    assert ending.state.position("changeover") == "source 1"


def test_a_loose_terminal_takes_its_share_by_ohms_law(table):
    """5 % of 230 V at 10 A is 1.15 Ω; what the load then takes drops that much across it."""
    loose, plugged = failure(table, "loose terminal", "W13", "L"), state(table, "plugged in")
    shop = table.observer.workshop
    (ending,) = shop.endings(loose, plugged)
    core = shop.bench.plain.network.cores["W13.L"]
    dropped = shop.volts(plugged, shop.mask(loose, ending, ALL), core.a, core.b)
    (sound,) = shop.endings(SOUND, plugged)
    kettle = shop.bench.circuit.circuit.branches[shop.bench.circuit.circuit.index["tea_corner#load"]].r_ohm
    across = shop.volts(plugged, shop.mask(loose, ending, ALL), "tea_corner.L", "tea_corner.N")
    assert dropped == pytest.approx(across / kettle * 1.15, rel=0.06)
    assert shop.volts(plugged, shop.mask(SOUND, sound, ALL), core.a, core.b) < dropped / 5
