"""Chapter: energy. What may run, for how long, and what to leave off so that it lasts."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.network.labels import kind_word
from asfitted.numbers import figures
from asfitted.studies.energy.appliances import Appliance
from asfitted.studies.energy.bank import usual_temperature_c
from asfitted.studies.energy.days import FULL, DayResult
from asfitted.studies.energy.formulas import charging_hours
from asfitted.studies.energy.schedule import BREAKFAST_H
from asfitted.studies.energy.shed import Breakfast, Plan
from asfitted.studies.energy.study import BankStudy
from asfitted.studies.energy.together import Thing, Together
from asfitted.tables.energy import default

#: beyond this nobody plans
WEEKS = 14 * 24


def context(book: Book) -> dict[str, Any]:
    """Return each house battery with its days, its breakfast table, its appliances, and what may run together."""
    return {
        "banks": [_bank(book, study) for study in book.study.energy.banks],
        "cloudy_share": default("cloudy share").value,
        "evening": default("evening ends").value,
        "full": FULL,
    }


def span(hours: float | None) -> str:
    """Return a time as people say it: hours, from two days on days and hours; None lasts."""
    if hours is None:
        return words.text("energy", "spans.lasts")
    if hours > WEEKS:
        return words.text("energy", "spans.weeks", weeks=WEEKS // 24 // 7)
    if hours < 10:
        return words.text("energy", "spans.hours", hours=figures(hours, 2))
    days, rest = divmod(round(hours), 24)
    if days < 2:
        return words.text("energy", "spans.hours", hours=round(hours))
    return words.text("energy", "spans.days" if rest else "spans.whole days", days=days, hours=rest)


def _bank(book: Book, study: BankStudy) -> dict[str, Any]:
    bank, house = study.bank, study.house
    temperature = usual_temperature_c()
    names = {a.id: a.name for a in house.appliances} | {
        id_: book.study.network.items[id_].name for id_ in house.inverters
    }
    return {
        "name": book.things(bank.batteries),
        "title": ", ".join(book.study.network.items[id_].name for id_ in bank.batteries),
        "anchor": book.item_anchors[bank.id],
        "capacity_ah": bank.capacity_ah,
        "voltage_v": bank.voltage_v,
        "usable": bank.usable,
        "floor": bank.empty_reading(temperature),
        "usable_wh": bank.usable_wh(temperature),
        "temperature_c": temperature,
        "days": [_day(day) for day in study.days],
        "breakfast_at": BREAKFAST_H,
        "outside_days": [day.name for day in study.days if day.lives_from_outside],
        "breakfasts": [_breakfast(table, names) for table in study.breakfast],
        "appliances": [_appliance(study, a) for a in house.on_bank],
        "outside": [_outside(book, a) for a in house.appliances if a not in house.on_bank and a.fed_by],
        "together": [_together(book, study, row, names) for row in study.together],
        "inverters": [
            {
                "name": book.item(id_),
                "idle_w": line.idle_w,
                "idle_wh": 24 * line.idle_w,
                "hours": bank.usable_wh(temperature) / line.idle_w if line.idle_w else None,
            }
            for id_, line in house.inverters.items()
        ],
        "chargers": _chargers(book, study),
        "engine": [{"name": book.item(id_), "power_w": power} for id_, power in house.engine],
        "arrays": [
            {
                "name": book.item(panel.id),
                "per_kwh_m2": panel.power_w * (1 - panel.losses) * panel.controller_efficiency,
            }
            for panel in house.panels
        ],
        "coldest_charge_c": bank.coldest_charge_c,
        "coldest_discharge_c": bank.coldest_discharge_c,
        "charge_stops_below_c": bank.charge_stops_below_c,
        "loops": [
            {
                "charger": book.item(loop.charger),
                "inverter": book.item(loop.inverter),
                "loss_w": loop.loss_w,
                "hours": span(loop.hours),
            }
            for loop in study.loops
        ],
        "years": [
            {
                "day": year.day,
                "worst": words.catalogue("energy_figures")["months"][year.worst_month],
                "brings_wh": year.months[year.worst_month].brings_wh,
                "takes_wh": year.months[year.worst_month].takes_wh,
                "short_months": _months(tuple(m.number for m in year.months if m.without_h > 0)),
                "doubtful": _months(year.doubtful),
                "not_charged": _months(tuple(m.number for m in year.months if not m.charged)),
                "by_month": year.by_month,
                "temperature_c": year.months[0].temperature_c,
            }
            for year in study.years
        ],
        "pictures": book.energy.get(bank.id, ()),
    }


def _months(numbers: tuple[int, ...]) -> str:
    """Return the names of months; all twelve as every month."""
    names = words.catalogue("energy_figures")["months"]
    if len(numbers) == len(names):
        return words.text("energy", "every month")
    return ", ".join(names[number] for number in numbers)


def _day(day: DayResult) -> dict[str, Any]:
    return {
        "name": day.name,
        "takes_wh": day.takes_wh,
        "dark_takes_wh": day.dark_takes_wh,
        "brings_wh": day.brings_wh,
        "recovers": day.recovers,
        "from_full": span(day.hours_to_empty),
        "dark": span(day.hours_dark),
        "to_full": span(day.hours_to_full) if day.hours_to_full is not None else "",
        "charging_allowed": day.charging_allowed,
        "charged_too_cold": day.charged_too_cold,
        "used_too_cold": day.used_too_cold,
        "temperature_c": day.temperature_c,
        "not_available": [id_.partition(".")[2] for id_ in day.not_available],
    }


def _breakfast(table: Breakfast, names: dict[str, str]) -> dict[str, Any]:
    lasts = dict(table.lasts)
    rows = []
    for reading in lasts:
        plans = [plan for plan in table.plans if plan.reading == reading]
        rows.append(
            {"reading": reading, "all": span(lasts[reading]), "plans": [_plan(plan, names) for plan in plans]}
        )
    return {
        "day": table.day,
        "rows": rows,
        "order": [{"name": names[id_], "saves_wh": wh} for id_, wh in table.order],
    }


def _plan(plan: Plan, names: dict[str, str]) -> dict[str, Any]:
    return {
        "off": ", ".join(names[id_] for id_ in plan.left_off),
        "enough": plan.enough,
        "lasts": span(plan.hours),
    }


def _appliance(study: BankStudy, appliance: Appliance) -> dict[str, Any]:
    """Return what an appliance takes from the battery in an hour, its share of the inverter's losses included."""
    bank, feeder = study.bank, appliance.fed_by["battery"]
    line = study.house.inverters.get(feeder)
    taken = appliance.power_w if line is None else line.idle_w + appliance.power_w / line.slope
    store = bank.store(usual_temperature_c())
    factor = max(taken / store.rated_w, 1.0) ** (store.exponent - 1)
    return {
        "name": appliance.name,
        "feeder": feeder.replace("_", " ") if line else "",
        "power_w": appliance.power_w,
        "taken_w": taken,
        "hours": span(bank.usable_wh(usual_temperature_c()) / (taken * factor)) if taken else "",
        "essential": appliance.essential,
    }


