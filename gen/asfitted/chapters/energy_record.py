"""The energy study as plain data for record.json: batteries, kinds of day, what runs together, loops, air."""

from typing import Any

from asfitted.studies.energy.bank import usual_temperature_c
from asfitted.studies.energy.days import DayResult, Part
from asfitted.studies.energy.shed import Breakfast
from asfitted.studies.energy.study import BankStudy, EnergyStudy
from asfitted.studies.energy.together import Together

#: less than a hair of a watt-hour is left over from rounding
NOTHING = 1e-6


def energy_record(study: EnergyStudy) -> dict[str, Any]:
    """Return the energy study; a time without end is null."""
    return {
        "batteries": [_bank(bank) for bank in study.banks],
        "ventilation": [
            {
                "battery": air.battery,
                "space": air.space or None,
                "vented": air.vented,
                "cells": air.cells,
                "gassing_ma_per_ah": air.gassing_ma_per_ah,
                "air_m3_h": _rounded(air.air_m3_h),
                "opening_cm2": _rounded(air.opening_cm2),
                "clause": air.source,
            }
            for air in study.ventilation
        ],
    }


def _bank(study: BankStudy) -> dict[str, Any]:
    bank = study.bank
    return {
        "ids": list(bank.batteries),
        "chemistry": bank.chemistry,
        "rated_wh": _rounded(bank.rated_wh),
        "usable_wh": _rounded(bank.usable_wh(usual_temperature_c())),
        "usable_share": bank.usable,
        "peukert_exponent": bank.exponent,
        "charge_efficiency": bank.charge_efficiency,
        "absorption_time_constant_h": _rounded(bank.tau_h),
        "coldest_charge_c": bank.coldest_charge_c,
        "coldest_discharge_c": bank.coldest_discharge_c,
        "charge_stops_below_c": bank.charge_stops_below_c,
        "assumed": sorted(bank.assumed),
        "states": {
            mode: state.id
            for mode in ("site", "generator", "battery")
            if (state := study.house.modes.state(mode)) is not None
        },
        "days": [_day(day) for day in study.days],
        "cloudy": [_breakfast(table) for table in study.breakfast],
        "together": [_together(row) for row in study.together],
        "loops": [
            {
                "charger": loop.charger,
                "inverter": loop.inverter,
                "state": loop.state,
                "loss_w": _rounded(loop.loss_w),
                "hours_to_empty": _rounded(loop.hours),
            }
            for loop in study.loops
        ],
        "years": [
            {
                "day": year.day,
                "worst_month": year.worst_month + 1,
                "months": [
                    {
                        "month": m.number + 1,
                        "horizontal_kwh_m2": _rounded(m.horizontal_kwh_m2),
                        "brings_wh": _rounded(m.brings_wh),
                        "takes_wh": _rounded(m.takes_wh),
                        "lowest_share": _rounded(m.lowest_share),
                        "without_supply_h": _rounded(m.without_h),
                        "temperature_c": m.temperature_c,
                        "charged": m.charged,
                        "doubtful": m.doubtful,
                    }
                    for m in year.months
                ],
            }
            for year in study.years
        ],
    }


def _day(day: DayResult) -> dict[str, Any]:
    ledger = day.typical
    return {
        "name": day.name,
        "temperature_c": day.temperature_c,
        "full_wh": _rounded(day.full_wh),
        "floor_wh": _rounded(day.floor_wh),
        "takes": _parts(day.takes),
        "brings": _parts(day.brings),
        "through": _parts(day.through),
        "peak_w": _rounded(day.peak_w),
        "surplus_wh": _rounded(day.surplus_wh),
        "hours_to_empty": _rounded(day.hours_to_empty),
        "hours_dark": _rounded(day.hours_dark),
        "hours_to_full": _rounded(day.hours_to_full),
        "charging_allowed": day.charging_allowed,
        "charged_too_cold": day.charged_too_cold,
        "used_too_cold": day.used_too_cold,
        "not_available": list(day.not_available),
        "balance": {
            "start_wh": _rounded(ledger.start_wh),
            "end_wh": _rounded(ledger.end_wh),
            **{
                name: _rounded(float(getattr(ledger, name).sum()))
                for name in (
                    "offered_wh", "load_wh", "direct_wh", "accepted_wh", "charging_loss_wh", "delivered_wh",
                    "rate_loss_wh", "unserved_wh", "curtailed_wh",
                )
            },
        },
    }  # fmt: skip


def _breakfast(table: Breakfast) -> dict[str, Any]:
    return {
        "day": table.day,
        "order": _parts(tuple(Part(id_, wh) for id_, wh in table.order)),
        "lasts": [{"reading": reading, "hours": _rounded(hours)} for reading, hours in table.lasts],
        "plans": [
            {
                "reading": plan.reading,
                "days": plan.days,
                "left_off": list(plan.left_off),
                "hours": _rounded(plan.hours),
                "enough": plan.enough,
            }
            for plan in table.plans
        ],
    }


def _together(row: Together) -> dict[str, Any]:
    return {
        "source": row.source,
        "mode": row.mode,
        "site": row.site or None,
        "line": row.line or None,
        "usual_a": row.usual_a,
        "shed": list(row.shed),
        "limit_va": _rounded(row.limit_va),
        "all_va": _rounded(row.all_va),
        "lasting_va": _rounded(row.lasting_va),
        "things": [thing.id for thing in row.things],
        "too_much": [{"things": list(found.ids), "va": _rounded(found.va)} for found in row.too_much],
    }


def _parts(parts: tuple[Part, ...]) -> list[dict[str, Any]]:
    return [{"id": part.id, "wh": _rounded(part.wh)} for part in parts]


def _rounded(value: float | None) -> float | None:
    """Return a value with six significant figures, and nothing for what rounding leaves over: more would differ from
    machine to machine.
    """
    return None if value is None else 0.0 if abs(value) < NOTHING else float(f"{value:.6g}")
