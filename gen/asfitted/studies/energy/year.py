"""A kind of day through the year at a place: the sun of each month in place of the day's own, minute by minute."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfitted.description.schema import Climate, Day
from asfitted.studies.energy.flows import Conditions, Flows, daily_wh, flows
from asfitted.studies.energy.household import Household
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
    something was without supply.
    """

    number: int
    horizontal_kwh_m2: float
    brings_wh: float
    takes_wh: float
    lowest_share: float
    without_h: float


@dataclass(frozen=True)
class Year:
    """A kind of day repeated from January to December. `lowest` has the least charge of each day, as a share of full."""

    day: str
    bank: str
    months: tuple[Month, ...]
    lowest: Series
    worst_month: int


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
    by_month = [flows(house, day, climate, Conditions(sun_kwh_m2=sun[m], month=m)) for m in range(12)]
    store = house.bank.store(by_month[0].temperature_c)
    allowed = house.bank.may_charge(by_month[0].temperature_c)
    load = np.concatenate([np.tile(f.load_w, n) for f, n in zip(by_month, DAYS_IN_MONTH, strict=True)])
    source = np.concatenate([np.tile(f.source_w, n) for f, n in zip(by_month, DAYS_IN_MONTH, strict=True)])
    ledger = simulate(store, store.full_wh, load, source, np.full(len(load), allowed), STEP_H)
    lowest = ledger.stored_wh.reshape(-1, MINUTES).min(axis=1) / store.full_wh
    short = (ledger.unserved_wh > 1e-9).reshape(-1, MINUTES).sum(axis=1) * STEP_H
    ends = np.cumsum(DAYS_IN_MONTH)
    months = tuple(
        _month(m, sun[m], by_month[m], lowest[end - length : end], short[end - length : end])
        for m, (length, end) in enumerate(zip(DAYS_IN_MONTH, ends, strict=True))
    )
    worst = min(months, key=lambda month: (month.brings_wh - month.takes_wh, month.lowest_share))
    return Year(name, house.bank.id, months, lowest, worst.number)


def _month(number: int, sun: float, flow: Flows, lowest: Series, short: Series) -> Month:
    brings, takes = daily_wh(flow.source_w), daily_wh(flow.load_w)
    return Month(number, sun, brings, takes, float(lowest.min()), float(short.sum()))


def has_sun(house: Household, climate: Climate | None) -> bool:
    """Tell whether a year can be told: there is an array, and the sun of its place is known."""
    return bool(house.panels) and climate is not None
