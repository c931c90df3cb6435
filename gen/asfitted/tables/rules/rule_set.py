"""What a rule set is to a study: limits with their clauses."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from asfitted.tables.looked import Looked


@dataclass(frozen=True)
class RuleSet:
    """The limits and clauses of one body of rules.

    `complete` says whether this version holds all that a study of sizing needs; an incomplete one has no
    limits, and nothing is ever computed under its name. `clauses` maps the name of a check to its clause; an
    empty clause means that the rule set is silent. `limits` maps the name of a limit to its value.
    """

    name: str
    title: str
    complete: bool = False
    clauses: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    limits: Mapping[str, Looked] = field(default_factory=lambda: MappingProxyType({}))

    def clause(self, check: str) -> str:
        """Return the clause of `check`, or an empty text where the rule set is silent."""
        return self.clauses.get(check, "")
