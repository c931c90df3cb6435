"""The same faults played through two builds: what ends worse, what better, what no longer shows itself."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from asfitted.studies.fault_summary import badness, cleared_s, felt_v, severity
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.faults.verdict import LIVE_KINDS

ENDED = ("cleared", "source collapsed")


@dataclass(frozen=True)
class Tally:
    """What the faults of one build come to; each group the worst first. `count` is that of all."""

    results: tuple[FaultResult, ...]

    @property
    def count(self) -> int:
        """How many faults were played."""
        return len(self.results)

    @cached_property
    def not_cleared(self) -> tuple[FaultResult, ...]:
        """Those whose touch voltage nothing ever ends."""
        return _worst_first(r for r in self.results if r.verdict == "stays")

    @cached_property
    def until_touched(self) -> tuple[FaultResult, ...]:
        """Those that wait for somebody's touch."""
        return _worst_first(r for r in self.results if r.verdict == "only when touched")

    @cached_property
    def late(self) -> tuple[FaultResult, ...]:
        """Those that are cleared too late."""
        return _worst_first(r for r in self.results if r.verdict == "late")

    @cached_property
    def lasting(self) -> FaultResult | None:
        """The one with the highest touch voltage that lasts until somebody touches, or longer."""
        return max((*self.not_cleared, *self.until_touched), key=felt_v, default=None)

    @cached_property
    def slowest(self) -> FaultResult | None:
        """The fault of the a.c. side that is switched off last of all that are switched off."""
        ended = [r for r in self.results if r.state and r.outcome in ENDED and cleared_s(r) is not None]
        return max(ended, key=lambda r: cleared_s(r) or 0, default=None)


@dataclass(frozen=True)
class Change:
    """One fault in two builds; `before` is None where only the second has it, `after` where only the first."""

    before: FaultResult | None
    after: FaultResult | None


@dataclass(frozen=True)
class Comparison:
    """How the faults of another build end beside those of the first; each group the worst change first.

    `silent` holds those that were switched off and now stay without a sign, harmless until a second one;
    `alike` counts those that end in the same way.
    """

    worse: tuple[Change, ...]
    better: tuple[Change, ...]
    silent: tuple[Change, ...]
    alike: int
    only_before: int
    only_after: int


def compare(before: Iterable[FaultResult], after: Iterable[FaultResult]) -> Comparison:
    """Compare the results of two builds fault by fault."""
    first, second = {r.id: r for r in before}, {r.id: r for r in after}
    both = [Change(first[id_], second[id_]) for id_ in first if id_ in second]
    gone = [Change(first[id_], None) for id_ in first if id_ not in second]
    new = [Change(None, second[id_]) for id_ in second if id_ not in first]
    changes = [*both, *gone, *new]
    worse = [c for c in changes if _of(c.after) > _of(c.before)]
    better = [c for c in changes if _of(c.after) < _of(c.before)]
    silent = [c for c in both if c.before and c.after and _falls_silent(c.before, c.after)]
    alike = sum(_ends_alike(c.before, c.after) for c in both if c.before and c.after)
    return Comparison(
        tuple(sorted(worse, key=lambda c: badness(c.after) if c.after else (), reverse=True)),
        tuple(sorted(better, key=lambda c: badness(c.before) if c.before else (), reverse=True)),
        tuple(silent),
        alike,
        len(gone),
        len(new),
    )


def _of(result: FaultResult | None) -> int:
    return severity(result) if result else 0


def _falls_silent(before: FaultResult, after: FaultResult) -> bool:
    return before.kind in LIVE_KINDS and before.outcome in ENDED and after.outcome == "no trip expected"


def _ends_alike(before: FaultResult, after: FaultResult) -> bool:
    return (before.outcome, before.verdict) == (after.outcome, after.verdict)


def _worst_first(results: Iterable[FaultResult]) -> tuple[FaultResult, ...]:
    return tuple(sorted(results, key=badness, reverse=True))
