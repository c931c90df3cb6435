"""What the energy study finds wrong or doubtful."""

from collections.abc import Iterable, Iterator

from asfitted.description.kinds import Battery
from asfitted.network.model import Item, Network
from asfitted.studies.energy.bank import coldest_charge_c
from asfitted.studies.energy.days import DayResult
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.loop import EnergyLoop
from asfitted.studies.energy.ventilation import Ventilation
from asfitted.studies.results import Finding, Grade

VENTILATION_CLAUSE = "IEC 62485-2 7.2"


def loop_findings(network: Network, loops: Iterable[EnergyLoop]) -> Iterator[Finding]:
    """Yield each charger that the inverter feeds from the battery that it charges."""
    for loop in loops:
        fields: dict[str, object] = {
            "charger": loop.charger,
            "inverter": loop.inverter,
            "battery": loop.bank,
            "loss_w": round(loop.loss_w),
            "hours": round(loop.hours),
        }
        where = (loop.charger, loop.inverter)
        mark = network.items[loop.charger].mark
        yield Finding(
            "energy-loop",
            Grade.IMPROVEMENT,
            where,
            mark,
            (loop.state,),
            fields,
            "",
            f"{loop.charger}.energy_loop",
        )


def cold_findings(network: Network, houses: Iterable[Household]) -> Iterator[Finding]:
    """Yield batteries that may be charged while their cells are too cold for it.

    Only a battery that something charges in service is asked; the temperature is the lowest of its place.
    """
    for house in houses:
        charged = house.panels or house.engine or any(house.chargers.values())
        for id_ in house.bank.batteries if charged else ():
            item = network.items[id_]
            spec = item.spec
            assert isinstance(spec, Battery)  # noqa: S101  (a bank is made of them)
            limit = coldest_charge_c(spec.chemistry)
            lowest = lowest_c(network, item)
            if limit is None or lowest >= limit:
                continue
            cut_off = spec.charge_cut_off_below_c
            fields: dict[str, object] = {
                "battery": id_,
                "lowest_c": lowest,
                "limit_c": limit,
                "cut_off_c": cut_off,
            }
            if cut_off is None:
                yield Finding("charge-cold-not-shown", Grade.INVESTIGATION, (id_,), item.mark, (), fields)
            elif cut_off < limit:
                yield Finding("charge-below-limit", Grade.POTENTIAL, (id_,), item.mark, (), fields)


def lowest_c(network: Network, item: Item) -> float:
    """Return the lowest temperature of a thing: that of its space, else that of the build."""
    description = network.description
    space = description.spaces.get(item.spec.space or "")
    lowest = space.lowest_c if space and space.lowest_c is not None else description.build.lowest_c
    return float(lowest)


def ventilation_findings(network: Network, found: Iterable[Ventilation]) -> Iterator[Finding]:
    """Yield lead-acid batteries whose gas has no way out, and those of which nothing is said."""
    for air in found:
        if air.vented:
            continue
        item = network.items[air.battery]
        fields: dict[str, object] = {
            "battery": air.battery,
            "space": air.space,
            "air_l_h": round(1000 * air.air_m3_h),
            "opening_cm2": round(air.opening_cm2, 1),
        }
        closed = air.vented is False
        code = "battery-not-ventilated" if closed else "ventilation-not-shown"
        grade = Grade.POTENTIAL if closed else Grade.INVESTIGATION
        yield Finding(
            code,
            grade,
            (air.battery,),
            item.mark,
            (),
            fields,
            VENTILATION_CLAUSE,
            f"{air.battery}.ventilation",
        )


def day_findings(house: Household, days: tuple[DayResult, ...]) -> Iterator[Finding]:
    """Yield batteries that no described day fills again, and days that a full battery does not carry."""
    if not days:
        return
    item = house.network.items[house.bank.id]
    using = [day for day in days if day.takes_wh > 0]
    if using and not any(day.hours_to_full is not None for day in days):
        best = max(using, key=lambda day: day.surplus_wh)
        fields: dict[str, object] = {
            "battery": house.bank.id,
            "day": best.name,
            "takes_wh": round(best.takes_wh),
            "brings_wh": round(best.brings_wh),
        }
        yield Finding("energy-not-recovered", Grade.IMPROVEMENT, (house.bank.id,), item.mark, (), fields)
    for day in using:
        hours = day.hours_to_empty
        if hours is not None and hours < 24:
            short: dict[str, object] = {
                "battery": house.bank.id,
                "day": day.name,
                "hours": round(hours, 1),
                "takes_wh": round(day.takes_wh),
                "usable_wh": round(day.full_wh - day.floor_wh),
            }
            yield Finding("day-exceeds-battery", Grade.IMPROVEMENT, (house.bank.id,), item.mark, (), short)
