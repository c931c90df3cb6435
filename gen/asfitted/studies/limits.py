"""Limits of voltage drop for a consumer in a scenario."""

from typing import Literal

from asfitted.description.kinds import Load, Sockets
from asfitted.network.model import Network
from asfitted.studies.scenario import Scenario
from asfitted.tables.looked import Looked
from asfitted.tables.rules.rule_set import RuleSet

DESCRIBED = "build description"


def drop_limit(network: Network, rules: RuleSet, scenario: Scenario, item: str) -> Looked:
    """Return the limit of the drop from the source of `scenario` to `item`, in per cent.

    The builder's own limit goes first. Supplies from outside count as public, inverters and generators as
    private. On d.c. converters and chargers count as critical: they see the drop twice, as loss and as a
    wrong reading of the battery.
    """
    build = network.description.build
    ac = scenario.mode == "supply"
    own = build.ac_drop_limit if ac else build.dc_drop_limit
    if own is not None:
        return Looked(float(own) * 100, DESCRIBED, "read")
    spec = network.items[item].spec
    if not ac:
        return rules.drop_limit("dc", "other" if isinstance(spec, Load) else "critical")
    kind = network.items[scenario.source].kind
    supply: Literal["public", "private"] = (
        "public" if kind in ("ac supply", "isolating transformer") else "private"
    )
    loads = spec.loads.values() if isinstance(spec, Load | Sockets) else ()
    lighting = bool(loads) and all(load.duty == "lighting" for load in loads)
    return rules.drop_limit(supply, "lighting" if lighting else "other")
