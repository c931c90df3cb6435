"""Neutral–earth ties of every live neutral island in every operating state, counted by graph search.

An island is all neutral terminals joined to one energised winding through closed contacts; never through earth, soil or
a transformer. Wanted is one effective tie, on the source side of every residual current device of the island.
A tie of a source that feeds nothing is idle, never a second one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal

from asfitted.description.kinds import AcSupply, Generator, Inverter, IsolatingTransformer, Sockets
from asfitted.network.build import output_terminals
from asfitted.network.model import Network
from asfitted.network.paths import path
from asfitted.network.potentials import Potentials
from asfitted.network.states import State, carries_load, is_earth
from asfitted.studies.electrodes import ground_of

RESIDUAL_KINDS = ("RCD", "RCBO", "GFCI breaker")
Measure = Literal["bonded", "IT", "separation"]


@dataclass(frozen=True)
class Tie:
    """A path from the neutral of an island to earth: in a source, or a conductor of the build."""

    at: str
    neutral: str
    earth: str
    effective: bool
    reaches_earth: bool
    source_side_of: tuple[str, ...]
    load_side_of: tuple[str, ...]


@dataclass(frozen=True)
class Island:
    """One live neutral in one state: which sources share it, what they feed, what ties it to earth."""

    state: str
    sources: tuple[str, ...]
    feeds: tuple[str, ...]
    measure: Measure
    ties: tuple[Tie, ...]

    @property
    def idle(self) -> bool:
        """Whether the island is energised and feeds nothing."""
        return not self.feeds

    @property
    def effective(self) -> tuple[Tie, ...]:
        """The ties that count."""
        return tuple(tie for tie in self.ties if tie.effective)


def islands(state: State) -> tuple[Island, ...]:
    """Return the live neutral islands of a state, in the order of the sources."""
    groups: dict[str, list[str]] = {}
    for source in state.sources:
        ends = output_terminals(state.network.items[source])
        if ends is not None:
            groups.setdefault(state.live_potentials.find(ends[1]), []).append(source)
    return tuple(_island(state, root, tuple(sources)) for root, sources in groups.items())


def _island(state: State, root: str, sources: tuple[str, ...]) -> Island:
    feeds = tuple(dict.fromkeys(consumer for source in sources for consumer in state.feeding[source]))
    neutral = output_terminals(state.network.items[sources[0]])
    assert neutral is not None  # noqa: S101  (only sources with terminals are grouped)
    earths = earth_potentials(state)
    wanted = {
        earths.find(f"{consumer}.PE")
        for consumer in feeds
        if f"{consumer}.PE" in state.network.items[consumer].terminals
    }
    ties = tuple(
        Tie(
            at=at,
            neutral=live,
            earth=earth,
            effective=bool(feeds) and (not wanted or earths.find(earth) in wanted),
            reaches_earth=not wanted or earths.find(earth) in wanted,
            source_side_of=tuple(d for d, side in _sides(state, neutral[1], live) if side == "source"),
            load_side_of=tuple(d for d, side in _sides(state, neutral[1], live) if side == "load"),
        )
        for at, live, earth in _ties(state, root)
    )
    return Island(state.id, sources, feeds, _measure(state.network, sources, feeds, ties), ties)


def _measure(
    network: Network, sources: tuple[str, ...], feeds: tuple[str, ...], ties: tuple[Tie, ...]
) -> Measure:
    """Return the protective measure that stands in for a tie: declared IT, or separation of a single outlet.

    Whatever ties an output to earth ends its separation.
    """
    specs = [network.items[source].spec for source in sources]
    if all(isinstance(spec, AcSupply) and spec.earthing == "IT" for spec in specs):
        return "IT"
    only = specs[0] if len(specs) == 1 else None
    isolated = isinstance(only, Generator | IsolatingTransformer) or (
        isinstance(only, Inverter) and only.isolation == "isolated"
    )
    return "separation" if isolated and not ties and _outlets(network, feeds) == 1 else "bonded"


def _outlets(network: Network, feeds: tuple[str, ...]) -> int:
    specs = [network.items[consumer].spec for consumer in feeds]
    return sum(int(spec.count) if isinstance(spec, Sockets) else 1 for spec in specs)


def earth_potentials(state: State) -> Potentials:
    """Return the potentials of the protective conductors: cores, bars, structure, couplers as they are in the state."""
    return protective_potentials(
        state.network, tuple((c.a, c.b) for c in state.closed if c.conductor == "PE")
    )


@cache
def _earth_potentials_of(pairs: tuple[tuple[str, str], ...]) -> Potentials:
    return Potentials(pairs)


def protective_potentials(network: Network, couplers: tuple[tuple[str, str], ...] = ()) -> Potentials:
    """Return the potentials of the protective conductors with the given pairs of terminals joined as well."""
    pairs = [(core.a, core.b) for core in network.cores.values() if core.conductor == "PE"]
    pairs += [(j.a, j.b) for j in network.joins if is_earth(network, j.a) and is_earth(network, j.b)]
    return _earth_potentials_of((*pairs, *couplers))


def _ties(state: State, root: str) -> Iterator[tuple[str, str, str]]:
    """Yield (where, live terminal, earth terminal) of every conductor from the island's potential to earth."""
    network, live = state.network, state.live_potentials
    for bond in network.bonds:
        if state.bond_closed(bond) and live.find(bond.neutral) == root:
            yield bond.equipment, bond.neutral, ground_of(network, bond)
    for core in network.cores.values():
        if carries_load(network, core):
            continue
        for inner, outer in ((core.a, core.b), (core.b, core.a)):
            if not is_earth(network, inner) and live.find(inner) == root:
                yield core.cable, inner, outer
    for join in network.joins:
        for inner, outer in ((join.a, join.b), (join.b, join.a)):
            if is_earth(network, outer) and not is_earth(network, inner) and live.find(inner) == root:
                yield network.owner[inner], inner, outer


def _sides(state: State, source_neutral: str, terminal: str) -> Iterator[tuple[str, str]]:
    """Yield for each residual current device of the island on which side of it a terminal lies."""
    for item in state.network.of_kind(*RESIDUAL_KINDS):
        neutral_in = f"{item.id}.in.N"
        if not state.live_potentials.same(neutral_in, source_neutral):
            continue
        without = path(state, source_neutral, terminal, without=item.id)
        yield item.id, "load" if without is None else "source"
