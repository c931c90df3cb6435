"""What converters lose: inverters by a line through idle and rated load, chargers and controllers by one figure."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfitted.description.kinds import (
    BatteryCharger,
    DcDcCharger,
    DcSupply,
    Inverter,
    InverterCharger,
    SolarController,
)
from asfitted.network.model import Item
from asfitted.studies.energy.bank import Bank, Notes
from asfitted.studies.loads import (
    ASSUMED_CHARGER_EFFICIENCY,
    ASSUMED_CHARGER_POWER_FACTOR,
    ASSUMED_INVERTER_EFFICIENCY,
)
from asfitted.tables.energy import default

Series = NDArray[np.float64]


@dataclass(frozen=True)
class InverterLine:
    """The input of an inverter as a straight line over its output: idle + P/slope.

    The line passes through the idle draw and through the efficiency at rated output, so that a small load pays for the
    idle draw: 50 W on an inverter of 2 kW are had at little more than 70 %.
    """

    idle_w: float
    rated_w: float
    efficiency: float

    @property
    def slope(self) -> float:
        """Output for each further watt of input."""
        return self.rated_w / (self.rated_w / self.efficiency - self.idle_w)

    def input_w(self, output_w: Series, running: Series) -> Series:
        """Return what it takes from the battery, `running` being the share of time that it is switched on."""
        taken: Series = self.idle_w * running + output_w / self.slope
        return taken

    def efficiency_at(self, output_w: float) -> float:
        """Return output over input at one load."""
        return output_w / (self.idle_w + output_w / self.slope)


def inverter_line(item: Item, notes: Notes) -> InverterLine:
    """Return the line of an inverter or inverter charger."""
    spec = item.spec
    assert isinstance(spec, Inverter)  # noqa: S101  (called for inverters)
    efficiency, idle = spec.efficiency, spec.idle_w
    if efficiency is None:
        efficiency = ASSUMED_INVERTER_EFFICIENCY
        notes.assume("efficiency", item.id, value=efficiency)
    if idle is None:
        share = default("inverter idle share")
        idle = share.value * spec.power_w
        notes.assume("inverter-idle", item.id, share.source, value=idle)
    # an idle draw beyond all that is lost at rated output would make the line fall
    return InverterLine(min(idle, spec.power_w * (1 / efficiency - 1)), spec.power_w, efficiency)


@dataclass(frozen=True)
class ChargerLine:
    """A charger on a.c. What it asks of its source counts at charging voltage, what it stores at nominal voltage."""

    current_a: float
    nominal_v: float
    charging_v: float
    efficiency: float
    power_factor: float

    @property
    def output_w(self) -> float:
        """The most that it puts into the battery, at nominal voltage."""
        return self.current_a * self.nominal_v

    @property
    def input_w(self) -> float:
        """Active power at full output."""
        return self.current_a * self.charging_v / self.efficiency

    @property
    def input_va(self) -> float:
        """Apparent power at full output: this decides whether a small site bears it."""
        return self.input_w / self.power_factor

    def share_of(self, available_va: Series) -> Series:
        """Return the share of its output that it may give where only so much is available to it."""
        share: Series = np.clip(available_va / self.input_va, 0.0, 1.0)
        return share


def charger_line(item: Item, bank: Bank, notes: Notes) -> ChargerLine:
    """Return what a charger or the charger in an inverter charger does to a bank."""
    spec = item.spec
    if isinstance(spec, InverterCharger):
        current, efficiency, factor = spec.charge_current_a, spec.charge_efficiency, spec.power_factor
    else:
        assert isinstance(spec, BatteryCharger)  # noqa: S101  (called for chargers)
        current, efficiency, factor = spec.rating_a, spec.efficiency, spec.power_factor
    if efficiency is None:
        efficiency = ASSUMED_CHARGER_EFFICIENCY
        notes.assume("efficiency", item.id, value=efficiency)
    if factor is None:
        factor = ASSUMED_CHARGER_POWER_FACTOR
        notes.assume("power-factor", item.id, value=factor)
    return ChargerLine(current, bank.voltage_v, bank.highest_v, efficiency, factor)


def engine_w(charger: Item, alternator: Item, bank_v: float, notes: Notes) -> float:
    """Return what a running engine puts into a bank, through a converter or straight from its alternator.

    A converter is held by what its alternator can give; an alternator alone gives half its rating once it is hot.
    """
    share = default("alternator share")
    from_alternator = getattr(alternator.spec, "rating_a", 0.0) * getattr(alternator.spec, "voltage_v", 0.0)
    if isinstance(charger.spec, DcSupply):
        return float(charger.spec.rating_a * bank_v)
    if not isinstance(charger.spec, DcDcCharger):
        notes.assume("alternator-share", alternator.id, share.source, value=share.value)
        return float(getattr(alternator.spec, "rating_a", 0.0) * bank_v * share.value)
    efficiency = charger.spec.efficiency
    if efficiency is None:
        efficiency = default("converter efficiency").value
        notes.assume("efficiency", charger.id, value=efficiency)
    return float(min(charger.spec.rating_a * bank_v, from_alternator * efficiency))


def controller_line(item: Item, bank_v: float, notes: Notes) -> tuple[float, float]:
    """Return the efficiency of a solar controller and the most that it puts into the battery, in W."""
    spec = item.spec
    assert isinstance(spec, SolarController)  # noqa: S101  (called for controllers)
    efficiency = spec.efficiency
    if efficiency is None:
        taken = default("controller efficiency")
        efficiency = taken.value
        notes.assume("efficiency", item.id, taken.source, value=efficiency)
    return efficiency, spec.rating_a * bank_v