def _outside(book: Book, appliance: Appliance) -> dict[str, Any]:
    return {
        "name": appliance.name,
        "power_w": appliance.power_w,
        "feeders": book.things(tuple(appliance.fed_by.values())),
    }


def _together(book: Book, study: BankStudy, row: Together, names: dict[str, str]) -> dict[str, Any]:
    shown = names | {thing.id: _thing(thing) for thing in row.things}
    kind = book.study.network.items[row.source]
    return {
        "source": book.item(row.source),
        "kind": kind_word(kind),
        "site": row.site,
        "usual_a": row.usual_a,
        "shed": ", ".join(shown[id_] for id_ in row.shed),
        "line": row.line if row.line in ("L1", "L2") else "",
        "limit_va": row.limit_va,
        "all_va": row.all_va,
        "things": ", ".join(shown[thing.id] for thing in row.things),
        "lasting_va": row.lasting_va,
        "holds": row.holds,
        "too_much": [
            {"names": _listed([shown[id_] for id_ in found.ids]), "va": found.va} for found in row.too_much
        ],
        "deeper": row.deeper,
    }


def _thing(thing: Thing) -> str:
    """Return the name of a thing; a charger may bear that of the inverter that it is a part of."""
    return words.text("energy", "charging", name=thing.name) if thing.charger else thing.name


def _listed(names: list[str]) -> str:
    if len(names) < 2:
        return "".join(names)
    return words.text("energy", "and", first=", ".join(names[:-1]), last=names[-1])


def _chargers(book: Book, study: BankStudy) -> list[dict[str, Any]]:
    bank = study.bank
    missing = bank.usable_wh(usual_temperature_c())
    found = []
    for mode in ("site", "generator"):
        for charger, source, line in study.house.chargers.get(mode, ()):
            power = min(line.output_w, bank.charge_limit_a * bank.voltage_v)
            found.append(
                {
                    "name": book.item(charger),
                    "source": book.item(source),
                    "power_w": power,
                    "input_a": line.input_va / study.house.voltage_v(source),
                    "hours": span(charging_hours(missing, power, bank.charge_efficiency, bank.tau_h)),
                }
            )
    return found
