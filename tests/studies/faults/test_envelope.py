"""The kinds of site that the sound vehicle may meet, judged by what protects its lead and its inlet."""

from asfitted.network.states import states
from asfitted.studies.faults.envelope import site_envelope
from tests.studies.faults import builds


def verdicts(*edits: tuple[str, str]) -> dict[str, str]:
    network = builds.network(builds.changed(builds.VAN, *builds.SOUND, *edits))
    return {found.kind: found.verdict for found in site_envelope(network, states(network))}


def test_a_sound_vehicle_depends_on_the_site_where_its_lead_goes_through_soil():
    found = verdicts()
    assert found["TN-S"] == "safe"
    assert found["reversed polarity"] == "safe"
    assert found["IT"] == "safe"
    assert found["TT"] == "only with the site's device"
    assert found["TN-C-S"] == "do not plug in"
    assert found["no protective conductor"] == "do not plug in"


def test_a_building_does_not_rove():
    assert verdicts(("setting: road vehicle", "setting: cabin")) == {}
