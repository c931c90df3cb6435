"""What the energy study finds wrong or doubtful."""

from collections.abc import Iterable, Iterator

from asfitted.description.kinds import Battery
from asfitted.description.schema import Day
from asfitted.network.model import Item, Network
from asfitted.studies.energy.bank import coldest_c
from asfitted.studies.energy.days import DayResult
from asfitted.studies.energy.flows import flows
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.loop import EnergyLoop
from asfitted.studies.energy.place import lowest_c
from asfitted.studies.energy.ventilation import Ventilation
from asfitted.studies.results import Finding, Grade

#: what charges a battery in service
CHARGING = ("battery charger", "inverter charger", "DC-DC charger", "alternator", "solar controller")
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


def cold_findings(network: Network, houses: Iterable[Household], days: dict[str, Day]) -> Iterator[Finding]:
    """Yield batteries that may be charged, or used, while their cells are too cold for it.

    Judged at the lowest temperature of the place, and at that of each kind of day if it is colder still. Only a battery
    that something charges in service is asked about charging.
    """
    charged = _charged(network, houses)
    house_banks = {id_: house for house in houses for id_ in house.bank.batteries}
    for item in network.of_kind("battery"):
        spec = item.spec
        assert isinstance(spec, Battery)  # noqa: S101  (asked for by kind)
        place = lowest_c(network, item)
        own = days if item.id in house_banks else {}
        said = {name: float(day.temperature_c) for name, day in own.items() if day.temperature_c is not None}
        coldest = min([place, *said.values()])
        fields: dict[str, object] = {"battery": item.id, "lowest_c": coldest}
        limit = coldest_c(spec.chemistry, "coldest_charge_c")
        if limit is not None and item.id in charged and coldest < limit:
            yield from _charged_cold(item, limit, house_banks.get(item.id), own, fields | {"limit_c": limit})
        limit = coldest_c(spec.chemistry, "coldest_discharge_c")
        if limit is not None and coldest < limit:
            grade = Grade.IMPROVEMENT if min(said.values(), default=place) < limit else Grade.INVESTIGATION
            given = fields | {"limit_c": limit}
            yield Finding("battery-too-cold", grade, (item.id,), item.mark, (), given)


def _charged(network: Network, houses: Iterable[Household]) -> set[str]:
    """Return the batteries that something charges; of those that nobody lives on whatever charges is taken to."""
    known = {
        id_: bool(house.panels or house.engine or any(house.chargers.values()))
        for house in houses
        for id_ in house.bank.batteries
    }
    anything = bool(network.of_kind(*CHARGING))
    return {item.id for item in network.of_kind("battery") if known.get(item.id, anything)}


def _charged_cold(
    item: Item, limit_c: float, house: Household | None, days: dict[str, Day], fields: dict[str, object]
) -> Iterator[Finding]:
    cut_off = getattr(item.spec, "charge_cut_off_below_c", None)
    given = fields | {"cut_off_c": cut_off}
    if cut_off is not None:
        if cut_off < limit_c:
            yield Finding("charge-below-limit", Grade.POTENTIAL, (item.id,), item.mark, (), given)
        return
    frosty = [
        name
        for name, day in days.items()
        if house is not None
        and day.temperature_c is not None
        and house.bank.too_cold_to_charge(day.temperature_c)
        and flows(house, day, house.network.description.climate).source_w.any()
    ]
    if frosty:
        given |= {"days": ", ".join(frosty)}
        yield Finding("charge-in-frost", Grade.POTENTIAL, (item.id,), item.mark, (), given)
    else:
        yield Finding("charge-cold-not-shown", Grade.INVESTIGATION, (item.id,), item.mark, (), given)


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
