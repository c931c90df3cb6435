"""A kind of day through the year at a place: the sun of each month in place of the day's own, minute by minute."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfitted.description.schema import Climate, Day
from asfitted.studies.energy.flows import Conditions, daily_wh, flows
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.place import lowest_c
from asfitted.studies.energy.schedule import MINUTES, STEP_H
from asfitted.studies.energy.simulate import simulate
from asfitted.studies.energy.sun import TYPICAL_DAY, above_atmosphere_kwh_m2
from asfitted.tables.energy import sun_of_place

Series = NDArray[np.float64]
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True)
class Month:
    """A month of a year: sun on the horizontal and on the array, what the array brings, and how the battery fares.

    Energies are those of one day. `lowest_share` is the least charge as a share of full, `without_h` the hours in which
    something was without supply. `charged` tells whether the battery is warm enough to be charged, or charged all the
    same because nothing stops it; `doubtful` that the month may be colder than what was counted with.
    """

    number: int
    horizontal_kwh_m2: float
    brings_wh: float
    takes_wh: float
    lowest_share: float
    without_h: float
    temperature_c: float
    charged: bool
    doubtful: bool


@dataclass(frozen=True)
class Year:
    """A kind of day repeated from January to December. `lowest` has the least charge of each day, as a share of full.

    `by_month` tells whether each month was counted at a temperature of its own, or all at that of the day.
    """

    day: str
    bank: str
    months: tuple[Month, ...]
    lowest: Series
    worst_month: int
    by_month: bool

    @property
    def doubtful(self) -> tuple[int, ...]:
        """The months that may be colder than what was counted with."""
        return tuple(month.number for month in self.months if month.doubtful)


def sun_of_months(climate: Climate) -> tuple[float, ...]:
    """Return twelve daily means on the horizontal, kWh/m²."""
    if climate.horizontal is not None:
        return tuple(climate.horizontal)
    if climate.clearness is not None:
        return tuple(
            share * above_atmosphere_kwh_m2(climate.latitude_deg, day)
            for share, day in zip(climate.clearness, TYPICAL_DAY, strict=True)
        )
    return tuple(month.value for month in sun_of_place(climate.like or ""))


def year(house: Household, name: str, day: Day, climate: Climate) -> Year:
    """Return a kind of day through a year, from a full battery on the first of January."""
    sun = sun_of_months(climate)
    bank, given = house.bank, climate.temperature
    stored: float | None = None
    months, lows = [], []
    for m, days in enumerate(DAYS_IN_MONTH):
        flow = flows(house, day, climate, Conditions(sun_kwh_m2=sun[m], month=m))
        celsius = float(given[m]) if given else flow.temperature_c
        store, charged = bank.store(celsius), bank.is_charged(celsius)
        # a colder month holds less: what no longer fits is not lost, but cannot be had
        start = store.full_wh if stored is None else min(stored, store.full_wh)
        load, source = np.tile(flow.load_w, days), np.tile(flow.source_w, days)
        ledger = simulate(store, start, load, source, np.full(len(load), charged), STEP_H)
        stored = ledger.end_wh
        lowest = ledger.stored_wh.reshape(-1, MINUTES).min(axis=1) / store.full_wh
        short = float((ledger.unserved_wh > 1e-9).sum()) * STEP_H
        doubtful = not given and m in _colder(climate) and _colder_counts(house, celsius)
        brings, takes = daily_wh(flow.source_w), daily_wh(flow.load_w)
        low = float(lowest.min())
        months.append(Month(m, sun[m], brings, takes, low, short, celsius, charged, doubtful))
        lows.append(lowest)
    worst = min(months, key=lambda month: (month.brings_wh - month.takes_wh, month.lowest_share))
    return Year(name, bank.id, tuple(months), np.concatenate(lows), worst.number, given is not None)


def _colder(climate: Climate) -> tuple[int, ...]:
    """Return the colder half of the year, from the equinox of autumn on."""
    northern = (9, 10, 11, 0, 1, 2)
    return northern if climate.latitude_deg >= 0 else tuple((m + 6) % 12 for m in northern)


def _colder_counts(house: Household, celsius: float) -> bool:
    """Tell whether the place of the battery may be so much colder that it holds less, or is no longer charged."""
    network, bank = house.network, house.bank
    lowest = min(lowest_c(network, network.items[id_]) for id_ in bank.batteries)
    return lowest < celsius and bank.full_wh(lowest) < bank.full_wh(celsius)


def has_sun(house: Household, climate: Climate | None) -> bool:
    """Tell whether a year can be told: there is an array, and the sun of its place is known."""
    return bool(house.panels) and climate is not None
