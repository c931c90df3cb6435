"""Sources on the same conductors: declared to run in step they are sound, undeclared a danger; so are changeovers
that overlap.
"""

from functools import lru_cache

import pytest

from asfitted.description.load import load_text
from asfitted.studies.results import Grade
from asfitted.studies.study import Study, study
from tests.studies.faults import builds

PARALLEL = "isolation: isolated, parallel: synchronised set,"
#: two inverters of half the power whose outputs meet ahead of one residual current device; one of them has the link
PAIR = (
    ("{inverter: 12 V 2 kW 230 V ac 50 Hz, efficiency: 0.9,\n             output limit: \"22 A",
     "{inverter: 12 V 1 kW 230 V ac 50 Hz, efficiency: 0.9,\n             output limit: \"11 A"),
    ("equipment:\n",
     "  second: {inverter: 12 V 1 kW 230 V ac 50 Hz, efficiency: 0.9, isolation: isolated,\n"
     "           output limit: \"11 A for 0.1 s, then latched off\", neutral bond: {kind: none}}\nequipment:\n"),
    ("  - minus: [battery, W23",
     "  - ac:    [second, W51: L N 0.8 m, QF2]\n  - earth: [second, W52: 70 mm² 1 m, earth_bar]\n"
     "  - plus:  [F10, W53: battery cable 0.9 m, second]\n  - minus: [second, W54: battery cable 1.2 m, battery]\n"
     "  - minus: [battery, W23"),
)  # fmt: skip
#: with case leads that a fuse of 250 A still protects if minus is lost (ABYC E-11: at most 135 %)
VAN = builds.changed(builds.VAN, *builds.SOUND, ("W8: 50 mm² 1 m", "W8: 70 mm² 1 m"))
IN_STEP = (("isolation: isolated,", PARALLEL),)


@lru_cache(maxsize=8)
def studied(*edits: tuple[str, str], text: str = VAN) -> Study:
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return study(load_text(text))


def found(build: Study, code: str) -> dict[tuple[str, ...], set[str]]:
    """Return where a finding stands and the conditions of its states, in the order of the sources."""
    names = {
        s.id: " ".join(condition for _, condition in s.conditions) for s in build.states if not s.in_transit
    }
    return {f.where: {names[s] for s in f.states if s in names} for f in build.found if f.code == code}


def test_two_inverters_on_one_output_are_a_danger_wherever_both_run():
    build = studied(*PAIR)
    (finding,) = (f for f in build.found if f.code == "sources-parallel")
    assert finding.grade is Grade.DANGER
    assert finding.fields["way"] == "W5, W51"
    both = {"live running running", "unplugged running running", "dead running running"}
    assert found(build, "sources-parallel") == {("inverter", "second"): both}


def test_inverters_of_one_synchronised_set_are_sound():
    assert [f for f in studied(*PAIR, *IN_STEP).findings if f.grade.bars_publication] == []


def test_one_declaration_is_not_enough():
    build = studied(*PAIR, ("isolation: isolated,\n           output", f"{PARALLEL}\n           output"))
    assert found(build, "sources-parallel")


@pytest.mark.parametrize(
    ("declared", "code", "grade"),
    [
        ("", "sources-parallel", Grade.DANGER),
        ("parallel: synchronised set, ", "sources-parallel", Grade.DANGER),
        ("parallel: grid parallel certified to EN 50549-1, ", "grid-parallel", Grade.INVESTIGATION),
    ],
)
def test_an_inverter_on_the_grid_side_is_declared_for_it_or_a_danger(declared, code, grade):
    build = studied(
        ("W6: L N 0.4 m, changeover.source 2]", "W6: L N 0.4 m, inlet board]"),
        ("  - ac:    [changeover, W7",
         "  - ac:    [inlet board, W8b: 0.3 m, changeover.source 2]\n  - ac:    [changeover, W7"),
        ("isolation: isolated,", f"isolation: isolated, {declared}"),
    )  # fmt: skip
    (finding,) = (f for f in build.found if f.code in ("sources-parallel", "grid-parallel"))
    assert (finding.code, finding.grade) == (code, grade)
    assert found(build, code) == {("site", "inverter"): {"live running"}}


def test_a_changeover_that_does_not_break_before_it_makes_is_a_danger_where_both_sides_have_voltage():
    build = studied(("preferred: source 1,", "preferred: source 1, break before make: no,"))
    assert found(build, "make-before-break") == {("changeover",): {"live running"}}
    (finding,) = (f for f in build.found if f.code == "make-before-break")
    assert finding.grade is Grade.DANGER


@pytest.mark.parametrize("shown", ["claimed", "data sheet", "measured"])
def test_a_changeover_that_breaks_before_it_makes_raises_nothing(shown):
    build = studied(("preferred: source 1,", f"preferred: source 1, break before make: {shown},"))
    assert found(build, "make-before-break") == {}
