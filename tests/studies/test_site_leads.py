"""Leads, adaptors and inlets against what a site can give and the build can ask for."""

import pytest

from asfitted.studies.results import Grade

from .small import TRAILER, VEHICLE, WITH_ADAPTOR, network, sizing

UP = "30 mA type A}"


def site(words):
    return (UP, f"30 mA type A, at: {{pier: {{{words}}}}}}}")


def places(result, code):
    return {id_ for finding in result.findings if finding.code == code for id_ in finding.where}


def new(*edits, of=VEHICLE):
    known = {f.code for f in sizing(of=of).findings}
    return {(f.code, f.grade, f.where) for f in sizing(*edits, of=of).findings if f.code not in known}


def test_an_adaptor_passes_everything_on():
    assert network(of=WITH_ADAPTOR).inlets_of["site"] == ("inlet",)
    plain, coupled = sizing(), sizing(of=WITH_ADAPTOR)
    assert {f.code for f in coupled.findings} == {f.code for f in plain.findings}
    loops = [next(x.loop_ohm for x in s.loops if x.outlet == "desk") for s in (plain, coupled)]
    assert loops[0] == pytest.approx(loops[1])


@pytest.mark.parametrize("thing", ["adaptor", "supply inlet"])
def test_what_is_rated_below_the_device_of_the_usual_site(thing):
    found = new((f"{thing}: 16 A", f"{thing}: 10 A"), of=WITH_ADAPTOR)
    id_ = {"adaptor": "plug", "supply inlet": "inlet"}[thing]
    assert found == {("equipment-not-protected", Grade.POTENTIAL, (id_,))}


def test_a_stronger_site_asks_no_more_than_the_devices_aboard_let_through():
    assert new(site("upstream: C20, prospective fault current: at most 1 kA")) == set()
    found = new(site("upstream: C20"), ("RCBO C16", "RCBO C20"))
    assert ("site-above-lead", Grade.POTENTIAL, ("inlet", "site")) in found


def test_a_stronger_site_may_leave_a_short_circuit_in_the_lead_too_long():
    """0.95 × 230 V over 0.8 ohm and 25 m of 2.5 mm² twice, 7.98 ohm/km at 20 °C (IEC 60228 class 5): 173 A do not
    make a C32 trip at once (320 A, IEC 60898-1); a C16 does at 160 A.
    """
    result = sizing(site("upstream: C32"))
    burnt = next(f for f in result.findings if f.code == "short-circuit-burns" and "W1" in f.where)
    ohm = 0.8 + 2 * 25 * 7.98e-3 * (1 + 0.00393 * 40)
    assert burnt.fields["current_a"] == pytest.approx(0.95 * 230 / ohm, rel=0.01)
    assert burnt.where == ("W1", "pier", "site")
    assert not places(sizing(site("upstream: C16")), "short-circuit-burns")
    assert places(sizing(site("upstream: breaker 32 A")), "short-circuit-not-shown") >= {"W1", "pier"}


def test_an_outlet_of_a_household():
    found = new(site("rating: 10 A, upstream: B16"))
    assert ("outlet-below-demand", Grade.IMPROVEMENT, ("site",)) in found
    assert "outlet-below-demand" not in {code for code, *_ in new(site("rating: 10 A, upstream: B10"))}


# NFPA 70-2017 551.45(C), read: a main overcurrent device not above the supply assembly where there are more than two
# branch circuits
def test_the_main_device_is_no_larger_than_the_cord():
    strong = TRAILER.replace("ac cable: 10 AWG", "ac cable: 8 AWG").replace(
        "transfer switch: 30 A", "transfer switch: 60 A"
    )
    larger = ("GFCI breaker 30 A", "GFCI breaker 40 A")
    assert new(larger, of=strong) == {("main-above-inlet", Grade.POTENTIAL, ("QF1", "inlet"))}
