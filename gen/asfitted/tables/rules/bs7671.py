"""BS 7671: named, not held in this version."""

from asfitted.tables.rules.rule_set import RuleSet

RULES = RuleSet(name="BS 7671", title="Requirements for Electrical Installations, United Kingdom")
