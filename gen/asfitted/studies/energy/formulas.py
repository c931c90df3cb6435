"""The closed forms: Peukert, autonomy, charging time, the line of an inverter, ventilation.

The simulation is held to them in the tests; the workings print them.
"""

import math

#: IEC 62485-2 7.2 (seen in public reprints): dilution 24, hydrogen 0.42e-3 m³/Ah, safety factor 5; rounded there
VENTILATION_FACTOR = 0.05
#: IEC 62485-2 7.3 (seen in public reprints): opening in cm² for each m³/h, one for inlet and one for outlet
OPENING_CM2 = 28.0
#: what is still missing when an absorption stage is over: a twentieth (definition of the field, see kinds.yaml)
MISSING_AFTER_ABSORPTION = 0.05


def peukert_hours(capacity_ah: float, rated_h: float, current_a: float, exponent: float) -> float:
    """Return the hours that a full battery gives a constant current: H·(C/(I·H))^k, C at the H-hour rate."""
    return rated_h * math.pow(capacity_ah / (current_a * rated_h), exponent)


def peukert_factor(current_a: float, rated_a: float, exponent: float) -> float:
    """Return how many times its current a battery loses in charge: (I/I_rated)^(k−1), 1 up to the rated current.

    Below the rated current the law would promise more than the rated capacity: that is not counted on.
    """
    return math.pow(max(current_a / rated_a, 1.0), exponent - 1)


def bank_ah(
    daily_wh: float, days: float, usable: float, voltage_v: float, cold_multiplier: float = 1.0
) -> float:
    """Return the capacity that lasts `days`: E·N·m/(DoD·U)."""
    return daily_wh * days * cold_multiplier / (usable * voltage_v)


def charging_hours(missing_wh: float, power_w: float, efficiency: float, time_constant_h: float) -> float:
    """Return the hours from `missing_wh` below full to the end of absorption, at a constant power offered.

    Bulk at full power until what is missing is what absorption can still take, P·η·τ; then an exponential with the
    time constant τ until a twentieth of that is missing.
    """
    stored_w = power_w * efficiency
    knee_wh = stored_w * time_constant_h
    absorption_h = -time_constant_h * math.log(MISSING_AFTER_ABSORPTION)
    return max(missing_wh - knee_wh, 0.0) / stored_w + absorption_h


def time_constant_h(absorption_h: float) -> float:
    """Return τ of an absorption stage that leaves a twentieth: t / ln 20."""
    return absorption_h / -math.log(MISSING_AFTER_ABSORPTION)


def air_m3_h(cells: int, gassing_ma_per_ah: float, capacity_ah: float) -> float:
    """Return the flow of air that dilutes the hydrogen of a battery on charge: 0.05·n·I_gas·C_rt·10⁻³ (IEC 62485-2)."""
    return VENTILATION_FACTOR * cells * gassing_ma_per_ah * capacity_ah * 1e-3


def opening_cm2(air: float) -> float:
    """Return the least free area of each of the two openings for natural ventilation: 28·Q (IEC 62485-2)."""
    return OPENING_CM2 * air
