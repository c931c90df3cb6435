"""The table that tells failures apart: at each step the observation that divides what is left best for its
cost.

What needs no tool comes first, as far as it leads; what it leaves open is for a skilled person. A failure
of which a reading may come out either way follows both ways.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

Outcome = tuple[str, ...]
What = TypeVar("What")
F = TypeVar("F")


@dataclass(frozen=True)
class Step(Generic[What, F]):
    """One line of the table: an observation, and where each outcome leads (step numbers); at an end, no
    observation, and the failures that no reading tells apart.

    `left` are the failures that are still possible here.
    """

    number: int
    left: tuple[F, ...]
    observation: What | None = None
    ways: tuple[tuple[Outcome, int], ...] = ()


@dataclass
class Grower(Generic[What, F]):
    """Grows a table. `seen` gives every outcome that an observation may have with a failure; `cost` what an
    observation costs after the one before it (None for the first); those of a lower `tier` come first, whatever they
    tell; `allowed` whether an observation is safe while some failures are possible.
    """

    observations: tuple[What, ...]
    seen: Callable[[What, F], frozenset[Outcome]]
    cost: Callable[[What, What | None], float]
    tier: Callable[[What], int]
    allowed: Callable[[What, tuple[F, ...]], bool]
    _steps: dict[int, Step[What, F]] = field(default_factory=dict)
    _numbers: dict[tuple[F, ...], int] = field(default_factory=dict)

    def grow(self, failures: Iterable[F]) -> tuple[Step[What, F], ...]:
        """Return the steps, the first first; steps at which the same failures are left are one."""
        self._visit(tuple(failures), None)
        return tuple(self._steps[n] for n in sorted(self._steps))

    def _visit(self, left: tuple[F, ...], before: What | None) -> int:
        if left in self._numbers:
            return self._numbers[left]
        number = self._numbers[left] = len(self._numbers) + 1
        best = self._best(left, before)
        if best is None:
            self._steps[number] = Step(number, left)
            return number
        ways = tuple((outcome, self._visit(part, best)) for outcome, part in self.divided(best, left).items())
        self._steps[number] = Step(number, left, best, ways)
        return number

    def divided(self, observation: What, left: tuple[F, ...]) -> Mapping[Outcome, tuple[F, ...]]:
        """Return outcome -> the failures that are possible after it, in the order of the outcomes' failures."""
        parts: dict[Outcome, list[F]] = {}
        for failure in left:
            for outcome in sorted(self.seen(observation, failure)):
                parts.setdefault(outcome, []).append(failure)
        return {outcome: tuple(part) for outcome, part in parts.items()}

    def _best(self, left: tuple[F, ...], before: What | None) -> What | None:
        if len(left) < 2:
            return None
        most = math.log2(len(left))
        for tier in sorted({self.tier(o) for o in self.observations}):
            best, worth = None, 0.0
            of_tier = [
                (self.cost(o, before), n, o) for n, o in enumerate(self.observations) if self.tier(o) == tier
            ]
            for cost, _, observation in sorted(of_tier, key=lambda row: row[:2]):
                if most / cost <= worth:
                    break  # nothing dearer can be worth more
                if self.allowed(observation, left):
                    own = self._gain(observation, left) / cost
                    best, worth = (observation, own) if own > worth else (best, worth)
            if best is not None:
                return best
        return None

    def _gain(self, observation: What, left: tuple[F, ...]) -> float:
        """Return the information in bits, all failures taken as equally likely; 0 where an outcome leaves
        everything possible.
        """
        sizes = [len(part) for part in self.divided(observation, left).values()]
        if len(sizes) < 2 or max(sizes) == len(left):
            return 0.0
        total = sum(sizes)
        return math.log2(len(left)) - sum(size / total * math.log2(size) for size in sizes)
