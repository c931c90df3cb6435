"""Chapter: workings of the energy. What the simulation was fed with, and each day part by part."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.network.model import Network
from asfitted.studies.energy.bank import Bank
from asfitted.studies.energy.days import DayResult, Part
from asfitted.studies.energy.study import BankStudy
from asfitted.studies.energy.ventilation import Ventilation
from asfitted.tables.energy import battery_value


def context(book: Book) -> dict[str, Any]:
    """Return for each battery what it was taken for, each day part by part, the year and the air."""
    energy = book.study.energy
    return {
        "banks": [_bank(book, study) for study in energy.banks],
        "air": [_air(book, air) for air in energy.ventilation],
    }


def _bank(book: Book, study: BankStudy) -> dict[str, Any]:
    bank, network = study.bank, book.study.network
    names = {a.id: a.name for a in study.house.appliances}
    return {
        "name": book.things(bank.batteries),
        "title": ", ".join(book.study.network.items[id_].name for id_ in bank.batteries),
        "anchor": book.item_anchors[bank.id],
        "chemistry": bank.chemistry,
        "values": [_value(bank, *entry) for entry in _entries(bank)],
        "states": [
            {"mode": mode, "state": book.state(state.id)}
            for mode in ("site", "generator", "battery")
            if (state := study.house.modes.state(mode)) is not None
        ],
        "days": [_day(network, day, names) for day in study.days],
        "years": [
            {
                "day": year.day,
                "months": [
                    {
                        "name": words.catalogue("energy_figures")["months"][m.number],
                        "horizontal": m.horizontal_kwh_m2,
                        "brings_wh": m.brings_wh,
                        "takes_wh": m.takes_wh,
                        "lowest": m.lowest_share,
                        "without_h": m.without_h,
                        "temperature_c": m.temperature_c,
                    }
                    for m in year.months
                ],
            }
            for year in study.years
        ],
    }


def _entries(bank: Bank) -> list[tuple[str, float, str]]:
    """Return quantity, value and unit of what is known of a bank, in the order in which it is used."""
    return [
        ("usable", 100 * bank.usable, "%"),
        ("peukert", bank.exponent, ""),
        ("rated_h", bank.rated_h, "h"),
        ("charge_efficiency", 100 * bank.charge_efficiency, "%"),
        ("absorption_h", bank.tau_h, "h"),
        ("self_discharge", bank.standing_w, "W"),
    ]


def _value(bank: Bank, quantity: str, value: float, unit: str) -> dict[str, Any]:
    assumed = quantity in bank.assumed
    looked = battery_value(bank.chemistry, quantity) if assumed else None
    return {
        "name": words.text("energy", f"values.{quantity}"),
        "value": value,
        "unit": unit,
        "origin": words.text("energy", f"origins.{'assumed' if assumed else 'described'}"),
        "source": f"{looked.source}: {looked.note}".rstrip(": ") if looked else "",
        "verified": looked.verified if looked else "",
    }


def _day(network: Network, day: DayResult, names: dict[str, str]) -> dict[str, Any]:
    def parts(found: tuple[Part, ...]) -> list[dict[str, Any]]:
        return [{"name": network.items[part.id].name, "wh": part.wh} for part in found if part.wh > 0]

    ledger = day.typical
    return {
        "name": day.name,
        "temperature_c": day.temperature_c,
        "full_wh": day.full_wh,
        "floor_wh": day.floor_wh,
        "takes": [
            {"name": names.get(part.id) or _loss(network, part.id, day.bank), "wh": part.wh}
            for part in day.takes
            if part.wh > 0
        ],
        "brings": parts(day.brings),
        "used": parts(day.used),
        "through": parts(day.through),
        "peak_through": [
            {"name": part.id.replace("_", " "), "w": part.wh} for part in day.peak_through if part.wh > 0
        ],
        "peak_w": day.peak_w,
        "surplus_wh": day.surplus_wh,
        "start_wh": ledger.start_wh,
        "end_wh": ledger.end_wh,
        "direct_wh": _summed(ledger.direct_wh),
        "accepted_wh": _summed(ledger.accepted_wh),
        "charging_loss_wh": _summed(ledger.charging_loss_wh),
        "delivered_wh": _summed(ledger.delivered_wh),
        "rate_loss_wh": _summed(ledger.rate_loss_wh),
        "unserved_wh": _summed(ledger.unserved_wh),
        "curtailed_wh": _summed(ledger.curtailed_wh),
    }


def _loss(network: Network, id_: str, bank: str) -> str:
    if id_ == bank:
        return words.text("energy_figures", "streams.standing")
    return words.text("energy", "losses", name=network.items[id_].name)


def _air(book: Book, air: Ventilation) -> dict[str, Any]:
    return {
        "battery": book.item(air.battery),
        "space": air.space,
        "vented": air.vented,
        "cells": air.cells,
        "gas": air.gassing_ma_per_ah,
        "air_l_h": 1000 * air.air_m3_h,
        "opening_cm2": air.opening_cm2,
    }


def _summed(series: NDArray[np.float64]) -> float:
    """Return the sum of a day, without what rounding leaves over."""
    return round(float(series.sum()), 3)
