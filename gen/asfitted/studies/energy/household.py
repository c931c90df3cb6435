"""Everything around one bank that does not change from day to day: who hangs on it and what charges it."""

from dataclasses import dataclass
from functools import cached_property

from asfitted.description.kinds import Inverter, SolarArray
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.demand_ac import ac_limit_a, ac_voltage_v
from asfitted.studies.energy.appliances import Appliance, appliances
from asfitted.studies.energy.bank import Bank, Notes, banks
from asfitted.studies.energy.converters import (
    ChargerLine,
    InverterLine,
    charger_line,
    controller_line,
    engine_w,
    inverter_line,
)
from asfitted.studies.energy.modes import Mode, Modes, arrays, bank_of, chargers, engine_chargers, modes
from asfitted.tables.energy import array_losses


@dataclass(frozen=True)
class Panel:
    """An array with its controller: rated power, losses, efficiency and limit of the controller, and how it stands."""

    id: str
    controller: str
    power_w: float
    losses: float
    controller_efficiency: float
    limit_w: float
    tilt_deg: float
    faces_deg: float


@dataclass(frozen=True)
class Household:
    """One bank, with all that draws on it and all that charges it."""

    network: Network
    bank: Bank
    modes: Modes
    appliances: tuple[Appliance, ...]
    inverters: dict[str, InverterLine]
    chargers: dict[Mode, tuple[tuple[str, str, ChargerLine], ...]]
    engine: tuple[tuple[str, float], ...]
    panels: tuple[Panel, ...]

    @cached_property
    def on_bank(self) -> tuple[Appliance, ...]:
        """The appliances that the battery carries when nothing is plugged in, itself or through an inverter."""
        carrying = {self.bank.id, *self.inverters}
        return tuple(a for a in self.appliances if a.fed_by.get("battery") in carrying)

    def voltage_v(self, source: str) -> float:
        """Return the nominal voltage of an a.c. source."""
        return ac_voltage_v(self.network, source)

    def limit_va(self, source: str) -> float:
        """Return what an a.c. source gives for long."""
        return ac_limit_a(self.network, source) * self.voltage_v(source)

    def idles(self, inverter: str, mode: Mode) -> bool:
        """Tell whether an inverter that is switched on draws its idle power from the battery in a mode."""
        state = self.modes.state(mode)
        return state is None or inverter in state.sources


def households(network: Network, states: tuple[State, ...], notes: Notes) -> tuple[Household, ...]:
    """Return one household for each house battery that something hangs on."""
    found = modes(network, states)
    if found.battery is None or found.resting is None:
        return ()
    every = banks(network, found.resting.live_potentials, notes)
    loads = appliances(network, found, every)
    joined = (found.battery, found.resting)
    return tuple(_household(network, found, joined, every, bank, loads, notes) for bank in every)


def _household(
    network: Network,
    found: Modes,
    joined: tuple[State, State],
    every: tuple[Bank, ...],
    bank: Bank,
    loads: tuple[Appliance, ...],
    notes: Notes,
) -> Household:
    living, resting = joined
    inverters = {
        item.id: inverter_line(item, notes)
        for item in network.of_kind("inverter", "inverter charger")
        if isinstance(item.spec, Inverter) and bank_of(resting, every, f"{item.id}.plus") == bank
    }
    running: dict[Mode, tuple[tuple[str, str, ChargerLine], ...]] = {}
    shown: tuple[Mode, ...] = ("site", "generator", "battery")
    for mode in shown:
        state = found.state(mode)
        if state is not None:
            running[mode] = tuple(
                (at.charger, at.source, charger_line(network.items[at.charger], bank, notes))
                for at in chargers(state, every)
                if at.bank == bank.id
            )
    engine = tuple(
        (charger.id, engine_w(charger, alternator, bank.voltage_v, notes))
        for charger, alternator in engine_chargers(living, every, bank)
    )
    panels = tuple(
        panel
        for controller, joined in arrays(living, every, bank)
        for panel in _panels(controller, joined, bank, notes)
    )
    return Household(network, bank, found, loads, inverters, running, engine, panels)


def _panels(controller: Item, joined: tuple[Item, ...], bank: Bank, notes: Notes) -> list[Panel]:
    found = []
    for array in joined:
        spec = array.spec
        assert isinstance(spec, SolarArray)  # noqa: S101  (asked for by kind)
        losses = spec.losses
        if losses is None:
            taken = array_losses()
            losses = taken.value
            notes.assume("solar-losses", array.id, taken.source, value=losses)
        efficiency, limit = controller_line(controller, bank.voltage_v, notes)
        tilt = spec.tilt_deg or 0.0
        faces = spec.faces_deg if spec.faces_deg is not None else 180.0
        if tilt and spec.faces_deg is None:
            notes.assume("array-faces", array.id, value=faces)
        share = spec.power_w / sum(getattr(other.spec, "power_w", 0.0) for other in joined)
        found.append(
            Panel(array.id, controller.id, spec.power_w, losses, efficiency, limit * share, tilt, faces)
        )
    return found
