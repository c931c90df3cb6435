"""Where power comes from while the build is plugged in, on its generator, or on its own, by the network."""

from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import (
    AcSupply,
    BatteryCharger,
    DcDcCharger,
    Generator,
    InverterCharger,
    SolarController,
)
from asfitted.network.build import input_terminals
from asfitted.network.direct import direct_states
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.energy.bank import Bank

Mode = Literal["site", "generator", "battery"]


@dataclass(frozen=True)
class Modes:
    """One operating state for each way of living; None where the build has no such source.

    In these three every d.c. contact that may be closed is. `resting` is the battery's with the engine off and nothing
    that charges: what a link to the starter battery joins while driving is apart in it.
    """

    site: State | None
    generator: State | None
    battery: State | None
    resting: State | None

    def state(self, mode: Mode) -> State | None:
        """Return the state of a mode."""
        return {"site": self.site, "generator": self.generator, "battery": self.battery}[mode]


@dataclass(frozen=True)
class ChargerAt:
    """A charger as it runs in a mode: from which source of a.c., into which bank."""

    charger: str
    source: str
    bank: str


def modes(network: Network, states: tuple[State, ...]) -> Modes:
    """Return the states that stand for being plugged in, on the generator, and on the battery, inverters running."""
    settled = [state for state in states if not state.in_transit]

    def pick(live: type | None) -> State | None:
        fitting = [state for state in settled if _supplied_by(network, state) == live]
        return max(fitting, key=lambda state: _on_its_own(network, state), default=None)

    battery = pick(None)
    rest = next((direct for direct in direct_states(network) if not direct.changed), None)
    resting = rest.on(battery) if battery is not None and rest is not None else battery
    return Modes(pick(AcSupply), pick(Generator), battery, resting)


def _supplied_by(network: Network, state: State) -> type | Literal["both"] | None:
    """Return which kind of source from outside the battery is on; two at once stand for no mode."""
    kinds = {
        type(network.items[id_].spec)
        for id_, condition in state.conditions
        if condition in ("live", "running") and isinstance(network.items[id_].spec, AcSupply | Generator)
    }
    return "both" if len(kinds) > 1 else next(iter(kinds), None)


def _on_its_own(network: Network, state: State) -> tuple[int, int, int]:
    """Order states of one mode: inverters running, leads pulled out, manual switches towards what feeds most."""
    conditions = dict(state.conditions)
    running = sum(
        conditions[item.id] == "running" for item in network.of_kind("inverter", "inverter charger")
    )
    fed = sum(len(consumers) for consumers in state.feeding.values())
    return running, fed, sum(condition == "unplugged" for condition in conditions.values())


def bank_of(state: State, found: tuple[Bank, ...], plus: str) -> Bank | None:
    """Return the bank whose plus is joined to a terminal in a state."""
    return next((bank for bank in found if state.live_potentials.same(f"{bank.id}.plus", plus)), None)


def source_of(state: State, item: Item) -> str | None:
    """Return the source of a.c. that feeds an item in a state."""
    ends = input_terminals(item)
    if ends is None:
        return None
    feeding = (source for source in state.sources if source != item.id and state.reaches(source, ends[0]))
    return next(feeding, None)


def chargers(state: State, found: tuple[Bank, ...]) -> tuple[ChargerAt, ...]:
    """Return the chargers that run on a.c. in a state, each with its source and the bank that it charges."""
    running = []
    for item in state.network.items.values():
        if not isinstance(item.spec, BatteryCharger | InverterCharger):
            continue
        if isinstance(item.spec, InverterCharger) and state.position(item.id) != "source 1":
            continue
        source, bank = source_of(state, item), bank_of(state, found, f"{item.id}.plus")
        if source and bank:
            running.append(ChargerAt(item.id, source, bank.id))
    return tuple(running)


def engine_chargers(state: State, found: tuple[Bank, ...], bank: Bank) -> tuple[tuple[Item, Item], ...]:
    """Return what charges a bank while the engine runs: each charger, or the source itself, with its source.

    Sources are the alternators aboard, and the charge line of a tow vehicle.
    """
    network = state.network
    towed = network.description.build.setting in ("road vehicle", "trailer")
    pairs = []
    for source in network.of_kind("alternator", *(("dc supply",) if towed else ())):
        plus = f"{source.id}.plus"
        if bank_of(state, found, plus) == bank:
            pairs.append((source, source))
        for converter in network.of_kind("DC-DC charger"):
            assert isinstance(converter.spec, DcDcCharger)  # noqa: S101  (asked for by kind)
            takes = state.live_potentials.same(plus, f"{converter.id}.in.plus")
            if takes and bank_of(state, found, f"{converter.id}.out.plus") == bank:
                pairs.append((converter, source))
    return tuple(pairs)


def arrays(state: State, found: tuple[Bank, ...], bank: Bank) -> tuple[tuple[Item, tuple[Item, ...]], ...]:
    """Return the solar controllers that charge a bank, each with its arrays."""
    network = state.network
    pairs = []
    for controller in network.of_kind("solar controller"):
        assert isinstance(controller.spec, SolarController)  # noqa: S101  (asked for by kind)
        if bank_of(state, found, f"{controller.id}.battery.plus") == bank:
            joined = tuple(
                array
                for array in network.of_kind("solar array")
                if state.live_potentials.same(f"{array.id}.plus", f"{controller.id}.array.plus")
            )
            pairs.append((controller, joined))
    return tuple(pairs)
