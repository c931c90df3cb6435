"""The way of a fault current: a closed round through what carries it, and nothing else."""

from functools import cache

import pytest

from asfitted.description.load import load
from asfitted.studies.faults.route import Route, route, widest
from asfitted.studies.study import Study, study
from tests.conftest import EXAMPLES


@cache
def example() -> Study:
    return study(load(EXAMPLES / "paper_lantern" / "build.yaml"))


def way(state: str, kind: str, at: str) -> tuple[Route, object]:
    build = example()
    id_ = next(s.id for s in build.states if s.name == state)
    result = next(r for r in build.faults.faults if (r.state, r.site, r.kind, r.at) == (id_, "", kind, at))
    found = route(build.network, build.states, result, build.sizing.sizes)
    assert found is not None
    return found, result


def test_a_fault_at_the_reading_desk_on_the_road_goes_round_by_the_link_of_the_inverter():
    found, result = way("on the road", "live to case", "reading_desk.L")
    names = [(step.part, step.of) for step in found.steps]
    assert names == [
        ("source", "inverter"), ("cable", "W5"), ("device", "QF2"), ("cable", "W6"), ("device", "changeover"),
        ("cable", "W7"), ("device", "F1"), ("cable", "W10"), ("fault", ""), ("cable", "W10"), ("cable", "W8"),
        ("bond", "inverter"),
    ]  # fmt: skip
    assert found.current_a == pytest.approx(result.current_a, rel=1e-6)
    assert not found.person


def test_a_touch_is_followed_through_the_person():
    """The current through the body is that of the study, found there with another model of the same port."""
    found, result = way("on the road", "contact welded", "changeover.L source 1")
    parts = [step.part for step in found.steps]
    assert parts.count("person") == 1
    assert parts.count("fault") == 1
    touch = min(result.touch, key=lambda t: t.time_s)
    assert found.current_a == pytest.approx(touch.current_ma / 1000, rel=0.01)


@pytest.mark.parametrize("kind", ["live to case", "live to neutral", "live to structure"])
def test_every_round_holds_one_source_and_every_device_that_clears_it(kind):
    build = example()
    seen = 0
    for result in build.faults.faults:
        if result.kind != kind or result.site or result.outcome != "cleared":
            continue
        found = route(build.network, build.states, result, build.sizing.sizes)
        assert found is not None
        assert [step.part for step in found.steps].count("source") == 1
        through = {step.of for step in found.steps}
        first = {
            o.unit.removesuffix(" upstream") for o in result.opened if o.time_s == result.opened[0].time_s
        }
        assert first <= through
        seen += 1
    assert seen > 20


def test_the_widest_way_prefers_the_greater_current_then_the_fewer_parts():
    def edge(a, b, amperes):
        return (a, b, amperes, None, "device")

    thin = [edge("s", "x", 9.0), edge("x", "t", 1.0)]
    wide = [edge("s", "y", 5.0), edge("y", "z", 5.0), edge("z", "t", 5.0)]
    short = [edge("y", "t", 5.0)]
    assert widest([*thin, *wide], "s", "t") == wide
    assert widest([*thin, *wide, *short], "s", "t") == [wide[0], short[0]]
    assert widest(thin, "s", "nowhere") is None
