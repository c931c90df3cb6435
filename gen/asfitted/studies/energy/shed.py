"""What to leave off so that the battery lasts: the breakfast table."""

from dataclasses import dataclass, replace

from asfitted.description.schema import Climate, Day
from asfitted.studies.energy.appliances import Appliance
from asfitted.studies.energy.days import hours_to_empty
from asfitted.studies.energy.flows import Conditions, appliance_profile, daily_wh, flows
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.schedule import BREAKFAST_H
from asfitted.studies.importance import rank
from asfitted.tables.energy import default

SPANS = (1, 3)
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

    `order` is the order in which to leave things off, each with what it saves in a day in Wh, an inverter behind the last
    thing that needs it; `lasts` says how long everything runs from each reading.
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
    things = [appliance for appliance, _ in order]
    plans = tuple(_plan(house, day, climate, reading, days, things) for reading in readings for days in SPANS)
    return Breakfast(name, _with_inverters(house, day, climate, order), lasts, plans)


def meter_readings(usable: float) -> tuple[float, ...]:
    """Return what the meter may say at breakfast: full, and two thirds and one third of what is usable, by fives."""
    return tuple(round((1 - usable + usable * part) * 20) / 20 for part in (1.0, 2 / 3, 1 / 3))


def shedding_order(
    house: Household, day: Day, climate: Climate | None
) -> tuple[tuple[Appliance, float], ...]:
    """Return what may be left off, the least important first and of equals the largest; with what each saves in a day.

    What is essential is not in it: it stays on.
    """
    whole = _takes_wh(house, day, climate, frozenset())
    found = []
    for appliance in house.on_bank:
        if appliance.essential:
            continue
        saved = whole - _takes_wh(house, day, climate, frozenset({appliance.id}))
        if saved > 0:
            found.append((appliance, saved))
    return tuple(sorted(found, key=lambda pair: (rank(pair[0].load), -pair[1])))


def idle_inverters(house: Household, day: Day, off: frozenset[str]) -> frozenset[str]:
    """Return the inverters that nothing used on that day needs once some things are off."""
    needed = {
        a.fed_by["battery"]
        for a in house.on_bank
        if a.id not in off and appliance_profile(a, day).any() and a.fed_by["battery"] in house.inverters
    }
    return frozenset(house.inverters) - needed


def _with_inverters(
    house: Household, day: Day, climate: Climate | None, order: tuple[tuple[Appliance, float], ...]
) -> tuple[tuple[str, float], ...]:
    """Put each inverter behind the last thing that needs it, with the idle draw that is saved by it."""
    found: list[tuple[str, float]] = []
    off: frozenset[str] = frozenset()
    nothing: tuple[Appliance | None, float] = (None, 0.0)
    for appliance, saves in (nothing, *order):
        if appliance is not None:
            found.append((appliance.id, saves))
            off |= {appliance.id}
        for inverter in sorted(idle_inverters(house, day, off) - off):
            before = _takes_wh(house, day, climate, off)
            off |= {inverter}
            saved = before - _takes_wh(house, day, climate, off)
            found += [(inverter, saved)] if saved > 0 else []
    return tuple(found)


def _plan(
    house: Household, day: Day, climate: Climate | None, reading: float, days: int, order: list[Appliance]
) -> Plan:
    """Leave off one thing after the other until it lasts; then put back, smallest first, what was not needed.

    Only what matters as much as the last thing left off is put back: nobody goes without light to keep a kettle.
    """
    wanted = days * HOURS_A_DAY

    def all_off(off: list[Appliance]) -> frozenset[str]:
        things = frozenset(a.id for a in off)
        idle = idle_inverters(house, day, things)
        saves = _takes_wh(house, day, climate, things) - _takes_wh(house, day, climate, things | idle)
        return things | idle if saves > 0 else things

    def enough(off: list[Appliance]) -> bool:
        hours = _hours(house, day, climate, reading, all_off(off))
        return hours is None or hours >= wanted - 1e-6

    hours = _hours(house, day, climate, reading, frozenset())
    if hours is None or hours >= wanted - 1e-6:
        return Plan(reading, days, (), hours, True)
    off: list[Appliance] = []
    for appliance in order:
        if enough(off):
            break
        off.append(appliance)
    if off and enough(off):
        last = rank(off[-1].load)
        for appliance in [a for a in reversed(off) if rank(a.load) == last]:
            fewer = [other for other in off if other is not appliance]
            if enough(fewer):
                off = fewer
    left_off = all_off(off)
    hours = _hours(house, day, climate, reading, left_off)
    names = [a.id for a in off]
    plan = (*names, *sorted(left_off - {*names}))
    return Plan(reading, days, plan, hours, hours is None or hours >= wanted - 1e-6)


def _takes_wh(house: Household, day: Day, climate: Climate | None, off: frozenset[str]) -> float:
    return daily_wh(flows(house, day, climate, replace(cloudy(), left_off=off)).load_w)


def _hours(
    house: Household, day: Day, climate: Climate | None, reading: float, off: frozenset[str]
) -> float | None:
    flow = flows(house, day, climate, replace(cloudy(), left_off=off)).from_minute(60 * BREAKFAST_H)
    store = house.bank.store(flow.temperature_c)
    allowed = house.bank.is_charged(flow.temperature_c)
    return hours_to_empty(store, house.bank.left_wh(reading, flow.temperature_c), flow, allowed)
