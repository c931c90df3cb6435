"""The build with its cables sized: what every check of a build starts from."""

from collections.abc import Mapping
from dataclasses import dataclass

from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.auto_size import choose, starting_sizes
from asfitted.studies.case_conductors import case_needs_a
from asfitted.studies.demand import demand
from asfitted.studies.earthing_checks import chosen_sizes
from asfitted.studies.feeds import feeds
from asfitted.studies.protection import Feed
from asfitted.studies.scenario import Demand
from asfitted.studies.trial import Trial
from asfitted.tables.rules.rule_set import RuleSet


@dataclass(frozen=True)
class Settled:
    """The trial with every cable sized, what feeds it, the notes on its loads; `governs` maps a cable that was
    sized to the check that governs it.
    """

    trial: Trial
    feeding: tuple[Feed, ...]
    notes: Demand
    governs: Mapping[str, str]


def settle(network: Network, states: tuple[State, ...], rules: RuleSet) -> Settled:
    """Return a build with its cables sized, in its operating states."""
    notes = demand(network, states)
    feeding = feeds(network, states, notes)
    first = Trial(network, rules, starting_sizes(network, rules), tuple(notes.scenarios))
    chosen = choose(first, feeding)
    live = first.with_sizes({**first.sizes, **{id_: size for id_, (size, _) in chosen.items()}})
    trial = live.with_sizes({**live.sizes, **chosen_sizes(live, case_needs_a(live, feeding, states))})
    return Settled(trial, feeding, notes, {id_: check for id_, (_, check) in chosen.items()})
