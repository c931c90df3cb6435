"""The largest load current through a piece of equipment, and what it must be rated for."""

from dataclasses import dataclass

from asfitted.studies.continuous import required_a
from asfitted.studies.feeding import Tree
from asfitted.studies.trial import Trial


@dataclass(frozen=True)
class Through:
    """The largest current through a piece of equipment, and what it must be rated for: continuous loads may
    count for more.
    """

    load_a: float
    required_a: float


def load_through_a(trial: Trial, item: str) -> float:
    """Return the largest current through a piece of equipment on its feeding side in any scenario."""
    return load_through(trial, item).load_a


def load_through(trial: Trial, item: str) -> Through:
    """Return the largest current through a piece of equipment on its feeding side in any scenario."""
    largest, required = 0.0, 0.0
    for scenario in trial.scenarios:
        out, _ = trial.trees(scenario)
        passing = [
            i
            for i in scenario.injections
            if i.item != item and i.out in out.came and _passes(out, i.out, item)
        ]
        load = min(abs(sum((i.current_a for i in passing), 0j)), scenario.limit_a)
        largest = max(largest, load)
        required = max(required, required_a(trial, scenario, tuple(i.item for i in passing), load))
    return Through(largest, required)


def _passes(tree: Tree, terminal: str, item: str) -> bool:
    return any(tree.network.owner.get(t) == item for t in tree.terminals(terminal))
