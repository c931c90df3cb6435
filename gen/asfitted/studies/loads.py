"""Currents that equipment takes: loads, inverters on their battery side, chargers on their supply side.

A.c. currents are phasors in A r.m.s. against the supply voltage: a lagging load has a negative imaginary
part.
"""

import math
from dataclasses import dataclass
from typing import Literal

from asfitted.description.kinds import LoadItem
from asfitted.studies.results import Input, Working

#: Taken where the description gives none; each use is printed as an assumption.
ASSUMED_POWER_FACTOR = {
    "alarm": 0.9,
    "heater": 1.0,
    "motor": 0.8,
    "machine": 0.8,
    "compressor": 0.8,
    "lighting": 0.9,
    None: 0.9,
    "continuous": 0.9,
}
ASSUMED_INVERTER_EFFICIENCY = 0.85
ASSUMED_CHARGER_EFFICIENCY = 0.85
ASSUMED_CHARGER_POWER_FACTOR = 0.65


@dataclass(frozen=True)
class Draw:
    """The current that one piece of equipment takes, and how it was computed."""

    current_a: complex
    working: Working
    assumed: tuple[Literal["power factor", "efficiency", "socket load"], ...] = ()


def phasor(current_a: float, power_factor: float) -> complex:
    """Return the phasor of a lagging current of `current_a` at `power_factor`."""
    return complex(current_a * power_factor, -current_a * math.sqrt(1 - power_factor**2))


def ac_load(subject: str, load: LoadItem, voltage_v: float) -> Draw:
    """Return the current of an appliance on a.c.: P/(U·cos φ), or the current given."""
    assumed = load.power_factor is None
    factor = ASSUMED_POWER_FACTOR[load.duty] if load.power_factor is None else load.power_factor
    angle = Input("cos φ", factor, "", "assumed" if assumed else "described")
    if load.current_a is not None or load.power_w is None:
        current = load.current_a or 0.0
        inputs: tuple[Input, ...] = (Input("I", current, "A", "described"), angle)
        formula = "I"
    else:
        current = load.power_w / (voltage_v * factor)
        inputs = (Input("P", load.power_w, "W", "described"), Input("U", voltage_v, "V", "nominal"), angle)
        formula = "P / (U · cos φ)"
    working = Working(
        subject,
        "load_current",
        "I_b",
        formula,
        inputs,
        current,
        "A",
        "",
        verified="assumed" if assumed else "read",
    )
    return Draw(phasor(current, factor), working, ("power factor",) if assumed else ())


def dc_load(subject: str, load: LoadItem, lowest_voltage_v: float) -> Draw:
    """Return the current of an appliance on d.c.: P/U at the lowest battery voltage, or the current given."""
    if load.current_a is not None or load.power_w is None:
        current = load.current_a or 0.0
        inputs: tuple[Input, ...] = (Input("I", current, "A", "described"),)
        formula = "I"
    else:
        current = load.power_w / lowest_voltage_v
        inputs = (
            Input("P", load.power_w, "W", "described"),
            Input("U_min", lowest_voltage_v, "V", "battery"),
        )
        formula = "P / U_min"
    return Draw(complex(current), Working(subject, "load_current", "I_b", formula, inputs, current, "A", ""))


def inverter_input(subject: str, power_w: float, efficiency: float | None, lowest_voltage_v: float) -> Draw:
    """Return the battery current of an inverter that delivers `power_w`: P/(η·U) at the lowest voltage it
    works at.
    """
    assumed = efficiency is None
    eta = ASSUMED_INVERTER_EFFICIENCY if efficiency is None else efficiency
    current = power_w / (eta * lowest_voltage_v)
    inputs = (
        Input("P", power_w, "W", "rating"),
        Input("η", eta, "", "assumed" if assumed else "described"),
        Input("U_min", lowest_voltage_v, "V", "battery"),
    )
    working = Working(
        subject,
        "converter_input_current",
        "I_dc",
        "P / (η · U_min)",
        inputs,
        current,
        "A",
        "",
        verified="assumed" if assumed else "read",
    )
    return Draw(complex(current), working, ("efficiency",) if assumed else ())


def charger_input(
    subject: str,
    output_a: float,
    output_v: float,
    efficiency: float | None,
    power_factor: float | None,
    voltage_v: float,
) -> Draw:
    """Return the supply current of a charger at full output: U_dc·I_dc/(η·cos φ·U)."""
    eta = ASSUMED_CHARGER_EFFICIENCY if efficiency is None else efficiency
    factor = ASSUMED_CHARGER_POWER_FACTOR if power_factor is None else power_factor
    current = output_a * output_v / (eta * factor * voltage_v)
    inputs = (
        Input("I_dc", output_a, "A", "rating"),
        Input("U_dc", output_v, "V", "battery"),
        Input("η", eta, "", "assumed" if efficiency is None else "described"),
        Input("cos φ", factor, "", "assumed" if power_factor is None else "described"),
        Input("U", voltage_v, "V", "nominal"),
    )
    missing: tuple[Literal["power factor", "efficiency"], ...] = (
        *(("efficiency",) if efficiency is None else ()),
        *(("power factor",) if power_factor is None else ()),
    )
    working = Working(
        subject,
        "charger_input_current",
        "I_b",
        "U_dc · I_dc / (η · cos φ · U)",
        inputs,
        current,
        "A",
        "",
        verified="assumed" if missing else "read",
    )
    return Draw(phasor(current, factor), working, missing)
