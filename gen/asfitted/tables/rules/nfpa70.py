"""NFPA 70: named, not held in this version."""

from asfitted.tables.rules.rule_set import RuleSet

RULES = RuleSet(name="NFPA 70", title="National Electrical Code, United States")
