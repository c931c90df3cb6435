"""Residual current devices in series: which of two opens, or whether both may."""

from dataclasses import dataclass
from itertools import pairwise

from asfitted.description.kinds import AcSupply, GfciBreaker, GfciReceptacle, Rcbo, Rcd
from asfitted.network.model import Contact
from asfitted.studies.disconnection import GFCI_A
from asfitted.studies.loops import LoopResult
from asfitted.studies.trial import Trial

#: IEC 60364-5-53 535.3 (from memory): the upstream one delayed, its rating at least three times the other's
RATIO = 3.0


@dataclass(frozen=True)
class RcdPair:
    """Two residual current devices of which one lies behind the other, and the outlets behind both.

    `selective`: the upstream one is delayed and insensitive enough to let the other open first; else both
    may.
    """

    upstream: str
    downstream: str
    selective: bool
    outlets: tuple[str, ...]


@dataclass(frozen=True)
class _Residual:
    id: str
    rated_a: float
    delayed: bool


def rcd_pairs(trial: Trial, found: tuple[LoopResult, ...]) -> tuple[RcdPair, ...]:
    """Return each pair of neighbouring devices on the ways to the outlets."""
    outlets: dict[tuple[_Residual, _Residual], list[str]] = {}
    for loop in found:
        if loop.site:
            continue
        chain = _chain(trial, loop)
        for upstream, downstream in pairwise(chain):
            outlets.setdefault((upstream, downstream), []).append(loop.outlet)
    return tuple(
        RcdPair(a.id, b.id, a.delayed and a.rated_a >= RATIO * b.rated_a, tuple(dict.fromkeys(behind)))
        for (a, b), behind in outlets.items()
    )


def _chain(trial: Trial, loop: LoopResult) -> list[_Residual]:
    """Return the residual current devices from a source to an outlet, that of the site first."""
    chain: list[_Residual] = []
    supply = trial.network.items[loop.source].spec
    if isinstance(supply, AcSupply) and supply.upstream.residual_a:
        chain.append(_Residual(loop.source, supply.upstream.residual_a, delayed=False))
    passed = [e.equipment for e in loop.way if isinstance(e, Contact)]
    for id_ in dict.fromkeys((*passed, loop.outlet)):
        spec = trial.network.items[id_].spec
        if isinstance(spec, Rcd | Rcbo):
            chain.append(_Residual(id_, spec.residual_a, spec.delay == "selective"))
        elif isinstance(spec, GfciBreaker | GfciReceptacle):
            chain.append(_Residual(id_, GFCI_A, delayed=False))
    return chain
