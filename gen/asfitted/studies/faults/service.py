"""The currents in every way to earth with nothing broken: leakage of filters and cables, and nothing else."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from asfitted.description.values import Size
from asfitted.network.equivalent import contact_id, equivalent
from asfitted.network.model import Network
from asfitted.network.sites import described_sites
from asfitted.network.states import State
from asfitted.studies.faults.stage import Bench, Case, Switched
from asfitted.studies.faults.units import Units

#: below this a way to earth carries nothing that could be measured
NOTHING_A = 5e-7


@dataclass(frozen=True)
class EarthPath:
    """One way to earth: `id` of its branch, the cable or equipment it is part of, and the current in each
    state.
    """

    id: str
    of: str
    kind: str
    current_a: Mapping[str, float]


def earth_paths(
    network: Network, states: Sequence[State], sizes: Mapping[str, Size] | None = None
) -> tuple[EarthPath, ...]:
    """Return every protective conductor, bond and electrode with its current in each state that has a source.

    The supplies are as described and at their highest voltage; a state in transit passes too fast to measure.
    """
    usual = {site.supply: site for site in reversed(described_sites(network))}
    circuit = equivalent(network, usual.values(), "greatest", sizes=sizes)
    bench = Bench(circuit, Units(circuit))
    branches = circuit.circuit.branches
    protective = {core.id for core in network.cores.values() if core.conductor == "PE"}
    protective |= {contact_id(c) for c in network.contacts if c.conductor == "PE"}
    chosen = [
        number
        for number, b in enumerate(branches)
        if b.id in protective or b.kind in ("bond", "electrode", "water") or b.id.endswith("#PE")
    ]
    currents: dict[str, Mapping[int, float]] = {}
    for state in states:
        if state.in_transit or not any(circuit.energised(state)):
            continue
        switched = Switched(state)
        stage = bench.solve([Case(switched, (), (1.0,) * len(bench.adjustable))])
        found = bench.currents_a(stage, chosen)[:, 0]
        on = bench.closed(switched)
        currents[state.id] = {
            n: float(a) for n, a in zip(chosen, found.tolist(), strict=True) if on[n] and a > NOTHING_A
        }
    return tuple(
        EarthPath(
            branches[n].id,
            branches[n].of,
            branches[n].kind,
            {state: of_state[n] for state, of_state in currents.items() if n in of_state},
        )
        for n in chosen
    )
