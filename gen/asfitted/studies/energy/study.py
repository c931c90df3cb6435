"""The energy study of a build: every bank, every kind of day, what may run together, loops, air, findings."""

from dataclasses import dataclass
from functools import cached_property

from asfitted.description.schema import Climate, Day
from asfitted.description.values import Run
from asfitted.network.model import Network
from asfitted.network.states import State
from asfitted.studies.energy.bank import Bank, Notes, usual_temperature_c
from asfitted.studies.energy.days import DayResult, day_result
from asfitted.studies.energy.findings import cold_findings, day_findings, loop_findings, ventilation_findings
from asfitted.studies.energy.household import Household, households
from asfitted.studies.energy.loop import EnergyLoop, energy_loops
from asfitted.studies.energy.shed import Breakfast, breakfast
from asfitted.studies.energy.together import Together, together
from asfitted.studies.energy.ventilation import Ventilation, ventilation
from asfitted.studies.energy.workings import (
    bank_workings,
    charging_workings,
    day_workings,
    loop_workings,
    panel_workings,
    ventilation_workings,
)
from asfitted.studies.energy.year import Year, has_sun, year
from asfitted.studies.results import Assumption, Finding, Working


@dataclass(frozen=True)
class BankStudy:
    """One house battery with all that lives on it."""

    house: Household
    days: tuple[DayResult, ...]
    loops: tuple[EnergyLoop, ...]
    together: tuple[Together, ...]

    @property
    def bank(self) -> Bank:
        """The battery."""
        return self.house.bank

    @cached_property
    def breakfast(self) -> tuple[Breakfast, ...]:
        """For each kind of day that takes something and does not live from plug, generator or engine: what to leave off
        under clouds; worked out when asked for.
        """
        description = self.house.network.description
        return tuple(
            breakfast(self.house, day.name, description.days[day.name], description.climate)
            for day in self.days
            if day.takes_wh > 0 and not day.lives_from_outside
        )

    @cached_property
    def years(self) -> tuple[Year, ...]:
        """Each kind of day without a plug through a year, if the place and an array are described."""
        description = self.house.network.description
        climate = description.climate
        if climate is None or not has_sun(self.house, climate):
            return ()
        unplugged = {name: day for name, day in description.days.items() if day.plugged_in is None}
        return tuple(year(self.house, name, day, climate) for name, day in unplugged.items())


@dataclass(frozen=True)
class EnergyStudy:
    """Everything about energy."""

    banks: tuple[BankStudy, ...]
    ventilation: tuple[Ventilation, ...]
    findings: tuple[Finding, ...]
    workings: tuple[Working, ...]
    assumptions: tuple[Assumption, ...]


def energy_study(network: Network, states: tuple[State, ...]) -> EnergyStudy:
    """Study the energy of a build; a build without a house battery has air and findings of its other batteries alone."""
    notes = Notes()
    houses = households(network, states, notes)
    description = network.description
    studied = tuple(_bank_study(house, description.days, description.climate, notes) for house in houses)
    air = ventilation(network)
    findings = (
        *loop_findings(network, (loop for found in studied for loop in found.loops)),
        *cold_findings(network, houses, description.days),
        *ventilation_findings(network, air),
        *(finding for found in studied for finding in day_findings(found.house, found.days)),
    )
    workings = (
        *(
            working
            for found in studied
            for working in (
                *bank_workings(found.house),
                *charging_workings(found.house),
                *panel_workings(found.house),
                *day_workings(found.days),
                *loop_workings(found.house, found.loops),
            )
        ),
        *ventilation_workings(air),
    )
    return EnergyStudy(studied, air, findings, workings, tuple(notes.found.values()))


def _untimed(run: Run) -> bool:
    return run.duration_s > 0 and run.from_h is None and not run.spread


def _bank_study(house: Household, days: dict[str, Day], climate: Climate | None, notes: Notes) -> BankStudy:
    untimed = [name for name, day in days.items() if any(map(_untimed, day.use.values()))]
    if untimed and house.on_bank:
        notes.assume("use-without-time", house.bank.id, days=", ".join(untimed))
    if mild := [name for name, day in days.items() if day.temperature_c is None]:
        notes.assume("day-temperature", house.bank.id, days=", ".join(mild), value=usual_temperature_c())
    results = tuple(day_result(house, name, day, climate) for name, day in days.items())
    return BankStudy(house, results, energy_loops(house, usual_temperature_c()), together(house))
