"""The figures of the energy study with all that is needed to compute them again."""

from collections.abc import Iterator
from typing import Literal

from asfitted.studies.energy.bank import Bank, usual_temperature_c
from asfitted.studies.energy.days import DayResult
from asfitted.studies.energy.formulas import charging_hours, peukert_hours
from asfitted.studies.energy.household import Household
from asfitted.studies.energy.loop import EnergyLoop
from asfitted.studies.energy.ventilation import Ventilation
from asfitted.studies.results import Input, Working
from asfitted.tables.energy import battery_value, cold_share
from asfitted.tables.looked import weakest

Verified = Literal["read", "from memory", "assumed"]
#: the load at which the efficiency of an inverter is shown beside its rating
SMALL_LOAD = 0.05


def bank_workings(house: Household) -> Iterator[Working]:
    """Yield usable energy, and for each inverter the run time at its rating and its efficiency at a small load."""
    bank = house.bank
    temperature = usual_temperature_c()
    cold = cold_share(bank.chemistry, temperature)
    yield Working(
        bank.id,
        "usable_energy",
        "E_u",
        "C · U · f_t · DoD",
        (
            Input("C", bank.capacity_ah, "Ah", "described"),
            Input("U", bank.voltage_v, "V", "described"),
            Input("f_t", cold.value, "", "table"),
            Input("DoD", bank.usable, "", _origin(bank, "usable")),
        ),
        bank.usable_wh(temperature),
        "Wh",
        cold.source,
        note=f"{temperature:g} °C",
        verified=_verified(bank, "usable", cold.verified),
    )
    for id_, line in house.inverters.items():
        current = line.rated_w / line.efficiency / bank.voltage_v
        capacity = bank.full_wh(temperature) * bank.usable / bank.voltage_v
        inputs = (
            Input("H", bank.rated_h, "h", _origin(bank, "rated_h")),
            Input("C_u", capacity, "Ah", "battery"),
            Input("C", bank.capacity_ah, "Ah", "described"),
            Input("I", current, "A", "loads"),
            Input("k", bank.exponent, "", _origin(bank, "peukert")),
        )
        hours = (
            peukert_hours(bank.capacity_ah, bank.rated_h, current, bank.exponent)
            * capacity
            / bank.capacity_ah
        )
        yield Working(
            f"{bank.id}–{id_}",
            "run_time",
            "t",
            "H · (C / (I · H))^k · C_u / C",
            inputs,
            hours,
            "h",
            "Peukert, H-hour form",
            verified=_verified(bank, "peukert"),
        )
        small = SMALL_LOAD * line.rated_w
        yield Working(
            id_,
            "part_load_efficiency",
            "η",
            "P / (P_0 + P · (P_n / η_n − P_0) / P_n)",
            (
                Input("P", small, "W", "loads"),
                Input("P_0", line.idle_w, "W", "rating"),
                Input("P_n", line.rated_w, "W", "rating"),
                Input("η_n", line.efficiency, "", "rating"),
            ),
            line.efficiency_at(small),
            "",
            "",
        )


def charging_workings(house: Household) -> Iterator[Working]:
    """Yield how long each charger takes from the floor to full while plugged in."""
    bank = house.bank
    missing = bank.usable_wh(usual_temperature_c())
    for charger, _, line in house.chargers.get("site", ()):
        power = min(line.output_w, bank.charge_limit_a * bank.voltage_v)
        yield Working(
            f"{bank.id}–{charger}",
            "charging_time",
            "t",
            "(E_u − P · η · τ) / (P · η) + τ · ln 20",
            (
                Input("E_u", missing, "Wh", "battery"),
                Input("P", power, "W", "rating"),
                Input("η", bank.charge_efficiency, "", _origin(bank, "charge_efficiency")),
                Input("τ", bank.tau_h, "h", _origin(bank, "absorption_h")),
            ),
            charging_hours(missing, power, bank.charge_efficiency, bank.tau_h),
            "h",
            "constant current, then exponential absorption",
            verified=_verified(bank, "absorption_h"),
        )


def panel_workings(house: Household) -> Iterator[Working]:
    """Yield what each array brings for one kWh/m² on it."""
    for panel in house.panels:
        result = panel.power_w * (1 - panel.losses) * panel.controller_efficiency
        yield Working(
            panel.id,
            "array_yield",
            "E",
            "P · H · (1 − L) · η",
            (
                Input("P", panel.power_w, "W", "rating"),
                Input("H", 1.0, "kWh/m²", "described"),
                Input("L", panel.losses, "", "described"),
                Input("η", panel.controller_efficiency, "", "described"),
            ),
            result,
            "Wh",
            "NREL/TP-6A20-62641",
        )


def day_workings(days: tuple[DayResult, ...]) -> Iterator[Working]:
    """Yield the autonomy of each kind of day by the short formula, beside which the simulation stands."""
    for day in days:
        if day.dark_takes_wh <= 0:
            continue
        usable = day.full_wh - day.floor_wh
        yield Working(
            f"{day.bank}.{day.name}",
            "autonomy",
            "N",
            "E_u / E_d",
            (
                Input("E_u", usable, "Wh", "battery"),
                Input("E_d", day.dark_takes_wh, "Wh", "loads"),
            ),
            usable / day.dark_takes_wh,
            "d",
            "battery sizing worksheet",
            note=f"{day.temperature_c:g} °C",
        )


def loop_workings(house: Household, loops: tuple[EnergyLoop, ...]) -> Iterator[Working]:
    """Yield the loss of each energy loop."""
    for loop in loops:
        inverter = house.inverters[loop.inverter]
        line = next(line for id_, _, line in house.chargers["battery"] if id_ == loop.charger)
        yield Working(
            loop.charger,
            "energy_loop",
            "P_loss",
            "P · (1 / η_i − η_c) + P_0",
            (
                Input("P", loop.through_w, "W", "rating"),
                Input("η_i", inverter.slope, "", "rating"),
                Input("η_c", line.efficiency, "", "rating"),
                Input("P_0", inverter.idle_w, "W", "rating"),
            ),
            loop.loss_w,
            "W",
            "",
            state=loop.state,
        )


def ventilation_workings(found: tuple[Ventilation, ...]) -> Iterator[Working]:
    """Yield air and opening for each lead-acid battery."""
    for air in found:
        yield Working(
            air.battery,
            "ventilation",
            "Q",
            "0.05 · n · I_gas · C / 1000",
            (
                Input("n", air.cells, "", "described"),
                Input("I_gas", air.gassing_ma_per_ah, "mA/Ah", "table"),
                Input("C", air.capacity_ah, "Ah", "described"),
            ),
            air.air_m3_h,
            "m³/h",
            air.source,
        )
        yield Working(
            air.battery,
            "ventilation_opening",
            "A",
            "28 · Q",
            (Input("Q", air.air_m3_h, "m³/h", "described"),),
            air.opening_cm2,
            "cm²",
            "IEC 62485-2 7.3",
        )


def _origin(bank: Bank, quantity: str) -> str:
    return "assumed" if quantity in bank.assumed else "described"


def _verified(bank: Bank, quantity: str, *others: Verified) -> Verified:
    if quantity not in bank.assumed:
        return weakest("read", *others)
    return weakest(battery_value(bank.chemistry, quantity).verified, *others)
