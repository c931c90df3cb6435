"""What consumes: every appliance with its power, where it hangs, and who feeds it in each mode."""

import math
from dataclasses import dataclass

from asfitted.description.kinds import Load, LoadItem, Sockets
from asfitted.network.build import input_terminals
from asfitted.network.model import Item, Network
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.energy.bank import Bank
from asfitted.studies.energy.modes import Mode, Modes, bank_of, source_of
from asfitted.studies.importance import VITAL, rank
from asfitted.studies.loads import ASSUMED_POWER_FACTOR


@dataclass(frozen=True)
class Appliance:
    """One appliance: active and reactive power at nominal voltage; `fed_by` names for each mode an a.c. source or a bank.

    `both_lines` says that it lies between two lines of a split-phase supply, `line` at which line it hangs.
    """

    id: str
    name: str
    equipment: str
    power_w: float
    reactive_va: float
    ac: bool
    load: LoadItem
    fed_by: dict[Mode, str]
    line: str = ""
    both_lines: bool = False

    @property
    def apparent_va(self) -> float:
        """Apparent power."""
        return math.hypot(self.power_w, self.reactive_va)

    @property
    def essential(self) -> bool:
        """Whether it is never left off to save the battery; where a day does not mention it, it runs all day."""
        return rank(self.load) == VITAL


def appliances(network: Network, found: Modes, banks: tuple[Bank, ...]) -> tuple[Appliance, ...]:
    """Return every appliance that is there, in the order of the description; what is only planned is left out."""
    return tuple(
        _appliance(network, found, banks, item, name, load)
        for item in network.items.values()
        if isinstance(item.spec, Load | Sockets) and not item.planned
        for name, load in item.spec.loads.items()
    )


def _appliance(
    network: Network, found: Modes, banks: tuple[Bank, ...], item: Item, name: str, load: LoadItem
) -> Appliance:
    ends = input_terminals(item)
    fed_by: dict[Mode, str] = {}
    every: tuple[Mode, ...] = ("site", "generator", "battery")
    for mode in every:
        state = found.state(mode)
        if state is None:
            continue
        if ends is not None:
            feeder = source_of(state, item)
        else:
            bank = bank_of(found.resting or state, banks, f"{item.id}.plus")
            feeder = bank.id if bank else None
        if feeder is not None:
            fed_by[mode] = feeder
    both = ends is not None and ends[1].endswith("L2")
    voltage = _voltage(network, banks, fed_by, ends is not None) * (2 if both else 1)
    active, reactive = _power(load, voltage, ends is not None)
    line = ends[0].rpartition(".")[2] if ends else ""
    return Appliance(
        f"{item.id}.{name}", name, item.id, active, reactive, ends is not None, load, fed_by, line, both
    )


def _voltage(network: Network, banks: tuple[Bank, ...], fed_by: dict[Mode, str], ac: bool) -> float:
    feeder = next(iter(fed_by.values()), None)
    if ac:
        return ac_voltage_v(network, feeder) if feeder else 0.0
    return next((bank.voltage_v for bank in banks if bank.id == feeder), 0.0)


def _power(load: LoadItem, voltage_v: float, ac: bool) -> tuple[float, float]:
    """Return active power in W and reactive power in var."""
    if not ac:
        return (load.power_w if load.power_w is not None else (load.current_a or 0.0) * voltage_v), 0.0
    factor = ASSUMED_POWER_FACTOR[load.duty] if load.power_factor is None else load.power_factor
    given = (load.current_a or 0.0) * voltage_v * factor
    active = given if load.power_w is None else load.power_w
    return active, active * math.tan(math.acos(factor))
