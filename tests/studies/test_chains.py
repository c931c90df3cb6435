"""Chains of overcurrent devices: which lie in series, and which of two opens first."""

import pytest

from asfitted.studies.chains import opens_first_a
from asfitted.studies.faults.curves import breaker, fuse

from .builds import studied


def chain(source, last):
    return next(c for c in studied().sizing.chains if c.source == source and last in c.last)


def test_a_chain_begins_at_the_device_of_the_site_and_ends_at_the_circuit():
    assert chain("site", "F1").devices[0] == "site"
    assert "QF1" in chain("site", "F1").devices
    assert chain("inverter", "F1").devices == ("QF2", "F1")


def test_circuits_with_equal_devices_in_equal_places_share_a_chain():
    small = chain("battery", "F21")
    assert small.devices == ("F10", "F12", "F21")
    assert set(small.last) == {"F21", "F22", "F23", "F27", "F29", "F31"}
    assert chain("battery", "F24") is not small


def test_the_currents_are_those_of_the_table_of_devices():
    faults = {(f.device, f.source): f for f in studied().sizing.device_faults}
    found = chain("battery", "F28")
    assert found.greatest_a == faults["F28", "battery"].greatest_a
    assert found.least_a == faults["F28", "battery"].direct.least_a


def test_a_source_that_limits_its_current_says_so():
    network = studied().network
    assert chain("inverter", "F1").source_limits(network) == (
        18.0,
        0.06,
    )  # "18 A for 60 ms" in the description
    assert chain("site", "F1").source_limits(network) is None


def test_equal_breakers_are_never_selective():
    assert opens_first_a(breaker("C", 16), breaker("C", 16), 3000.0) == ()


def test_magnetic_releases_part_at_the_lower_bound_of_the_larger():
    # IEC 60898-1 Table 7: B trips at once above 5 In, C may above 5 In: B10 has by 50 A, C16 may from 80 A on
    ranges = opens_first_a(breaker("B", 10), breaker("C", 16), 3000.0)
    assert ranges[-1] == pytest.approx((50.0, 80.0), rel=0.01)


def test_nothing_is_promised_beyond_the_greatest_fault():
    found = opens_first_a(breaker("C", 6, direct=True), fuse("T", 60), 200.0)
    assert found
    assert found[-1][1] == pytest.approx(200.0)
