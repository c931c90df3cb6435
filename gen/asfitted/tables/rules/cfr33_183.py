"""33 CFR 183: named, not held in this version."""

from asfitted.tables.rules.rule_set import RuleSet

RULES = RuleSet(name="33 CFR 183", title="Boats and associated equipment, electrical systems, United States")
