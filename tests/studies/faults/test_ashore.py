"""A boat on blocks: its hull is parted from earth, and whoever touches it stands on the ground."""

from functools import cache
from pathlib import Path

from asfitted.description.load import load_text
from asfitted.network.build import build
from asfitted.network.equivalent import equivalent
from asfitted.network.model import Network
from asfitted.network.states import states
from asfitted.studies.faults.study import combinations_of_sites, play_states

HERON = Path(__file__).resolve().parents[3] / "example_builds" / "slow_heron" / "build.yaml"


@cache
def heron() -> Network:
    return build(load_text(HERON.read_text(encoding="utf-8"), HERON))


def results(ashore: bool) -> list:
    sites = next(c for c in combinations_of_sites(heron()) if any(s.ashore for s in c) is ashore)
    plugged = [s for s in states(heron()) if dict(s.conditions)["shore"] == "live" and not s.in_transit]
    return [r for _, r in play_states(equivalent(heron(), sites, "least"), plugged[:1], direct=False)]


def test_ashore_nothing_flows_into_water_and_nobody_is_in_it():
    found = results(ashore=True)
    assert {r.site for r in found} == {"ashore"}
    assert not [r for r in found if r.into_water_a > 0]
    assert not [t for r in found for t in r.touch if t.person == "in the water"]
    afloat = results(ashore=False)
    assert [r for r in afloat if r.into_water_a > 1]


def test_a_hull_on_blocks_no_longer_shares_the_fault_current_with_the_shore():
    """Afloat the water is a second way back to the site's electrode. On dry blocks there is none: with the lead's
    protective conductor lost a fault puts the site's voltage on the hull (0.95 of 230 V at the least), until a
    touch trips the 30 mA device.
    """
    kind, at = "protective conductor broken and live to case", "W1.PE + inlet.pins.L"
    afloat, ashore = (next(r for r in results(a) if (r.kind, r.at) == (kind, at)) for a in (False, True))
    assert afloat.verdict == "in time"
    assert afloat.into_water_a > 1
    assert ashore.verdict == "only when touched"
    assert max(t.before_v for t in ashore.touch) > 0.95 * 0.95 * 230, "5 % fall in the lead under load"
