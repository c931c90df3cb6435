"""From a sound vehicle: every change that makes a hazard is found in its states, odd but sound ones raise
nothing.
"""

import pytest

from asfitted.network.states import states
from asfitted.studies.bonding import islands
from asfitted.studies.bonding_findings import bonding_findings
from asfitted.studies.coverage import coverage
from asfitted.studies.coverage_findings import coverage_findings
from asfitted.studies.faults.study import fault_study
from asfitted.studies.shore_isolation import shore_isolation_findings
from asfitted.studies.sizing import size
from asfitted.studies.supply import supply_findings
from tests.studies.faults import builds
from tests.studies.faults.hazards import HAZARDS, LEFT_TO_SIZING, SOUND

CLEAN = builds.changed(builds.VAN, *builds.SOUND)


def upper(*edits: tuple[str, str]) -> dict[str, set[str]]:
    """Return the findings of the two upper classes, each with the conditions of its states, none in
    transit.
    """
    network = builds.network(builds.changed(CLEAN, *edits))
    found = states(network)
    of_state = {state.id: islands(state) for state in found}
    covered = {state.id: coverage(state, of_state[state.id]) for state in found}
    every = (
        *bonding_findings(network, of_state),
        *coverage_findings(network, found, covered),
        *supply_findings(found),
        *shore_isolation_findings(network, found),
        *fault_study(network, found).findings,
    )
    names = {s.id: " ".join(condition for _, condition in s.conditions) for s in found if not s.in_transit}
    result: dict[str, set[str]] = {}
    for finding in every:
        if finding.grade.bars_publication:
            result.setdefault(finding.code, set()).update(names[s] for s in finding.states if s in names)
    return result


def test_the_vehicle_they_start_from_is_sound():
    assert upper() == {}


@pytest.mark.parametrize("name", HAZARDS)
def test_hazard_is_found_in_its_states_and_nothing_beside_it(name):
    edits, expected = HAZARDS[name]
    assert upper(*edits) == expected


@pytest.mark.parametrize("name", SOUND)
def test_odd_but_sound(name):
    assert upper(*SOUND[name]) == {}


@pytest.mark.parametrize("name", LEFT_TO_SIZING)
def test_what_the_faults_do_not_show_the_sizing_does(name):
    edits, codes = LEFT_TO_SIZING[name]
    assert upper(*edits) == {}
    network = builds.network(builds.changed(CLEAN, *edits))
    barred = {f.code for f in size(network, states(network)).findings if f.grade.bars_publication}
    assert barred == codes


def test_there_are_enough_of_them():
    assert len(HAZARDS) >= 60
    assert len(SOUND) >= 10
