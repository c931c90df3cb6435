"""Troubleshooting of a build: its failures, the table that tells them apart, and those that nobody notices."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from asfitted.studies.commissioning.plan import Subject
from asfitted.studies.troubleshooting.failures import SOUND, Bench, Failure
from asfitted.studies.troubleshooting.observe import COSTS, STATE, Observation, Observer
from asfitted.studies.troubleshooting.play import Workshop
from asfitted.studies.troubleshooting.tree import Grower, Step

TableStep = Step[Observation, Failure]


@dataclass(frozen=True)
class Troubleshooting:
    """What a reader follows. `steps` by number, the first first."""

    observer: Observer
    steps: tuple[TableStep, ...]

    @property
    def failures(self) -> tuple[Failure, ...]:
        """Every failure that was played, the sound build first."""
        return self.observer.workshop.bench.failures

    @cached_property
    def unnoticed(self) -> tuple[Failure, ...]:
        """The failures with which everything that needs no tool looks as in the sound build, in all states."""
        plain = [o for o in self.observer.observations if not o.skilled]
        seen = self.observer.seen
        return tuple(
            failure
            for failure in self.failures
            if failure is not SOUND and all(seen(o, failure) & seen(o, SOUND) for o in plain)
        )

    @cached_property
    def by_number(self) -> dict[int, TableStep]:
        """Every step and end by the number by which others lead to it."""
        return {step.number: step for step in self.steps}

    @cached_property
    def numbers(self) -> dict[int, int]:
        """Those numbers -> the ones that a reader sees: ends have none, what needs no tool comes first."""
        real = [step for step in self.steps if step.observation]
        ordered = sorted(real, key=lambda s: (bool(s.observation and s.observation.skilled), s.number))
        return {step.number: n for n, step in enumerate(ordered, 1)}

    @cached_property
    def without_tools(self) -> tuple[TableStep, ...]:
        """The steps that need no tool, with the ends that they lead to."""
        return tuple(step for step in self.steps if step.observation and not step.observation.skilled)


def troubleshooting(subject: Subject) -> Troubleshooting:
    """Play every failure of a build in its states and grow the table that tells them apart."""
    observer = Observer(subject, Workshop(Bench(subject.instruments.circuit)))
    grower = Grower(
        observations=observer.observations,
        seen=observer.seen,
        cost=_cost,
        tier=lambda o: 2 if o.skilled else int(o.means == "hand"),
        allowed=_allowed,
    )
    return Troubleshooting(observer, grower.grow(observer.workshop.bench.failures))


def _cost(observation: Observation, before: Observation | None) -> float:
    """Return what an observation costs after another one: its means, and a change of state if it asks for one."""
    moved = before is None or before.state != observation.state
    return COSTS[observation.means] + (STATE if moved and observation.state else 0.0)


def _allowed(observation: Observation, left: Iterable[Failure]) -> bool:
    """A tester sends current into the protective conductor: never while that may be open."""
    if observation.code != "residual trip":
        return True
    return all(failure.kind != "protective conductor open" for failure in left)
