"""The build with one choice of sizes: capacities, impedances and currents that follow from it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from asfitted.description.values import METRIC_SIZES_MM2, Size
from asfitted.network.flow import Flow, solve
from asfitted.network.model import Cable, Core, Network
from asfitted.network.states import State
from asfitted.studies.capacity import Capacity, Surroundings, capacity, laid, surroundings
from asfitted.studies.drop import along, core_impedance
from asfitted.studies.feeding import Tree, tree
from asfitted.studies.protection import Abilities
from asfitted.studies.receptacles import receptacles_on
from asfitted.studies.scenario import Scenario
from asfitted.tables.awg import awg_sizes
from asfitted.tables.rules.rule_set import Permitted, RuleSet

#: IEC 60364-5-52 Table 52.2 and 721.524.1 (from memory): copper in power and lighting circuits
LEAST_MM2 = 1.5
LARGEST_MM2 = 240.0
METRIC = tuple(
    Size(mm2=mm2, designation=f"{mm2:g} mm²") for mm2 in METRIC_SIZES_MM2 if LEAST_MM2 <= mm2 <= LARGEST_MM2
)
AWG = tuple(size for size in awg_sizes() if size.mm2 >= LEAST_MM2)


def standard_sizes(network: Network, rules: RuleSet, cable: Cable) -> tuple[Size, ...]:
    """Return the sizes to choose from: AWG where the rules, the reader or the cable itself use them."""
    awg = rules.awg or network.description.build.units == "US"
    return AWG if awg or (cable.size and cable.size.awg) else METRIC


@dataclass(frozen=True)
class Trial:
    """A network whose every cable has a size, and the scenarios it must carry."""

    network: Network
    rules: RuleSet
    sizes: Mapping[str, Size]
    scenarios: tuple[Scenario, ...]
    _trees: dict[tuple[str, str], Tree] = field(default_factory=dict, compare=False, repr=False)

    def with_sizes(self, sizes: Mapping[str, Size]) -> "Trial":
        """Return the same build with other sizes."""
        return Trial(self.network, self.rules, sizes, self.scenarios, self._trees)

    @cached_property
    def around(self) -> dict[str, Surroundings]:
        """Cable id -> its surroundings."""
        return {cable.id: surroundings(self.network, cable) for cable in self.loaded}

    @cached_property
    def loaded(self) -> tuple[Cable, ...]:
        """The cables that carry load current."""
        return tuple(c for c in self.network.cables.values() if c.kind not in ("earth", "bond"))

    def capacity_of(self, cable: Cable, size: Size) -> Capacity:
        """Return the capacity that a cable would have with conductors of `size`."""
        return capacity(cable, size, self.around[cable.id], self.rules)

    @cached_property
    def capacities(self) -> dict[str, Capacity]:
        """Cable id -> capacity at its size."""
        return {cable.id: self.capacity_of(cable, self.sizes[cable.id]) for cable in self.loaded}

    def capacity_a(self, cable: str) -> float:
        """Return the capacity of a cable in A."""
        return self.capacities[cable].current_a

    def permitted_of(self, cable: Cable, size: Size, capacity_a: float) -> Permitted:
        """Return the largest device that may protect a cable if it had conductors of `size`."""
        placed = laid(cable, size, self.around[cable.id])
        return self.rules.permitted(placed, capacity_a, self.receptacles[cable.id])

    def permitted(self, cable: str) -> Permitted:
        """Return the largest device that may protect a cable at its size."""
        return self.permitted_of(self.network.cables[cable], self.sizes[cable], self.capacity_a(cable))

    @property
    def able(self) -> Abilities:
        """What the cables carry, and the devices that may protect them."""
        return Abilities(self.capacity_a, lambda cable: self.permitted(cable).rating_a)

    @cached_property
    def receptacles(self) -> dict[str, int]:
        """Cable id -> the socket-outlets that hang on it without another overcurrent device."""
        return {cable.id: receptacles_on(self.network, cable) for cable in self.loaded}

    def impedance(self, core: Core, ac: bool, size: Size | None = None) -> complex:
        """Return the impedance in ohm of a core at its operating temperature."""
        cable = self.network.cables[core.cable]
        conductor_class = self.network.description.cables[cable.id].conductor_class
        return core_impedance(cable, size or self.sizes[cable.id], conductor_class, ac)

    def trees(self, scenario: Scenario) -> tuple[Tree, Tree]:
        """Return the ways out from the source of a scenario and those back to it."""
        out, back = scenario.terminals
        return self.tree_from(scenario, out), self.tree_from(scenario, back)

    def tree_from(self, scenario: Scenario, terminal: str) -> Tree:
        """Return the ways from a terminal in the state of a scenario."""
        return self.tree_in(scenario.state, terminal)

    def tree_in(self, state: State, terminal: str) -> Tree:
        """Return the ways from a terminal in a state."""
        key = (state.id, terminal)
        if key not in self._trees:
            self._trees[key] = tree(state, terminal)
        return self._trees[key]

    @cached_property
    def flows(self) -> tuple[Flow, ...]:
        """The currents of each scenario, in the order of the scenarios."""
        return tuple(self._flow(scenario) for scenario in self.scenarios)

    def _flow(self, scenario: Scenario) -> Flow:
        ac = scenario.mode == "supply"
        flow = solve(
            scenario.state, scenario.terminals, scenario.injections, lambda core: self.impedance(core, ac)
        )
        return Flow(
            {id_: _held(i, scenario.limit_a) for id_, i in flow.core_a.items()}, flow.drop_v, flow.unreached
        )

    def current_a(self, number: int, cable: Cable) -> complex:
        """Return the greatest current in a core of `cable` in one scenario."""
        currents = self.flows[number].core_a
        return max((currents.get(core.id, 0j) for core in cable.live), key=abs, default=0j)

    def drops(self, number: int) -> dict[str, dict[str, float]]:
        """Return for each consumer of a scenario: core id -> drop in V, out and back."""
        scenario, flow = self.scenarios[number], self.flows[number]
        out, back = self.trees(scenario)
        ac = scenario.mode == "supply"

        def impedance(core: Core) -> complex:
            return self.impedance(core, ac)

        return {
            i.item: along(out, i.out, flow.core_a, impedance, returning=False)
            | along(back, i.back, flow.core_a, impedance, returning=True)
            for i in scenario.injections
            if i.item not in flow.unreached
        }


def _held(current_a: complex, limit_a: float) -> complex:
    """Return a current held to what its source can deliver: more would trip or fold the source back."""
    return current_a if abs(current_a) <= limit_a else current_a * (limit_a / abs(current_a))
