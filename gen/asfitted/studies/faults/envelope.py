"""On which sites a vehicle or craft is safe: kinds of supply it may meet, each with and without the site's
device.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from asfitted.description.kinds import AcSupply
from asfitted.description.values import Size
from asfitted.network.equivalent import equivalent
from asfitted.network.model import Network
from asfitted.network.sites import Site
from asfitted.network.states import State
from asfitted.studies.faults.findings import hazards
from asfitted.studies.faults.study import play_states

SiteKind = Literal[
    "TN-S", "TN-C-S", "TT", "IT", "line to line", "reversed polarity", "no protective conductor"
]
Verdict = Literal["safe", "only with the site's device", "do not plug in"]
ROVING = ("road vehicle", "trailer", "boat")


@dataclass(frozen=True)
class SiteVerdict:
    """Whether to plug in at one kind of site; `hazards` are the codes of the findings without its device."""

    supply: str
    kind: SiteKind
    verdict: Verdict
    hazards: tuple[str, ...]


def site_envelope(
    network: Network, states: Sequence[State], sizes: Mapping[str, Size] | None = None
) -> tuple[SiteVerdict, ...]:
    """Return a verdict for each kind of site that each supply of a roving build may meet; empty for a
    building.
    """
    if network.description.build.setting not in ROVING:
        return ()
    return tuple(
        _verdict(network, states, site, kind, sizes)
        for item in network.of_kind("ac supply")
        if isinstance(item.spec, AcSupply)
        for kind, site in _kinds(Site(item.id, item.spec))
    )


def _kinds(site: Site) -> Iterator[tuple[SiteKind, Site]]:
    earthings: tuple[Literal["TN-S", "TN-C-S", "TT", "IT"], ...] = ("TN-S", "TN-C-S", "TT", "IT")
    for earthing in earthings:
        yield earthing, replace(site, name=earthing, spec=site.spec.model_copy(update={"earthing": earthing}))
    plain = replace(site, spec=site.spec.model_copy(update={"earthing": "TN-S"}))
    yield "line to line", replace(plain, line_to_line=True)
    yield "reversed polarity", replace(plain, reversed_=True)
    yield "no protective conductor", replace(plain, earthed=False)


def _verdict(
    network: Network, states: Sequence[State], site: Site, kind: SiteKind, sizes: Mapping[str, Size] | None
) -> SiteVerdict:
    bare = site.spec.upstream.model_copy(update={"residual_a": None, "residual_type": None})
    device = site.spec.upstream.model_copy(update={"residual_a": 0.030, "residual_type": "A"})
    played_bare, played_with = (
        _hazards_at(
            network, states, replace(site, spec=site.spec.model_copy(update={"upstream": upstream})), sizes
        )
        for upstream in (bare, device)
    )
    without = tuple(dict.fromkeys(played_bare))
    barred = next(played_with, None)  # with the site's device the first one tells enough
    verdict: Verdict = "do not plug in" if barred else "only with the site's device" if without else "safe"
    return SiteVerdict(site.supply, kind, verdict, without)


def _hazards_at(
    network: Network, states: Sequence[State], site: Site, sizes: Mapping[str, Size] | None
) -> Iterator[str]:
    """Yield the codes of the hazards of the two upper classes, as the states are played."""
    circuit = equivalent(network, (site,), "least", sizes=sizes)
    plugged = [s for s in states if dict(s.conditions).get(site.supply) == "live" and not s.in_transit]
    for _, result in play_states(circuit, plugged, direct=False):
        for hazard in hazards(network, result):
            if hazard.grade.bars_publication:
                yield hazard.code
