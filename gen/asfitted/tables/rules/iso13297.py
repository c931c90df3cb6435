"""ISO 13297: named, not held in this version."""

from asfitted.tables.rules.rule_set import RuleSet

RULES = RuleSet(name="ISO 13297", title="Small craft: electrical systems")
