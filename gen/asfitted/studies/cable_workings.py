"""The workings of one cable: design current, capacity, coordination with its device, length without
protection.
"""

from collections.abc import Iterator
from dataclasses import replace

from asfitted.network.model import Cable
from asfitted.network.resistance import core_resistance_20c
from asfitted.studies.cable_checks import Load, allowed_length
from asfitted.studies.continuous import consumers_over
from asfitted.studies.drop import conductors_in_series, drop_v
from asfitted.studies.protection import Device, Protection
from asfitted.studies.results import Input, Limit, Verdict, Working
from asfitted.studies.trial import Trial
from asfitted.tables.conductors import copper
from asfitted.tables.looked import Looked


def workings(trial: Trial, cable: Cable, load: Load, protection: Protection | None) -> Iterator[Working]:
    """Yield the workings of a cable: design current, capacity, coordination, length without protection."""
    rules, limit = trial.rules, trial.capacity_a(cable.id)
    state = trial.scenarios[load.scenario].state.id if load.scenario is not None else None
    yield _design_working(trial, cable, load)
    base = trial.capacities[cable.id].working
    bound = Limit("≥", abs(load.current_a), "A", rules.clause("design current"))
    yield from _drop_workings(trial, cable, load)
    yield replace(base, limit=bound, verdict=_verdict(limit >= abs(load.current_a)))
    if rules.continuous:
        yield _continuous_working(trial, cable, load)
    if protection is None:
        return
    yield from _protection_workings(trial, cable, protection, limit, state)


def _protection_workings(
    trial: Trial, cable: Cable, protection: Protection, limit: float, state: str | None
) -> Iterator[Working]:
    rules, device = trial.rules, protection.device
    if protection.manner == "source":
        clause = rules.clause("limited source")
        inputs = (Input("I_max", protection.limit_a, "A", "source"),)
        bound = Limit("≤", limit, "A", clause)
        yield Working(
            cable.id,
            "source_current",
            "I_max",
            "I_max",
            inputs,
            protection.limit_a,
            "A",
            clause,
            bound,
            "holds",
            note=protection.source,
            verified="from memory",
        )
    if device is None:
        return
    rating, factor = Input("I_n", device.rating_a, "A", "rating"), rules.limits.get("overload factor")
    permitted, clause = trial.permitted(cable.id), rules.clause("overload")
    most = permitted.rating_a if " + " not in device.id else limit
    yield Working(
        cable.id,
        "rated_current",
        "I_n",
        "I_n",
        (rating,),
        device.rating_a,
        "A",
        clause,
        Limit("≤", most, "A", permitted.source),
        _verdict(device.rating_a <= most),
        state,
        "; ".join((device.id, permitted.rule)) if permitted.rule != "capacity" else device.id,
        permitted.verified,
    )
    if factor:
        yield _conventional_working(cable, device, rating, factor, limit, state)
    if protection.manner == "behind" and protection.before is None and protection.unprotected_m:
        allowed = allowed_length(trial, protection)
        length = protection.unprotected_m
        yield Working(
            cable.id,
            "unprotected_length",
            "l",
            "l",
            (Input("l", length, "m", "described"),),
            length,
            "m",
            allowed.source,
            Limit("≤", allowed.value, "m", allowed.source),
            _verdict(length <= allowed.value),
            note=allowed.note,
            verified=allowed.verified,
        )


def _continuous_working(trial: Trial, cable: Cable, load: Load) -> Working:
    """Return the working of 125 % of the continuous load, held against the ampacity before any factor."""
    factor, uncorrected = trial.rules.continuous, trial.capacities[cable.id].uncorrected_a
    assert factor is not None  # noqa: S101  (asked for only where the rules have one)
    current = abs(load.current_a)
    lasting = (load.required_a - current) / (factor.value - 1)
    inputs = (
        Input("I_b", current, "A", "loads"),
        Input("I_c", lasting, "A", "loads"),
        Input("f", factor.value, "", "table"),
    )
    clause = trial.rules.clause("continuous conductor")
    return Working(
        cable.id,
        "continuous_load",
        "I_req",
        "I_b + (f − 1) · I_c",
        inputs,
        load.required_a,
        "A",
        factor.source,
        Limit("≤", uncorrected, "A", clause),
        _verdict(load.required_a <= uncorrected),
    )


