"""What can be looked at, tried or measured in a build, and what each failure shows there.

The least costly first: a look, then hands, then a plug-in tester, then a meter at a socket-outlet or on the
d.c. side, then covers off with everything dead. Nothing asks for a reading on live a.c. parts behind a cover.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product
from typing import Literal

import numpy as np

from asfitted.network.states import State, names_given
from asfitted.studies.commissioning.meters import LOW_IMPEDANCE, VOLTMETER, Meter
from asfitted.studies.commissioning.plan import Subject, lines_of, pairs_at
from asfitted.studies.troubleshooting.failures import PROTECTS, SWITCHES, TIED_AT, Failure, outlet_end
from asfitted.studies.troubleshooting.play import ALL, NONE, Ending, Mask, Workshop
from asfitted.studies.troubleshooting.tree import Outcome

Means = Literal["look", "hand", "tester", "meter", "direct", "dead"]
#: what an observation costs (house rule); a change of operating state costs STATE besides
COSTS: dict[Means, float] = {"look": 1, "hand": 2, "tester": 4, "meter": 6, "direct": 6, "dead": 10}
STATE = 2.0
#: lamps of a plug-in tester, as a resistance (house rule)
TESTER = Meter("plug-in tester", 100e3)
#: shares of the nominal voltage that part nothing from something, something from full, full from too high;
#: within the margin a reading is taken for either
NOTHING, FULL, HIGH = 0.1, 0.85, 1.15
MARGIN = 0.06
#: from this share of its voltage on an appliance works (house rule)
WORKS = 0.7
#: a voltage that falls by more than this share under load falls too much (house rule, with its margin)
FALLS, FALLS_MARGIN = 0.03, 0.005
#: joined: less than this between two conductors that should be apart, or along one (house rules)
JOINED_OHM, ALONG_OHM, OPEN_OHM = 1e3, 0.5, 50.0
#: on the d.c. side a conductor that takes more than the first share of the voltage is loose, more than the
#: second open (house rules)
LOST, OPEN_SHARE = 0.03, 0.35
#: what parts neutrals besides protective devices
OPENS = ("transfer switch", "selector switch", "inverter charger", "supply inlet", "isolator", "contactor")


@dataclass(frozen=True)
class Observation:
    """One thing to look at, try or measure: `code` is a key of the `troubleshooting` words."""

    code: str
    means: Means
    at: str = ""
    state: str = ""
    detail: str = ""

    @property
    def skilled(self) -> bool:
        """Whether it asks for a tool, and so for a skilled person."""
        return self.means not in ("look", "hand")


@dataclass
class Observer:
    """Says what each failure shows in each observation of a build."""

    subject: Subject
    workshop: Workshop
    _seen: dict[tuple[Observation, str], frozenset[Outcome]] = field(default_factory=dict, repr=False)

    @cached_property
    def states(self) -> tuple[State, ...]:
        """The states to look in: those that the builder has named, else all that last."""
        still = tuple(s for s in self.subject.states if not s.in_transit)
        named = tuple(s for s in still if s.name in names_given(self.subject.network))
        return named or still

    @cached_property
    def _state(self) -> dict[str, State]:
        return {state.id: state for state in self.states}

    @cached_property
    def observations(self) -> tuple[Observation, ...]:
        """Every observation, the least costly first."""
        return (*self._by_eye(), *self._by_hand(), *self._at_sockets(), *self._on_direct(), *self._dead())

    def seen(self, observation: Observation, failure: Failure) -> frozenset[Outcome]:
        """Return every outcome that an observation may have with a failure."""
        key = (observation, failure.id)
        if key not in self._seen:
            self._seen[key] = frozenset(self._outcomes(observation, failure))
        return self._seen[key]

    def _outcomes(self, observation: Observation, failure: Failure) -> Iterator[Outcome]:
        show = getattr(self, f"_show_{observation.code.replace(' ', '_')}")
        if observation.state:
            on_load = {"unplugged": NONE, "one alone": observation.at}.get(observation.code, ALL)
            for ending in self.workshop.endings(failure, self._state[observation.state], on_load):
                yield from show(observation, failure, ending)
        else:
            yield from show(observation, failure, Ending(self.subject.dead))

    # what needs no tool

    def _by_eye(self) -> Iterator[Observation]:
        for state in self.states:
            if state.sources:
                yield Observation("alive", "look", state=state.id)
                yield Observation("levers", "look", state=state.id)
        if self.direct_loads:
            yield Observation("direct alive", "look")
        for state in self.states:
            for source, condition in state.conditions:
                if condition == "running":
                    yield Observation("source runs", "look", source, state.id)

    @cached_property
    def outlets(self) -> tuple[str, ...]:
        """What is fed with alternating current and can be seen to work."""
        return tuple(o for o in self.subject.outlets if self._pairs(o))

    @cached_property
    def levers(self) -> tuple[str, ...]:
        """The devices that can be seen to stand open, those at the outlets of supplies included."""
        items, devices = self.subject.network.items, self.workshop.bench.device.values()
        return tuple(
            d.id
            for d in devices
            if d.id not in items or not (items[d.id].kind == "fuse" or items[d.id].planned)
        )

    @cached_property
    def least_residual_a(self) -> float:
        """The least rated residual current aboard, which is what a tester is set to; 0 where there is none."""
        rated = [self.workshop.rated_residual_a(id_) for id_ in self.subject.network.items]
        return min((a for a in rated if a), default=0.0)

    @cached_property
    def direct_loads(self) -> tuple[str, ...]:
        """What is fed with direct current and can be seen to work."""
        items = self.subject.network.of_kind("load", "sockets")
        return tuple(i.id for i in items if f"{i.id}.plus" in i.terminals and not i.planned)

    def _pairs(self, outlet: str) -> tuple[tuple[str, str], ...]:
        plain = self.workshop.bench.plain
        ends = {c: outlet_end(plain, outlet, c) for c in ("L", "L1", "L2", "N", "PE")}
        there = [f"{outlet}.{c}" for c, end in ends.items() if end in plain.node_of]
        return pairs_at(there, outlet) if lines_of(there, outlet) else ()

    def _volts(
        self, failure: Failure, ending: Ending, outlet: str, pair: tuple[str, str], on_load: str,
        meter: Meter | None = None,
    ) -> float:  # fmt: skip
        """Return the voltage at an outlet as a share of the nominal one."""
        a, b = (outlet_end(self.workshop.bench.plain, outlet, conductor) for conductor in pair)
        found = self.workshop.volts(ending.state, self.workshop.mask(failure, ending, on_load), a, b, meter)
        lines = 2 if pair[1].startswith("L") else 1
        return found / self.workshop.bench.nominal_v / lines

    def _show_alive(self, _: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        dark = [
            (outlet, _either(self._volts(failure, ending, outlet, self._pairs(outlet)[0], ALL), WORKS))
            for outlet in self.outlets
        ]
        for chosen in product(*(sides for _, sides in dark)):
            yield tuple(outlet for (outlet, _), works in zip(dark, chosen, strict=True) if not works)

    def _show_levers(self, _: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        yield tuple(sorted(self.workshop.standing_open(failure, ending)))

    def _show_direct_alive(self, _: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        on = self.workshop.mask(failure, ending, direct=True)
        dark = []
        for load in self.direct_loads:
            usual = self._sound_direct[load]
            share = self.workshop.direct_volts(on, f"{load}.plus", f"{load}.minus") / usual if usual else 1.0
            dark.append((load, _either(share, WORKS)))
        for chosen in product(*(sides for _, sides in dark)):
            yield tuple(load for (load, _), works in zip(dark, chosen, strict=True) if not works)

    @cached_property
    def _sound_direct(self) -> dict[str, float]:
        sound = self.workshop.bench.failures[0]
        on = self.workshop.mask(sound, Ending(self.subject.dead))
        return {
            load: self.workshop.direct_volts(on, f"{load}.plus", f"{load}.minus")
            for load in self.direct_loads
        }

    def _show_source_runs(self, o: Observation, _: Failure, ending: Ending) -> Iterator[Outcome]:
        yield ("runs" if ending.state.condition(o.at) == "running" else "stands still",)

    def _by_hand(self) -> Iterator[Observation]:
        for state in self.states:
            if state.sources:
                yield Observation("unplugged", "hand", state=state.id)
                for outlet in self.outlets:
                    if outlet in self.subject.sockets:
                        yield Observation("one alone", "hand", outlet, state.id)
                for device in self._buttons:
                    yield Observation("button", "hand", device, state.id)

    @cached_property
    def _buttons(self) -> tuple[str, ...]:
        node = self.workshop.bench.circuit.node_of
        return tuple(
            item.id
            for item in self.subject.network.items.values()
            if self.workshop.rated_residual_a(item.id) and not item.planned and f"{_inside(item.id, node)}.N" in node
        )  # fmt: skip

    def _show_unplugged(self, _: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        """What had opened without a cause that lasts is set again and holds."""
        open_ = self.workshop.standing_open(failure, ending)
        cured = {failure.at} if failure.kind == "device open" else set()
        yield tuple(sorted(open_ - cured))

    _show_one_alone = _show_unplugged

    def _show_button(self, o: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        if o.at in self.workshop.standing_open(failure, ending):
            yield ("stands open",)
            return
        node = self.workshop.bench.circuit.node_of
        on = self.workshop.mask(failure, ending)
        port = _inside(o.at, node)
        line = next(c for c in ("L", "L1", "L2") if f"{port}.{c}" in node)
        share = self.workshop.volts(ending.state, on, f"{port}.{line}", f"{port}.N", LOW_IMPEDANCE)
        for there in _either(share / self.workshop.bench.nominal_v, WORKS):
            yield ("opens" if there else "stays",)

    # with a tool, at socket-outlets

    def _at_sockets(self) -> Iterator[Observation]:
        sockets = [o for o in self.outlets if o in self.subject.sockets]
        fed: set[tuple[str, str]] = set()
        for state in self.states:
            for outlet in sockets:
                sources = {(outlet, s) for s, consumers in state.feeding.items() if outlet in consumers}
                if sources <= fed:
                    continue  # what feeds it there has fed it in an earlier state
                fed |= sources
                yield Observation("lamps", "tester", outlet, state.id)
                for pair in self._pairs(outlet):
                    yield Observation("volts", "meter", outlet, state.id, "-".join(pair))
                if ("N", "PE") in self._pairs(outlet):
                    yield Observation("volts", "meter", outlet, state.id, "N-PE loaded")
                yield Observation("drop", "meter", outlet, state.id)
                if f"{outlet}#test" in self.workshop.bench.circuit.circuit.index:
                    yield Observation("residual trip", "meter", outlet, state.id)
        for outlet in sockets if self.subject.bars else ():
            yield Observation("earth", "meter", outlet)

    def _show_lamps(self, o: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        pairs = self._pairs(o.at)
        lit = [_either(self._volts(failure, ending, o.at, pair, NONE, TESTER), WORKS) for pair in pairs]
        for chosen in product(*lit):
            yield tuple("–".join(pair) for pair, on in zip(pairs, chosen, strict=True) if on)

    def _show_volts(self, o: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        pair, _, loaded = o.detail.partition(" ")
        a, _, b = pair.partition("-")
        share = self._volts(failure, ending, o.at, (a, b), NONE, LOW_IMPEDANCE if loaded else VOLTMETER)
        bands = ("nothing", "between", "full", "too high")
        edges = (0.0, NOTHING, FULL, HIGH, float("inf"))
        for name, low, high in zip(bands, edges, edges[1:], strict=False):
            if low * (1 - MARGIN) <= share <= high * (1 + MARGIN):
                yield (name,)

    def _show_drop(self, o: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        pair = self._pairs(o.at)[0]
        empty, full = (self._volts(failure, ending, o.at, pair, loads) for loads in (NONE, ALL))
        if empty < WORKS:
            yield ("no voltage",)
            return
        fall = (empty - full) / empty
        if fall <= FALLS + FALLS_MARGIN:
            yield ("little",)
        if fall >= FALLS - FALLS_MARGIN:
            yield ("much",)

    def _show_residual_trip(self, o: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        if self._volts(failure, ending, o.at, self._pairs(o.at)[0], NONE) < WORKS:
            yield ("no voltage",)
            return
        surely, maybe = self.workshop.trips(failure, ending, NONE, (f"{o.at}#test",))
        if surely or maybe:
            yield ("trips",)
        if not surely:
            yield ("holds",)

    def _ohms(self, on: Mask, a: str, b: str) -> float:
        node = self.workshop.bench.circuit.node_of
        system, _ = self.workshop.direct(on)
        port = node[a], node[b]
        if port[0] == port[1]:
            return 0.0
        found = system.voltage(system.of_ports([port]), *port)[0]
        return float("inf") if np.isnan(found) else abs(float(found.real))

    def _show_earth(self, o: Observation, failure: Failure, ending: Ending) -> Iterator[Outcome]:
        on = self.workshop.mask(failure, ending, NONE)
        yield _along(self._ohms(on, f"{o.at}.PE", self.subject.bars[0]))

    # with a tool, on the d.c. side

    def _on_direct(self) -> Iterator[Observation]:
        for battery in self.subject.network.of_kind("battery"):
            yield Observation("battery volts", "direct", battery.id)
        cores = (c for c in self.workshop.bench.cores if c.conductor in ("plus", "minus"))
        for cable in dict.fromkeys(core.cable for core in cores):
            yield Observation("along", "direct", cable)
        for item in self.subject.network.items.values():
            if item.kind in PROTECTS and not item.planned and self._poles(item.id, ("plus", "minus")):
                yield Observation("across", "direct", item.id)

    def _poles(self, device: str, conductors: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
        contacts = self.subject.network.contacts
        return tuple((c.a, c.b) for c in contacts if c.equipment == device and c.conductor in conductors)

    @cached_property
    def _working(self) -> Ending:
        """The state in which the batteries work hardest: everything on, as little as can be from outside."""
        states = [s for s in self.subject.states if not s.in_transit]
        values = [[c for _, c in s.conditions] for s in states]
        best = max(
            range(len(states)), key=lambda n: (values[n].count("running"), values[n].count("unplugged"))
        )
        return Ending(states[best])

    def _direct_share(self, failure: Failure, a: str, b: str) -> float:
        """Return a direct voltage as a share of that of the strongest battery, everything on."""
        on = self.workshop.mask(failure, self._working, direct=True)
        return self.workshop.direct_volts(on, a, b) / self.battery_v

    @cached_property
    def battery_v(self) -> float:
        """The voltage of the strongest battery."""
        branches = self.workshop.bench.circuit.circuit.branches
        return max((abs(b.emf_dc_v) for b in branches if b.emf_dc_v and not b.source), default=1.0)

    def _show_battery_volts(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        share = self._direct_share(failure, f"{o.at}.plus", f"{o.at}.minus")
        yield ("there" if share > NOTHING else "nothing",)

    def _show_along(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        lost = []
        for core in self.workshop.bench.cores:
            if core.cable == o.at and core.conductor in ("plus", "minus"):
                share = self._direct_share(failure, core.a, core.b)
                if share > LOST:
                    lost.append(f"{core.conductor} {'all' if share > OPEN_SHARE else 'some'}")
        yield tuple(lost)

    def _show_across(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        share = max(self._direct_share(failure, *ends) for ends in self._poles(o.at, ("plus", "minus")))
        yield ("voltage" if share > OPEN_SHARE else "none",)

    # covers off, everything dead

    def _dead(self) -> Iterator[Observation]:
        network = self.subject.network
        for cable in dict.fromkeys(core.cable for core in self.workshop.bench.cores):
            yield Observation("ends", "dead", cable)
        for device in self.workshop.bench.device.values():
            if device.id in network.items and network.items[device.id].kind in PROTECTS:
                yield Observation("poles", "dead", device.id)
        for switch in network.of_kind(*SWITCHES):
            yield Observation("through", "dead", switch.id)
        for neutral, earth in self._apart:
            yield Observation("neutral earth", "dead", neutral, detail=earth)
        for outlet in self.outlets:
            if f"{outlet}.PE" in self.workshop.bench.circuit.node_of:
                yield Observation("line earth", "dead", outlet)

    def _show_ends(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        """A conductor is measured with one end off, so that nothing beside it counts."""
        if failure.at != o.at or not failure.conductor:
            yield ()
        else:
            yield (f"{failure.conductor} {'high' if failure.kind == 'loose terminal' else 'open'}",)

    def _show_poles(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        yield ("open" if failure.kind == "device open" and failure.at == o.at else "closed",)

    def _show_through(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        """Where a switch stands at rest, and where after its first source has been there."""
        stays = failure.stays[1] if failure.stays and failure.stays[0] == o.at else "moves"
        yield (stays,)

    @cached_property
    def _apart(self) -> tuple[tuple[str, str], ...]:
        """Neutral and earth at every place at which they may be tied, and at every link."""
        bench, found = self.workshop.bench, {}
        for bond in bench.plain.network.bonds:
            ashore = bench.plain.network.items[bond.equipment].kind == "ac supply"
            if not ashore and bond.earth in bench.plain.node_of and bond.neutral in bench.plain.node_of:
                found[bond.neutral] = bond.earth
        for place in bench.places.positions:
            kind = bench.plain.network.items[place.owner].kind
            if kind in TIED_AT and place.neutral and place.case:
                found.setdefault(place.neutral, place.case)
        return tuple(found.items())

    def _apart_mask(self, failure: Failure) -> Mask:
        """Return what conducts with every device and switch open, everything unplugged and nothing
        inverting.
        """
        on = self.workshop.mask(failure, Ending(self.subject.dead), NONE)
        circuit, items = self.workshop.bench.circuit, self.subject.network.items
        for number, contact in enumerate(self.subject.network.contacts):
            kind = items[contact.equipment].kind
            if contact.conductor != "PE" and (kind in PROTECTS or kind in OPENS):
                on[circuit.contact_of[number]] = False
        return on

    def _show_neutral_earth(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        ohm = self._ohms(self._apart_mask(failure), o.at, o.detail)
        yield ("joined" if ohm < JOINED_OHM else "apart",)

    def _show_line_earth(self, o: Observation, failure: Failure, _: Ending) -> Iterator[Outcome]:
        on = self._apart_mask(failure)
        node = self.workshop.bench.circuit.node_of
        ohm = min(self._ohms(on, f"{o.at}.{line}", f"{o.at}.PE") for line in lines_of(node, o.at))
        yield ("joined" if ohm < JOINED_OHM else "apart",)


def _inside(device: str, node: object) -> str:
    """Return the side of a device from which its button is fed."""
    return f"{device}.out" if f"{device}.out.N" in node else device  # type: ignore[operator]


def _either(share: float, edge: float) -> tuple[bool, ...]:
    """Return whether a share lies above an edge; both, where a reader might take it for either."""
    if abs(share - edge) <= MARGIN * edge:
        return (False, True)
    return (share > edge,)


def _along(ohm: float) -> Outcome:
    if ohm < ALONG_OHM:
        return ("low",)
    return ("high",) if ohm < OPEN_OHM else ("open",)
