"""What to leave off so that the battery lasts: the breakfast table."""

from dataclasses import dataclass, replace

from asfitted.description.schema import Climate, Day
from asfitted.studies.energy.appliances import Appliance
from asfitted.studies.energy.days import hours_to_empty
from asfitted.studies.energy.flows import Conditions, daily_wh, flows
from asfitted.studies.energy.household import Household
from asfitted.tables.energy import default

SPANS = (1, 3)
#: when the question is asked
BREAKFAST_H = 7
HOURS_A_DAY = 24.0


@dataclass(frozen=True)
class Plan:
    """What is left off so that the battery lasts so many days from a reading of the meter.

    `hours` is how long it then lasts, None where it lasts on; `enough` tells whether that is as long as was asked for.
    """

    reading: float
    days: int
    left_off: tuple[str, ...]
    hours: float | None
    enough: bool


@dataclass(frozen=True)
class Breakfast:
    """A kind of day under clouds, nothing plugged in, nobody driving.

    `order` is the order in which to leave things off, each with what it saves in a day in Wh; `lasts` says how long
    everything runs from each reading.
    """

    day: str
    order: tuple[tuple[str, float], ...]
    lasts: tuple[tuple[float, float | None], ...]
    plans: tuple[Plan, ...]


def cloudy() -> Conditions:
    """Return the conditions of a cloudy day away from any plug."""
    return Conditions(sun_share=default("cloudy share").value, plugged=False, driven=False)


def breakfast(house: Household, name: str, day: Day, climate: Climate | None) -> Breakfast:
    """Return the table of a kind of day."""
    order = shedding_order(house, day, climate)
    readings = meter_readings(house.bank.usable)
    lasts = tuple((reading, _hours(house, day, climate, reading, frozenset())) for reading in readings)
    plans = tuple(
        _plan(house, day, climate, reading, days, [a.id for a, _ in order])
        for reading in readings
        for days in SPANS
    )
    return Breakfast(name, tuple((a.id, wh) for a, wh in order), lasts, plans)


def meter_readings(usable: float) -> tuple[float, ...]:
    """Return what the meter may say at breakfast: full, and two thirds and one third of what is usable, by fives."""
    return tuple(round((1 - usable + usable * part) * 20) / 20 for part in (1.0, 2 / 3, 1 / 3))


def shedding_order(
    house: Household, day: Day, climate: Climate | None
) -> tuple[tuple[Appliance, float], ...]:
    """Return what may be left off, what the builder names first, then the largest; with what each saves in a day.

    The last thing on an inverter saves its idle draw as well.
    """
    whole = daily_wh(flows(house, day, climate, cloudy()).load_w)
    found = []
    for appliance in house.on_bank:
        if appliance.essential:
            continue
        without = replace(cloudy(), left_off=frozenset({appliance.id}))
        saved = whole - daily_wh(flows(house, day, climate, without).load_w)
        if saved > 0:
            found.append((appliance, saved))
    return tuple(sorted(found, key=lambda pair: (pair[0].load.priority != "first to go", -pair[1])))


def _plan(
    house: Household, day: Day, climate: Climate | None, reading: float, days: int, order: list[str]
) -> Plan:
    """Leave off one thing after the other until it lasts; then put back, smallest first, what was not needed."""
    wanted = days * HOURS_A_DAY

    def enough(off: list[str]) -> bool:
        hours = _hours(house, day, climate, reading, frozenset(off))
        return hours is None or hours >= wanted - 1e-6

    off: list[str] = []
    for id_ in order:
        if enough(off):
            break
        off.append(id_)
    if enough(off):
        for id_ in reversed(off.copy()):
            fewer = [other for other in off if other != id_]
            if enough(fewer):
                off = fewer
    hours = _hours(house, day, climate, reading, frozenset(off))
    return Plan(reading, days, tuple(off), hours, enough(off))


def _hours(
    house: Household, day: Day, climate: Climate | None, reading: float, off: frozenset[str]
) -> float | None:
    flow = flows(house, day, climate, replace(cloudy(), left_off=off)).from_hour(BREAKFAST_H)
    store = house.bank.store(flow.temperature_c)
    allowed = house.bank.may_charge(flow.temperature_c)
    return hours_to_empty(store, max(store.floor_wh, reading * store.full_wh), flow, allowed)
