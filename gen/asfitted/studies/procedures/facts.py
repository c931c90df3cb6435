"""What the procedures ask of a network: where a plug comes in, what stands behind it, what feeds what."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from asfitted.description.kinds import (
    AcSupply,
    Alternator,
    Battery,
    BatteryCharger,
    Breaker,
    DcDcCharger,
    Fuse,
    Generator,
    GfciReceptacle,
    Inline,
    Inverter,
    InverterCharger,
    Isolator,
    LoadItem,
    SelectorSwitch,
    SolarArray,
    SupplyInlet,
    TransferSwitch,
)
from asfitted.network.build import input_terminals
from asfitted.network.model import Contact, Item, Network
from asfitted.network.paths import path
from asfitted.network.potentials import Potentials
from asfitted.network.states import State
from asfitted.studies.coverage import residual_a
from asfitted.studies.isolation import potentials_without
from asfitted.studies.procedures.model import Parts, Serves
from asfitted.studies.study import Study


@dataclass(frozen=True)
class Plug:
    """A supply with the inlet through which it comes aboard, the lead, and the first device behind the pins."""

    supply: Item
    inlet: Item
    lead: str
    main: Item | None
    rating_a: float


@dataclass(frozen=True)
class Facts:
    """A studied build as the procedures see it."""

    study: Study

    @property
    def network(self) -> Network:
        """The network."""
        return self.study.network

    @cached_property
    def settled(self) -> tuple[State, ...]:
        """The states in which nothing is on its way."""
        return tuple(state for state in self.study.states if not state.in_transit)

    @cached_property
    def there(self) -> tuple[Item, ...]:
        """The equipment that is there. Of a build that is all on paper, all of it: it is described as it will be."""
        items = tuple(self.network.items.values())
        return tuple(item for item in items if not item.planned) or items

    def kind(self, *kinds: type) -> tuple[Item, ...]:
        """Return the equipment of some kinds that is there."""
        return tuple(item for item in self.there if isinstance(item.spec, kinds))

    def state(self, wanted: dict[str, str]) -> tuple[str, ...]:
        """Return the first state with the given conditions of sources, or nothing; the builder's names go first."""
        fitting = [s for s in self.settled if wanted.items() <= dict(s.conditions).items()]
        named = set(self.network.description.states)
        fitting.sort(key=lambda s: s.name not in named)
        return tuple(s.id for s in fitting[:1])

    def running(self, wanted: dict[str, str]) -> tuple[str, ...]:
        """Return the state as wanted with every inverter running, if it can, and every generator off."""
        still = {item.id: "off" for item in self.generators}
        on = {item.id: "running" for item in self.inverters}
        return self.state(on | still | wanted) or self.state(still | wanted)

    @cached_property
    def plugs(self) -> tuple[Plug, ...]:
        """Every supply that is plugged in."""
        return tuple(
            self._plug(item, self.network.items[inlet])
            for item in self.kind(AcSupply)
            for inlet in self.network.inlets_of[item.id]
        )

    @cached_property
    def fixed(self) -> tuple[Item, ...]:
        """Every supply that cannot be unplugged."""
        leads = self.network.inlets_of
        return tuple(item for item in self.kind(AcSupply) if not leads[item.id])

    @cached_property
    def supplies(self) -> tuple[Item, ...]:
        """Every supply from outside, those that are plugged in first."""
        return (*(plug.supply for plug in self.plugs), *self.fixed)

    def _plug(self, supply: Item, inlet: Item) -> Plug:
        end = f"{inlet.id}.coupler"
        lead = next(
            (
                cable.id
                for cable in self.network.cables.values()
                if any(core.a.startswith(end) or core.b.startswith(end) for core in cable.cores)
            ),
            "",
        )
        assert isinstance(inlet.spec, SupplyInlet)  # noqa: S101  (asked for by kind)
        assert isinstance(supply.spec, AcSupply)  # noqa: S101  (asked for by kind)
        rating = min(float(inlet.spec.rating_a), float(supply.spec.rating_a))
        return Plug(supply, inlet, lead, self.main_of(supply), rating)

    def main_of(self, supply: Item) -> Item | None:
        """Return the first device aboard that can cut off a supply."""
        firsts = (
            way[0]
            for state in self.settled
            if state.condition(supply.id) == "live"
            for consumer in self.consumers
            if (way := self.way(state, supply.id, consumer))
        )
        return next((self.network.items[id_] for id_ in firsts), None)

    @cached_property
    def consumers(self) -> tuple[str, ...]:
        """Everything that consumes alternating current."""
        return tuple(item.id for item in self.network.items.values() if input_terminals(item))

    def way(self, state: State, source: str, consumer: str) -> tuple[str, ...]:
        """Return the switching and protective devices from a source to a consumer in a state, in order."""
        ends = input_terminals(self.network.items[consumer])
        if ends is None or consumer not in state.feeding.get(source, ()):
            return ()
        start = state.ends(source, ends[0])
        steps = path(state, start[0], ends[0]) if start else None
        ids = [
            step.element.equipment
            for step in steps or ()
            if isinstance(step.element, Contact) and step.element.position != "plugged"
        ]
        return tuple(id_ for id_ in dict.fromkeys(ids) if isinstance(self.network.items[id_].spec, Inline))

    @cached_property
    def changeovers(self) -> tuple[Item, ...]:
        """The transfer switches that act by themselves."""
        return tuple(i for i in self.kind(TransferSwitch) if not isinstance(i.spec, SelectorSwitch))

    @cached_property
    def selectors(self) -> tuple[Item, ...]:
        """The switches by which a source is chosen by hand."""
        return self.kind(SelectorSwitch)

    @cached_property
    def combis(self) -> tuple[Item, ...]:
        """The inverter chargers."""
        return self.kind(InverterCharger)

    @cached_property
    def inverters(self) -> tuple[Item, ...]:
        """Everything that makes alternating current from a battery."""
        return self.kind(Inverter)

    @cached_property
    def generators(self) -> tuple[Item, ...]:
        """The generating sets."""
        return self.kind(Generator)

    @cached_property
    def chargers(self) -> tuple[Item, ...]:
        """What charges from alternating current."""
        return (*self.kind(BatteryCharger), *self.combis)

    @cached_property
    def engine_chargers(self) -> tuple[Item, ...]:
        """What charges the house battery from an engine, its own or that of a tow vehicle."""
        return self.kind(DcDcCharger)

    @cached_property
    def alternators(self) -> tuple[Item, ...]:
        """The generators of engines."""
        return self.kind(Alternator)

    @cached_property
    def houses(self) -> tuple[Item, ...]:
        """The house batteries."""
        return tuple(i for i in self.kind(Battery) if getattr(i.spec, "use", "") == "house")

    @cached_property
    def arrays(self) -> tuple[Item, ...]:
        """The solar arrays."""
        return self.kind(SolarArray)

    @cached_property
    def isolators(self) -> tuple[Item, ...]:
        """The isolators that are normally closed, those apart that somebody put into a protective conductor."""
        return tuple(
            item
            for item in self.kind(Isolator)
            if isinstance(item.spec, Isolator)
            and item.spec.normally == "closed"
            and item.spec.contacts != ("PE",)
        )

    def sides(self, item: Item) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return the sources that may stand at source 1 and at source 2 of a changeover."""
        return _sides(self, item)

    def side_of(self, item: Item, source: str) -> str:
        """Return at which side of a changeover a source stands: `source 1`, `source 2`, or neither."""
        first, second = self.sides(item)
        return "source 1" if source in first else "source 2" if source in second else ""

    def behind(self, item: Item) -> str:
        """Return a socket-outlet behind a changeover; empty if there is none."""
        end = f"{item.id}.out.L"
        for state in self.settled:
            for fed in state.feeding.values():
                for id_ in fed:
                    ends = input_terminals(self.network.items[id_])
                    sockets = self.network.items[id_].kind in ("sockets", "GFCI receptacle")
                    if sockets and ends and state.live_potentials.same(ends[0], end):
                        return id_
        return ""

    @staticmethod
    def part(*ids: str) -> Parts:
        """Return equipment as a field of a sentence, by ids."""
        return Parts(tuple(ids))

    def loads(self, duty: str) -> tuple[tuple[str, str, LoadItem], ...]:
        """Return outlet, name and data of every a.c. appliance of a duty."""
        return tuple(
            (item.id, name, load)
            for item in self.there
            if input_terminals(item)
            for name, load in getattr(item.spec, "loads", {}).items()
            if load.duty == duty
        )

    def names(self, duty: str) -> str:
        """Return the names of the a.c. appliances of a duty."""
        return ", ".join(dict.fromkeys(name for _, name, _ in self.loads(duty)))

    def socket(self, source: str) -> str:
        """Return a socket-outlet that a source feeds, to read a voltage at; empty if it feeds none."""
        return next(
            (
                id_
                for state in self.settled
                for id_ in state.feeding.get(source, ())
                if self.network.items[id_].kind in ("sockets", "GFCI receptacle")
            ),
            "",
        )

    @cached_property
    def residual(self) -> tuple[Serves, ...]:
        """Every residual current device with the consumers that it serves in any state."""
        return self._serving(lambda item: residual_a(item) is not None)

    @cached_property
    def breakers(self) -> tuple[Serves, ...]:
        """Every circuit-breaker without residual release, with what it serves, a.c. and d.c."""
        return self._serving(lambda item: isinstance(item.spec, Breaker) and residual_a(item) is None)

    @cached_property
    def fuses(self) -> tuple[Serves, ...]:
        """Every fuse with what it serves."""
        return self._serving(lambda item: isinstance(item.spec, Fuse))

    def _serving(self, wanted: Callable[[Item], bool]) -> tuple[Serves, ...]:
        return tuple(Serves(item.id, self.served(item.id)) for item in self.there if wanted(item))

    def served(self, device: str) -> tuple[str, ...]:
        """Return what loses its supply, or its battery, when a device opens; a device behind it counts as served."""
        there = {item.id for item in self.there}
        served = (*self._served_ac.get(device, ()), *self._served_dc(device))
        return tuple(id_ for id_ in served if id_ in there)

    @cached_property
    def _served_ac(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, list[str]] = {}
        for state in self.settled:
            for source, fed in state.feeding.items():
                for consumer in fed:
                    for device in self.way(state, source, consumer):
                        found.setdefault(device, []).append(consumer)
        for outlet in self.kind(GfciReceptacle):
            found.setdefault(outlet.id, []).append(outlet.id)
        return {device: tuple(dict.fromkeys(consumers)) for device, consumers in found.items()}

    def _served_dc(self, device: str) -> tuple[str, ...]:
        """Return what is parted from every battery, or a source of charge from its battery, by a device."""
        state = self.study.states[0]
        whole, parted = self._dc_whole, potentials_without(state, frozenset({device}))
        batteries = [f"{item.id}.plus" for item in self.network.of_kind("battery")]
        roots = {whole.find(end) for end in batteries}
        left = {parted.find(end) for end in batteries}
        return tuple(
            dict.fromkeys(
                item.id
                for item in self.network.items.values()
                if not isinstance(item.spec, Inline) and item.kind not in ("busbar", "battery")
                for end in item.terminals
                if end.endswith("plus") and whole.find(end) in roots and parted.find(end) not in left
            )
        )

    @cached_property
    def _dc_whole(self) -> Potentials:
        return potentials_without(self.study.states[0], frozenset())


def _sides(facts: Facts, item: Item) -> tuple[tuple[str, ...], tuple[str, ...]]:
    ports = ("ac in.L", "") if isinstance(item.spec, InverterCharger) else ("source 1.L", "source 2.L")
    found = [
        tuple(
            dict.fromkeys(
                source
                for state in facts.settled
                for source in state.sources
                if port
                and state.reaches(source, f"{item.id}.{port}")
                and _before(facts, state, item, port, source)
            )
        )
        for port in ports
    ]
    return (found[0], (item.id,)) if isinstance(item.spec, InverterCharger) else (found[0], found[1])


def _before(facts: Facts, state: State, item: Item, port: str, source: str) -> bool:
    """Tell whether a source reaches a side of a changeover from outside, not through the changeover itself."""
    ends = state.ends(source, f"{item.id}.{port}")
    return bool(ends and path(state, ends[0], f"{item.id}.{port}", without=item.id))


def parts(items: Iterable[Item]) -> Parts:
    """Return equipment as a field of a sentence."""
    return Parts(tuple(item.id for item in items))


def one(item: Item) -> Parts:
    """Return one piece of equipment as a field of a sentence."""
    return Parts((item.id,))
