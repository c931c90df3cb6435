"""What each source must deliver in each operating state: the loads as currents at their terminals."""

from collections.abc import Iterable

from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.demand_ac import ac_scenarios
from asfitted.studies.demand_dc import dc_scenarios
from asfitted.studies.scenario import Demand, Scenario


def demand(network: Network, states: Iterable[State]) -> Demand:
    """Return every scenario that differs from the others, in the order of the states."""
    found = Demand()
    seen: set[tuple[object, ...]] = set()
    for state in states:
        for scenario in (*ac_scenarios(found, state), *dc_scenarios(found, state)):
            contacts = tuple(
                sorted(f"{c.a} {c.b}" for c in state.closed if _same_side(scenario, c.conductor))
            )
            key = (scenario.source, scenario.mode, scenario.terminals, scenario.injections, contacts)
            if scenario.injections and key not in seen:
                seen.add(key)
                found.scenarios.append(scenario)
    return found


def _same_side(scenario: Scenario, conductor: str) -> bool:
    return (conductor in ("plus", "minus")) == (scenario.mode != "supply")
