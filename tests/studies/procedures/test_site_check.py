"""What is said about an unknown supply: never more than the readings can tell."""

import pytest

from asfitted.studies.procedures.facts import Facts
from asfitted.studies.procedures.site_check import opens_one_pole, site_checks
from tests.studies.procedures.builds import built


@pytest.fixture(scope="module", params=["paper_lantern", "slow_heron"])
def check(request):
    (found,) = site_checks(built(request.param))
    return found


def test_one_conductor_for_neutral_and_earth_is_refused(check):
    """BS 7671 709.411.4 bars PME for boats, the ESQCR 9(4) for caravans; the study finds the lost PEN."""
    assert {row.kind: row.use for row in check.earthings}["TN-C-S"] == "refused"


def test_a_reading_never_permits_what_it_cannot_see(check):
    """TN-S, TN-C-S and TT read alike, and so do a missing earth and an isolated supply."""
    use = {row.kind: row.use for row in check.readings}
    assert use["sound"] == "sound"
    assert use["no earth"] == "refused"
    assert "safe" not in use.values()


def test_exchanged_conductors_are_refused_where_one_pole_stays_closed():
    lantern, kiln = Facts(built("paper_lantern")), Facts(built("tin_kiln"))
    assert not opens_one_pole(lantern, lantern.plugs[0])  # every device of the library opens both
    assert opens_one_pole(kiln, kiln.plugs[0])  # those of the pottery open the line alone
