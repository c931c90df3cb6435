"""Every kind, outcome, verdict, zone and reason that the study can hand on has words; every finding is
complete.
"""

from typing import get_args

import pytest

from asfitted import words
from asfitted.network.states import states
from asfitted.studies.faults.fault import FaultKind
from asfitted.studies.faults.remedies import Cause
from asfitted.studies.faults.result import Outcome, Verdict
from asfitted.studies.faults.study import fault_study
from asfitted.studies.faults.touch import Person
from asfitted.tables.body import Zone
from tests.studies.faults import builds
from tests.studies.faults.hazards import HAZARDS

CLOSED = {
    "remedies": Cause,
    "kinds": FaultKind,
    "outcomes": Outcome,
    "verdicts": Verdict,
    "persons": Person,
    "zones": Zone,
}


@pytest.mark.parametrize("part", CLOSED)
def test_every_word_of_a_closed_row_is_there(part):
    assert set(words.catalogue("faults")[part]) == set(get_args(CLOSED[part]))


@pytest.mark.parametrize("name", list(HAZARDS)[::6])
def test_findings_fill_their_sentences(name):
    edits, _ = HAZARDS[name]
    network = builds.network(builds.changed(builds.VAN, *builds.SOUND, *edits))
    for finding in fault_study(network, states(network)).findings:
        for part in ("title", "message", "why", "remedy"):
            assert "{" not in words.text("findings_faults", f"{finding.code}.{part}", **finding.fields)


def test_the_same_build_gives_the_same_study():
    network = builds.network(builds.changed(builds.VAN, *builds.SOUND))
    found = states(network)
    first, second = fault_study(network, found), fault_study(network, found)
    assert repr(first) == repr(second)
    assert len({result.id for result in first.faults}) == len(first.faults)
    assert {assumption.code for assumption in first.assumptions} == {"circuit-default"}