def _conventional_working(
    cable: Cable, device: Device, rating: Input, factor: Looked, limit: float, state: str | None
) -> Working:
    return Working(
        cable.id,
        "conventional_current",
        "I_2",
        "k_2 · I_n",
        (Input("k_2", device.i2_a / device.rating_a, "", "table"), rating),
        device.i2_a,
        "A",
        device.source,
        Limit("≤", factor.value * limit, "A", factor.source),
        _verdict(device.i2_a <= factor.value * limit),
        state,
        device.id,
        device.verified,
    )


def _drop_workings(trial: Trial, cable: Cable, load: Load) -> Iterator[Working]:
    """Yield the resistance of one core at its operating temperature, and the drop of the design current in
    the cable.
    """
    conductor_class = trial.network.description.cables[cable.id].conductor_class
    at_20 = core_resistance_20c(cable, trial.sizes[cable.id], conductor_class)
    scenario = trial.scenarios[load.scenario] if load.scenario is not None else None
    impedance = trial.impedance(cable.live[0], ac=scenario is not None and scenario.mode == "supply")
    inputs = (
        Input("r_20", 1000 * at_20.value / cable.length_m, "mohm/m", "table"),
        Input("l", cable.length_m, "m", "described"),
        Input("α", copper("temperature_coefficient_20c").value, "1/K", "table"),
        Input("θ", cable.conductor_temp_c, "°C", "insulation"),
    )
    yield Working(
        cable.id,
        "conductor_resistance",
        "R",
        "r_20 · l · (1 + α · (θ − 20))",
        inputs,
        1000 * impedance.real,
        "mohm",
        at_20.source,
        note=at_20.note,
        verified=at_20.verified,
    )
    if scenario is None:
        return
    current, conductors = abs(load.current_a), conductors_in_series(cable)
    cos, sin = load.current_a.real / current, -load.current_a.imag / current
    parts = [
        Input("b", conductors, "", "cable"),
        Input("I_b", current, "A", "loads"),
        Input("R", 1000 * impedance.real, "mohm", "cable"),
        Input("cos φ", abs(cos), "", "loads"),
    ]
    formula = "b · I_b · R · cos φ / 1000"
    if scenario.mode == "supply":
        parts += [Input("X", 1000 * impedance.imag, "mohm", "table"), Input("sin φ", abs(sin), "", "loads")]
        formula = "b · I_b · (R · cos φ + X · sin φ) / 1000"
    result = conductors * abs(drop_v(load.current_a, impedance))
    clause = trial.rules.clause("voltage drop")
    yield Working(
        cable.id, "cable_drop", "ΔU", formula, tuple(parts), result, "V", clause, state=scenario.state.id
    )


def _verdict(holds: bool) -> Verdict:
    return "holds" if holds else "fails"


def _design_working(trial: Trial, cable: Cable, load: Load) -> Working:
    if load.scenario is None:
        return Working(
            cable.id, "design_current", "I_b", "0", (), 0.0, "A", trial.rules.clause("design current")
        )
    scenario = trial.scenarios[load.scenario]
    over = consumers_over(trial, scenario, cable)
    parts = [i for i in scenario.injections if i.item in over]
    inputs = [Input(f"I({i.item})", abs(i.current_a), "A", "loads") for i in parts]
    total = abs(sum((i.current_a for i in parts), 0j))
    formula = "|Σ I|"
    if total > scenario.limit_a:
        inputs.append(Input("I_max", scenario.limit_a, "A", "source"))
        formula = "min(|Σ I|, I_max)"
    return Working(
        cable.id,
        "design_current",
        "I_b",
        formula,
        tuple(inputs),
        abs(load.current_a),
        "A",
        trial.rules.clause("design current"),
        state=scenario.state.id,
    )
