"""Batteries, solar arrays and d.c. switchgear: what may be joined, what voltage and frost do to them."""

from collections.abc import Iterator

from asfitted.description.kinds import (
    Battery,
    Breaker,
    Contactor,
    Equipment,
    Fuse,
    GfciBreaker,
    Isolator,
    Rcbo,
    Rcd,
    SolarArray,
    SolarController,
)
from asfitted.network.model import Item
from asfitted.network.states import State
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial
from asfitted.tables.solar import cold_voltage_factor

#: from three strings on, the others can drive more into a faulty one than a module stands (IEC 60364-7-712,
#: from
#: memory)
STRINGS_WITH_FUSES = 3


def dc_findings(trial: Trial, states: tuple[State, ...]) -> Iterator[Finding]:
    """Yield what is wrong with batteries, arrays and d.c. devices."""
    for item in trial.network.items.values():
        yield from _ac_only(trial, item)
    yield from _batteries(trial, states)
    yield from _alternators(trial, states)


def lowest_c(trial: Trial, item: Item) -> float:
    """Return the lowest temperature where a piece of equipment stands."""
    description = trial.network.description
    space = description.spaces.get(item.spec.space) if item.spec.space else None
    return float(space.lowest_c if space and space.lowest_c is not None else description.build.lowest_c)


def is_direct(trial: Trial, item: Item) -> bool:
    """Tell whether a device has its contacts in d.c. conductors."""
    return any(c.conductor in ("plus", "minus") for c in trial.network.contacts if c.equipment == item.id)


def made_for_ac_only(spec: Equipment) -> bool:
    """Tell whether a device has a rated voltage for a.c. and none for d.c., or senses a.c. residual
    currents.
    """
    if isinstance(spec, Rcd | Rcbo | GfciBreaker):
        return True
    if not isinstance(spec, Breaker | Fuse | Isolator | Contactor):
        return False
    return getattr(spec, "ac_voltage_v", None) is not None and getattr(spec, "dc_voltage_v", None) is None


def _ac_only(trial: Trial, item: Item) -> Iterator[Finding]:
    """A device made for a.c. alone must not stand in d.c.: its arc goes out by the current's own zero."""
    if is_direct(trial, item) and made_for_ac_only(item.spec):
        fields: dict[str, object] = {"device": item.id}
        clause = trial.rules.clause("rated voltage")
        yield Finding("ac-device-on-dc", Grade.POTENTIAL, (item.id,), item.mark, fields=fields, clause=clause)


def _batteries(trial: Trial, states: tuple[State, ...]) -> Iterator[Finding]:
    batteries = trial.network.of_kind("battery")
    for number, item in enumerate(batteries):
        for other in batteries[number + 1 :]:
            if any(s.live_potentials.same(f"{item.id}.plus", f"{other.id}.plus") for s in states):
                yield from _pair(trial, item, other)


def _pair(trial: Trial, first: Item, second: Item) -> Iterator[Finding]:
    """Two batteries in parallel must be alike, or one charges the other without limit."""
    a, b = first.spec, second.spec
    assert isinstance(a, Battery)  # noqa: S101  (asked for by kind)
    assert isinstance(b, Battery)  # noqa: S101
    if (a.chemistry, a.voltage_v) != (b.chemistry, b.voltage_v):
        fields: dict[str, object] = {"a": first.id, "b": second.id}
        clause = trial.rules.clause("parallel batteries")
        where = (first.id, second.id)
        yield Finding("batteries-unlike", Grade.POTENTIAL, where, second.mark, fields=fields, clause=clause)
    elif a.capacity_ah != b.capacity_ah:
        fields = {"a": first.id, "b": second.id}
        where = (first.id, second.id)
        yield Finding("batteries-uneven", Grade.IMPROVEMENT, where, second.mark, fields=fields)


def _alternators(trial: Trial, states: tuple[State, ...]) -> Iterator[Finding]:
    for alternator in trial.network.of_kind("alternator"):
        for battery in trial.network.of_kind("battery"):
            joined = any(
                s.live_potentials.same(f"{alternator.id}.plus", f"{battery.id}.plus") for s in states
            )
            if joined and getattr(battery.spec, "chemistry", "") == "LiFePO4":
                fields: dict[str, object] = {"alternator": alternator.id, "battery": battery.id}
                where = (alternator.id, battery.id)
                yield Finding(
                    "alternator-on-lithium", Grade.INVESTIGATION, where, alternator.mark, fields=fields
                )


def solar(trial: Trial, states: tuple[State, ...]) -> Iterator[tuple[Working, tuple[Finding, ...]]]:
    """Yield for each solar array its voltage in the coldest air against its controller, and what
    many strings need.
    """
    for array in trial.network.of_kind("solar array"):
        for controller in trial.network.of_kind("solar controller"):
            ends = (f"{array.id}.plus", f"{controller.id}.array.plus")
            if any(s.live_potentials.same(*ends) for s in states):
                yield _cold(trial, array, controller)


def _cold(trial: Trial, array: Item, controller: Item) -> tuple[Working, tuple[Finding, ...]]:
    spec, limit = array.spec, controller.spec
    assert isinstance(spec, SolarArray)  # noqa: S101  (asked for by kind)
    assert isinstance(limit, SolarController)  # noqa: S101
    coldest = lowest_c(trial, array)
    factor = cold_voltage_factor(coldest)
    voltage = factor.value * spec.open_circuit_voltage_v
    clause = trial.rules.clause("solar")
    working = Working(
        array.id,
        "cold_voltage",
        "U_oc,cold",
        "f_θ · U_oc",
        (
            Input("f_θ", factor.value, "", "table"),
            Input("U_oc", spec.open_circuit_voltage_v, "V", "described"),
            Input("θ_min", coldest, "°C", "build"),
        ),
        voltage,
        "V",
        factor.source or clause,
        Limit("≤", limit.array_voltage_v, "V", clause),
        "holds" if voltage <= limit.array_voltage_v else "fails",
        note=controller.id,
        verified=factor.verified,
    )
    found: list[Finding] = []
    fields: dict[str, object] = {
        "array": array.id,
        "controller": controller.id,
        "voltage_v": round(voltage, 1),
        "limit_v": limit.array_voltage_v,
        "lowest_c": coldest,
        "strings": int(spec.strings),
    }
    if voltage > limit.array_voltage_v:
        where = (array.id, controller.id)
        found.append(
            Finding("solar-voltage", Grade.POTENTIAL, where, array.mark, (), fields, clause, working.id)
        )
    if spec.strings >= STRINGS_WITH_FUSES:
        found.append(
            Finding(
                "string-fuses", Grade.INVESTIGATION, (array.id,), array.mark, fields=fields, clause=clause
            )
        )
    return working, tuple(found)
