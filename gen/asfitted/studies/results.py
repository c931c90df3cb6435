"""What a study hands on: workings and findings, as data without a sentence in them."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Literal

from asfitted.description.marks import START, Mark

Verdict = Literal["holds", "fails", "stated"]


@dataclass(frozen=True)
class Input:
    """One quantity that went into a working: `symbol`, value, unit and where it comes from (a key of `origins` words)."""

    symbol: str
    value: float
    unit: str
    origin: str = ""


@dataclass(frozen=True)
class Limit:
    """What a result is held against: `relation` is how the result must stand to the value."""

    relation: Literal["≤", "≥", "="]
    value: float
    unit: str
    source: str


@dataclass(frozen=True)
class Working:
    """A computed figure with all that a reader needs to compute it again.

    `quantity` is a key of the `workings` words; `formula` is written with the symbols of `inputs`;
    `source` names standard and clause; `verified` says whether the source was read or is from memory.
    """

    subject: str
    quantity: str
    symbol: str
    formula: str
    inputs: tuple[Input, ...]
    result: float
    unit: str
    source: str
    limit: Limit | None = None
    verdict: Verdict = "stated"
    state: str | None = None
    note: str = ""
    verified: Literal["read", "from memory", "assumed"] = "read"

    @property
    def id(self) -> str:
        """The name of the working: stable, unique within a build."""
        return ".".join(part for part in (self.subject, self.quantity, self.state) if part)


class Grade(StrEnum):
    """The classes of a finding, as an inspector codes them."""

    DANGER = "danger present"
    POTENTIAL = "potentially dangerous"
    IMPROVEMENT = "improvement recommended"
    INVESTIGATION = "further investigation"

    @property
    def bars_publication(self) -> bool:
        """Whether an open finding of this class stops publication other than as a draft."""
        return self in (Grade.DANGER, Grade.POTENTIAL)


@dataclass(frozen=True)
class Finding:
    """Something wrong or doubtful about the build; `code` is a key of the `findings` words, `fields` fill its sentences.

    `where` lists the ids of equipment and cables concerned, `states` those of the operating states; empty means all.
    `file` is the file in which `mark` lies, empty for the description.
    """

    code: str
    grade: Grade
    where: tuple[str, ...]
    mark: Mark = START
    states: tuple[str, ...] = ()
    fields: dict[str, object] = field(default_factory=dict)
    clause: str = ""
    working: str = ""
    file: str = ""


@dataclass(frozen=True)
class Assumption:
    """A value nobody gave: what was taken instead and why; `code` is a key of the `assumptions` words."""

    code: str
    where: tuple[str, ...]
    fields: dict[str, object] = field(default_factory=dict)
    source: str = ""


def merge_states(found: Iterable[tuple[str, Finding]]) -> tuple[Finding, ...]:
    """Return each finding once, with all the states in which it was found, in the order of first appearance."""
    merged: dict[tuple[str, tuple[str, ...]], Finding] = {}
    for state, finding in found:
        key = (finding.code, finding.where)
        states = merged[key].states if key in merged else ()
        if state not in states:
            merged[key] = replace(merged.get(key, finding), states=(*states, state))
    return tuple(merged.values())
