"""What a kind of day takes from one bank and brings to it, minute by minute, each part under its name."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from asfitted.description.schema import Climate, Day
from asfitted.studies.energy.appliances import Appliance
from asfitted.studies.energy.bank import usual_temperature_c
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.modes import Mode
from asfitted.studies.energy.schedule import MINUTES, STEP_H, Schedule, always, nothing, profile, schedule
from asfitted.studies.energy.sun import TYPICAL_DAY, arch_w_m2, profile_w_m2

Series = NDArray[np.float64]


@dataclass(frozen=True)
class Conditions:
    """How a kind of day is varied: which appliances and inverters are left off, how much of its sun is there, whether
    anything charges from outside.

    `sun_kwh_m2` and `month` (0 is January) put the sun of a month on the horizontal in place of the day's own.
    """

    left_off: frozenset[str] = frozenset()
    sun_share: float = 1.0
    plugged: bool = True
    driven: bool = True
    sun_kwh_m2: float | None = None
    month: int | None = None


AS_DESCRIBED = Conditions()


@dataclass(frozen=True)
class Flows:
    """Power at the terminals of a bank for each minute of a day, by name.

    `takes` has the appliances by their ids, then what inverters lose, then what the battery loses by itself; `brings`
    the chargers by their ids. `through` is what each inverter and each outside source gives in a.c., in W.
    """

    takes: dict[str, Series]
    brings: dict[str, Series]
    through: dict[str, Series]
    temperature_c: float
    not_available: tuple[str, ...] = ()

    @cached_property
    def load_w(self) -> Series:
        """All that is taken."""
        return _total(self.takes)

    @cached_property
    def source_w(self) -> Series:
        """All that is brought."""
        return _total(self.brings)

    def from_minute(self, minute: int) -> "Flows":
        """Return the same day as it goes from a minute to the same minute of the next."""

        def rolled(series: dict[str, Series]) -> dict[str, Series]:
            return {id_: np.roll(power, -minute) for id_, power in series.items()}

        return replace(
            self, takes=rolled(self.takes), brings=rolled(self.brings), through=rolled(self.through)
        )


def flows(house: Household, day: Day, climate: Climate | None, how: Conditions = AS_DESCRIBED) -> Flows:
    """Return the flows of a day under given conditions."""
    times = schedule(day)
    plugged = times.plugged if how.plugged and house.modes.site else nothing()
    generator = times.generator * (1 - plugged) if how.plugged and house.modes.generator else nothing()
    share: dict[Mode, Series] = {
        "site": plugged, "generator": generator, "battery": 1 - plugged - generator,
    }  # fmt: skip
    takes: dict[str, Series] = {}
    through: dict[str, Series] = {}
    outside_va: dict[str, Series] = {}
    not_available = []
    for appliance in house.appliances:
        runs = appliance_profile(appliance, day)
        if appliance.id in how.left_off or not runs.any():
            continue
        served = nothing()
        for mode, when in share.items():
            feeder = appliance.fed_by.get(mode)
            if feeder is None or not when.any():
                continue
            power = appliance.power_w * runs * when
            served = served + when
            if feeder == house.bank.id:
                takes[appliance.id] = takes.get(appliance.id, 0) + power
            elif feeder in house.inverters:
                takes[appliance.id] = takes.get(appliance.id, 0) + power
                through[feeder] = through.get(feeder, 0) + power
            elif appliance.ac:
                through[feeder] = through.get(feeder, 0) + power
                outside_va[feeder] = outside_va.get(feeder, 0) + appliance.apparent_va * runs * when
        if (runs * (1 - served)).sum() > runs.sum() * 1e-9 and appliance.fed_by:
            not_available.append(appliance.id)
    for id_, line in house.inverters.items():
        if id_ in how.left_off:
            continue
        output = through.get(id_, nothing())
        running = _running(house, day, id_, output, share)
        takes[id_] = line.input_w(output, running) - output
    takes[house.bank.id] = always() * house.bank.standing_w
    brings = _brings(house, day, climate, how, times, share, outside_va)
    temperature = day.temperature_c if day.temperature_c is not None else usual_temperature_c()
    return Flows(takes, brings, through, temperature, tuple(not_available))


def appliance_profile(appliance: Appliance, day: Day) -> Series:
    """Return when an appliance runs: as the day says of it or of its outlet; what is essential, else all day."""
    run = day.use.get(appliance.name) or day.use.get(appliance.equipment)
    if run is not None:
        return profile(run)
    return always() if appliance.essential else nothing()


def _running(house: Household, day: Day, id_: str, output: Series, share: dict[Mode, Series]) -> Series:
    """Return the share of each minute in which an inverter is on and draws its idle power from the battery.

    A day that says when it is switched on is believed, and beyond that it is on whenever something hangs on it. A day
    that does not say: all day, if anything is used on it at all.
    """
    said = day.use.get(id_)
    if said is None and not output.any():
        return nothing()
    on = always() if said is None else np.maximum(profile(said), (output > 0).astype(np.float64))
    idling = sum((when for mode, when in share.items() if house.idles(id_, mode)), start=nothing())
    running: Series = on * idling
    return running


def _brings(
    house: Household,
    day: Day,
    climate: Climate | None,
    how: Conditions,
    times: Schedule,
    share: dict[Mode, Series],
    outside_va: dict[str, Series],
) -> dict[str, Series]:
    """Return what charges.

    A charger on a site gets what the running loads leave of its limit: it has to be turned down.
    """
    brings: dict[str, Series] = {}
    for mode, when in share.items():
        if mode == "battery" or not when.any():
            continue  # a charger that runs on the battery's own inverter brings nothing: see the energy loop
        for charger, source, line in house.chargers.get(mode, ()):
            running = line.share_of(house.limit_va(source) - outside_va.get(source, nothing())) * when
            brings[charger] = brings.get(charger, 0) + line.output_w * running
            outside_va[source] = outside_va.get(source, nothing()) + line.input_va * running
    if how.driven and times.driving.any():
        for charger, power in house.engine:
            brings[charger] = brings.get(charger, 0) + power * times.driving
    for panel in house.panels:
        irradiance = sun_on(day, climate, how, panel.tilt_deg, panel.faces_deg)
        output = panel.power_w * irradiance / 1000 * (1 - panel.losses) * panel.controller_efficiency
        brings[panel.id] = np.minimum(output, panel.limit_w)
    return brings


def sun_on(day: Day, climate: Climate | None, how: Conditions, tilt_deg: float, faces_deg: float) -> Series:
    """Return the irradiance on an array. The `sun` of a day is what falls on the array as it stands."""
    if how.month is not None and how.sun_kwh_m2 is not None and climate is not None:
        sun = how.sun_kwh_m2 * how.sun_share
        return profile_w_m2(sun, climate.latitude_deg, TYPICAL_DAY[how.month], tilt_deg, faces_deg)
    return arch_w_m2((day.sun_kwh_m2 or 0.0) * how.sun_share)


def _total(parts: dict[str, Series]) -> Series:
    total: Series = np.sum(list(parts.values()), axis=0) if parts else np.zeros(MINUTES)
    return total


def daily_wh(power_w: Series) -> float:
    """Return the energy of one day."""
    return float(power_w.sum() * STEP_H)
