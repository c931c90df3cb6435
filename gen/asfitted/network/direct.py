"""Operating states of the d.c. side: the engine, what is coupled, the sun, the chargers.

They are an axis of their own. A battery charger, which is fed with a.c. and gives d.c., is the one thing that
joins the two: it charges or it does not. So their number adds to that of the a.c. states and does not multiply it.
Of the combinations those are kept that tell something: at rest, each change alone, and all together.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from asfitted.description.kinds import DcDcCharger, SolarController
from asfitted.network.model import Contact, Item, Network
from asfitted.network.potentials import Potentials
from asfitted.network.states import State, behind_dc_inlet

Condition = tuple[str, str]
CHARGERS = ("battery charger", "inverter charger")
#: conditions in which a thing gives direct current of its own
GIVING = ("running", "live", "sunlit", "charging")


@dataclass(frozen=True)
class DirectState:
    """One operating state of the d.c. side. `conditions` names every source of charge with its condition.

    `changed` are those that tell it from the state at rest, empty for that itself.
    """

    id: str
    network: Network
    conditions: tuple[Condition, ...]
    changed: tuple[Condition, ...] = ()

    def on(self, state: State) -> State:
        """Return an a.c. state with the conditions of this one added, those of its converters among them."""
        named = dict(self.conditions)
        passing = (
            (id_, "charging")
            for id_ in self.sources
            if id_ not in named and self.network.items[id_].kind != "battery"
        )
        return replace(state, direct=(*self.conditions, *passing))

    @cached_property
    def _alone(self) -> State:
        """The contacts as they stand, whatever the a.c. side does: its conditions are left open."""
        positions = tuple(
            (item.id, "off")
            for item in self.network.of_kind("transfer switch", "selector switch", "inverter charger")
        )
        supplies = tuple((item.id, "live") for item in self.network.of_kind("ac supply"))
        return State("", self.network, supplies, positions, direct=self.conditions)  # type: ignore[arg-type]

    @property
    def closed(self) -> tuple[Contact, ...]:
        """The contacts that are closed."""
        return self._alone.closed

    @cached_property
    def potentials(self) -> Potentials:
        """Terminals joined through plus conductors and closed contacts; a converter joins nothing."""
        network = self.network
        pairs = [(core.a, core.b) for core in network.cores.values() if core.conductor == "plus"]
        pairs += [(join.a, join.b) for join in network.joins]
        pairs += [(c.a, c.b) for c in self.closed if c.conductor == "plus"]
        return Potentials(pairs)

    @cached_property
    def sources(self) -> dict[str, str]:
        """Source -> the plus terminal at which it gives direct current in this state."""
        chosen = dict(self.conditions)
        found = {item.id: f"{item.id}.plus" for item in self.network.of_kind("battery")}
        found |= {id_: f"{id_}.plus" for id_, condition in chosen.items() if condition in GIVING}
        for _ in self.network.items:
            passing = {
                item.id: out
                for item in self.network.items.values()
                if item.id not in found and (out := self._passes_on(item, found))
            }
            if not passing:
                break
            found |= passing
        return found

    def _passes_on(self, item: Item, found: dict[str, str]) -> str:
        """Return where a converter gives what it takes, or an empty text while nothing drives it."""
        if isinstance(item.spec, SolarController):
            driven = self._drives(found, f"{item.id}.array.plus", ("solar array",))
            return f"{item.id}.battery.plus" if driven else ""
        if isinstance(item.spec, DcDcCharger):
            inside = f"{item.id}.in.plus"
            engines = ("alternator", "dc supply")
            # one that no engine can ever reach runs whenever its battery does
            kinds = engines if _reachable(self.network, inside, engines) else ("battery",)
            return f"{item.id}.out.plus" if self._drives(found, inside, kinds) else ""
        return ""

    def _drives(self, found: dict[str, str], terminal: str, kinds: tuple[str, ...]) -> bool:
        return any(
            self.network.items[source].kind in kinds and self.potentials.same(end, terminal)
            for source, end in found.items()
        )

    @cached_property
    def energised(self) -> dict[str, tuple[str, ...]]:
        """Terminal -> the sources of direct current that reach it."""
        roots = {source: self.potentials.find(end) for source, end in self.sources.items()}
        found: dict[str, tuple[str, ...]] = {}
        for item in self.network.items.values():
            for terminal in item.terminals:
                root = self.potentials.find(terminal)
                if reaching := tuple(source for source, own in roots.items() if own == root):
                    found[terminal] = reaching
        return found


def _reachable(network: Network, terminal: str, kinds: tuple[str, ...]) -> bool:
    return any(network.plus_closed.same(f"{item.id}.plus", terminal) for item in network.of_kind(*kinds))


def direct_states(network: Network) -> tuple[DirectState, ...]:
    """Return the operating states of the d.c. side, that at rest first; none without a battery or a source."""
    rest, changes = _rest(network), list(_changes(network))
    if not network.of_kind("battery", *(network.items[id_].kind for id_ in rest)):
        return ()
    wanted: list[tuple[Condition, ...]] = [(), *changes]
    together = tuple({id_: (id_, to) for change in changes for id_, to in change if to in GIVING}.values())
    wanted.append(together)
    found: dict[object, DirectState] = {}
    for change in wanted:
        conditions = tuple((rest | dict(change)).items())
        state = DirectState("", network, conditions, change)
        found.setdefault(_alike(state), state)
    return tuple(replace(state, id=f"D{number}") for number, state in enumerate(found.values(), 1))


def _rest(network: Network) -> dict[str, str]:
    """Return source -> its condition when nothing charges: engines off, everything uncoupled, night."""
    rest = {item.id: "stopped" for item in network.of_kind("alternator")}
    rest |= {item.id: "unplugged" for item in network.of_kind("dc supply")}
    portable = _portable(network)
    rest |= {
        item.id: "unplugged" if item.id in portable else "dark" for item in network.of_kind("solar array")
    }
    return rest | {item.id: "idle" for item in network.of_kind(*CHARGERS)}


def _changes(network: Network) -> Iterator[tuple[Condition, ...]]:
    """Yield each change from the state at rest: the sun shines on all arrays at once."""
    for item in network.of_kind("alternator"):
        yield ((item.id, "running"),)
        yield ((item.id, "cranking"),)
    portable = _portable(network)
    for item in network.of_kind("dc supply"):
        yield ((item.id, "live"),)
        if item.id in portable:
            yield ((item.id, "dead"),)
    if arrays := network.of_kind("solar array"):
        yield tuple((item.id, "sunlit") for item in arrays)
    if chargers := network.of_kind(*CHARGERS):
        yield tuple((item.id, "charging") for item in chargers)


def _portable(network: Network) -> frozenset[str]:
    """Return the sources that come in through a d.c. inlet."""
    return frozenset(
        id_ for inlet in network.of_kind("dc inlet") for id_ in behind_dc_inlet(network, inlet.id)
    )


def _alike(state: DirectState) -> object:
    """Return what tells a state from others: what reaches what, and whether the engine is being started.

    Starting the engine tells something only where its battery is then joined with another one.
    """
    cranking = any(
        shares_cranking(state, id_) for id_, condition in state.conditions if condition == "cranking"
    )
    uncoupled = tuple(id_ for id_, condition in state.conditions if condition == "unplugged")
    return tuple(sorted(state.energised.items())), cranking, uncoupled


def shares_cranking(state: DirectState, alternator: str) -> tuple[str, ...]:
    """Return the batteries that start an engine together, if more than one stands at it."""
    end = f"{alternator}.plus"
    joined = [b.id for b in state.network.of_kind("battery") if state.potentials.same(f"{b.id}.plus", end)]
    return tuple(joined) if len(joined) > 1 else ()


def giving(states: Iterable[DirectState]) -> DirectState | None:
    """Return the state in which most sources give, None if there is no state."""
    return max(states, key=lambda state: len(state.sources), default=None)
