"""Rule sets by name."""

from collections.abc import Mapping
from types import MappingProxyType

from asfitted.tables.rules import bs7671, cfr33_183, iec60364, iso13297, nfpa70
from asfitted.tables.rules.rule_set import RuleSet

RULE_SETS: Mapping[str, RuleSet] = MappingProxyType(
    {module.RULES.name: module.RULES for module in (iec60364, bs7671, nfpa70, iso13297, cfr33_183)}
)


def rule_set(name: str) -> RuleSet:
    """Return the rule set called `name` in a description; KeyError for an unknown one."""
    return RULE_SETS[name]
