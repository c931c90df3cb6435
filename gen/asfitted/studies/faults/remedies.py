"""What would be right, chosen by the reason that decides: a remedy for another cause is worse than none."""

from typing import Literal

from asfitted.description.kinds import Inverter
from asfitted.network.model import Network
from asfitted.network.sites import described_sites
from asfitted.studies.faults.result import FaultResult, Touch

Cause = Literal[
    "pins",
    "pins in time",
    "neutral",
    "not isolated",
    "soil",
    "bond behind",
    "no bond",
    "protective conductor",
    "unseen",
    "slow",
    "two bonds",
    "neutral on earth",
    "other neutral",
    "unwanted",
]
#: reasons of a fault that stays, the first that stands decides
_BY_REASON: tuple[tuple[str, Cause], ...] = (
    ("residual-behind", "bond behind"),
    ("residual-no-bond", "no bond"),
)
#: reasons of what opens with nothing broken
_IN_SERVICE: tuple[tuple[str, Cause], ...] = (
    ("service-not-isolated", "not isolated"),
    ("service-two-bonds", "two bonds"),
    ("service-neutral-on-earth", "neutral on earth"),
    ("service-other-neutral", "other neutral"),
)


def cause(network: Network, r: FaultResult) -> Cause:
    """Return what decides that a fault is not cleared, or that something opens in service."""
    codes = {reason.code for reason in r.chain}
    if r.kind == "none":
        return next((found for code, found in _IN_SERVICE if code in codes), "unwanted")
    if touches_pins(r):
        return "pins in time" if r.verdict == "late" else "pins"
    if r.verdict == "late":
        return "slow"
    if r.kind == "neutral broken":
        return "neutral"
    if any(_not_isolated(network, source) for source in r.sources):
        return "not isolated"
    if _through_soil(network, r) and not any(code.startswith("residual-") for code in codes):
        return "soil"
    by_reason = next((found for code, found in _BY_REASON if code in codes), None)
    if by_reason:
        return by_reason
    return "protective conductor" if r.kind.startswith("protective conductor") else "unseen"


def touches_pins(r: FaultResult) -> bool:
    """Tell whether what is touched for longest are the pins of an inlet."""
    touch = longest_touch(r)
    return touch is not None and (".pins." in touch.from_ or ".pins." in touch.to)


def longest_touch(r: FaultResult) -> Touch | None:
    """Return the touch that lasts longest, of several alike that of the highest voltage."""
    return max(r.touch, key=lambda t: (t.time_s, t.across_v), default=None)


def _not_isolated(network: Network, source: str) -> bool:
    spec = network.items[source].spec
    return isinstance(spec, Inverter) and spec.isolation == "not isolated"


def _through_soil(network: Network, r: FaultResult) -> bool:
    return any(
        site.id == r.site
        and site.supply in r.sources
        and (site.spec.earthing in ("TT", "IT") or not site.earthed)
        for site in described_sites(network)
    )
