"""What is wrong with one cable, as findings."""

import math
from collections.abc import Callable, Iterator

from asfitted import words
from asfitted.network.model import Cable
from asfitted.studies.auto_size import fitting_size, size_for_device
from asfitted.studies.cable_checks import Load, allowed_length
from asfitted.studies.capacity import Capacity
from asfitted.studies.protection import Protection, device_name
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial, standard_sizes
from asfitted.tables.looked import NoRowError

#: gauges and metric sizes are a few per cent off what they are called
NOMINAL = 0.97


def cable_findings(
    trial: Trial, cable: Cable, load: Load, found: tuple[Protection, ...]
) -> Iterator[Finding]:
    """Yield what is wrong with a cable: overloaded, not protected, protected too late or at the wrong
    place.
    """
    rules, limit = trial.rules, trial.capacity_a(cable.id)
    uncorrected = trial.capacities[cable.id].uncorrected_a

    def finding(code: str, grade: Grade, check: str, clause: str, **fields: object) -> Finding:
        given = {"cable": cable.id, "size": trial.sizes[cable.id].designation, "capacity_a": round(limit, 1)}
        named = (
            part for key in ("device", "source") for part in str(fields.get(key) or "").split(" + ") if part
        )
        where, working = tuple(dict.fromkeys((cable.id, *named))), f"{cable.id}.{check}"
        return Finding(code, grade, where, cable.mark, (), {**given, **fields}, rules.clause(clause), working)

    least = rules.limits.get("smallest a.c. conductor")
    if least and cable.kind in ("ac", "L", "N") and trial.sizes[cable.id].mm2 < NOMINAL * least.value:
        clause, named = "smallest conductor", least.note
        yield finding("conductor-below-least", Grade.POTENTIAL, "capacity", clause, least=named)
    if missing := trial.capacities[cable.id].missing:
        smallest = standard_sizes(trial.network, rules, cable)[0].designation
        yield finding(
            "no-capacity-row",
            Grade.POTENTIAL,
            "capacity",
            "current-carrying capacity",
            asked=missing,
            smallest=smallest,
            rules=rules.name,
        )
        return
    if abs(load.current_a) > limit:
        scenario = trial.scenarios[load.scenario or 0]
        current_a, capacity_a = apart(abs(load.current_a), limit)
        yield finding(
            "cable-overloaded",
            Grade.POTENTIAL,
            "capacity",
            "design current",
            current_a=current_a,
            capacity_a=capacity_a,
            **larger(fitting_size(trial, cable, abs(load.current_a))),
            source=scenario.source,
        )
    elif rules.continuous and load.required_a > uncorrected:
        yield finding(
            "cable-continuous-load",
            Grade.POTENTIAL,
            "continuous_load",
            "continuous conductor",
            current_a=round(abs(load.current_a), 1),
            required_a=round(load.required_a, 1),
            uncorrected_a=round(uncorrected, 1),
            **larger(_size_before_factors(trial, cable, load.required_a)),
        )
    for protection in found:
        yield from _protection_findings(trial, cable, protection, limit, finding)


def _protection_findings(
    trial: Trial, cable: Cable, protection: Protection, limit: float, finding: Callable[..., Finding]
) -> Iterator[Finding]:
    device, source = protection.device, protection.source
    permitted = trial.permitted(cable.id)
    factor = trial.rules.limits.get("overload factor")
    length = round(protection.unprotected_m, 2)
    if protection.manner == "none" and device is None:
        yield finding("no-protection", Grade.DANGER, "capacity", "overload", source=source, length_m=length)
    elif protection.shared and protection.manner == "too large":
        yield finding(
            "shared-neutral",
            Grade.POTENTIAL,
            "capacity",
            "shared neutral",
            device=device.id if device else "–",
            source=source,
            current_a=round(protection.limit_a, 1),
            **larger(fitting_size(trial, cable, protection.limit_a)),
        )
    elif protection.manner in ("none", "too large") and device:
        ampacity = ampacity_a(trial.capacities[cable.id])
        small = permitted.rule == "small conductor" and device.rating_a <= _next_rating_a(trial, ampacity)
        yield finding(
            "small-conductor" if small else "device-above-cable",
            Grade.POTENTIAL,
            "rated_current",
            "small conductor" if small else "overload",
            device=device.id,
            rating_a=device.rating_a,
            permitted_a=round(permitted.rating_a, 1),
            ampacity_a=round(ampacity, 1),
            **larger(size_for_device(trial, cable, device.rating_a)),
            **_or_device(trial, device.id, permitted.rating_a),
        )
    elif protection.manner == "too large" and protection.unprotected_m:
        current = round(protection.limit_a, 1)
        yield finding(
            "source-above-cable",
            Grade.POTENTIAL,
            "capacity",
            "limited source",
            source=source,
            current_a=current,
        )
    elif device and permitted.good_practice_a is not None and device.rating_a > permitted.good_practice_a:
        yield finding(
            "device-above-good-practice",
            Grade.IMPROVEMENT,
            "rated_current",
            "good practice",
            device=device.id,
            rating_a=device.rating_a,
            permitted_a=round(permitted.rating_a, 1),
            **larger(size_for_device(trial, cable, device.rating_a)),
            **_or_device(trial, device.id, permitted.good_practice_a),
        )
    elif device and factor and device.i2_a > factor.value * limit:
        yield finding(
            "device-too-slow",
            Grade.IMPROVEMENT,
            "conventional_current",
            "overload",
            device=device.id,
            rating_a=device.rating_a,
            i2_a=round(device.i2_a, 1),
            **larger(fitting_size(trial, cable, device.i2_a / factor.value)),
        )
    if protection.manner == "behind" and protection.unprotected_m:
        allowed = allowed_length(trial, protection).value
        if protection.unprotected_m <= allowed:
            return
        if protection.before is None:  # behind a device before it: see short_circuit
            yield finding(
                "unprotected-length",
                Grade.POTENTIAL,
                "unprotected_length",
                "short-circuit device position",
                source=source,
                length_m=length,
                allowed_m=allowed,
            )


def apart(one: float, other: float) -> tuple[float, float]:
    """Return two different figures rounded to the fewest decimals, one at the least, that tell them apart."""
    for decimals in range(1, 6):
        if round(one, decimals) != round(other, decimals):
            break
    return round(one, decimals), round(other, decimals)


def larger(size: str) -> dict[str, object]:
    """Return the size of a cable that would do, and the words for it, which say so where no standard one does."""
    key = "larger cable" if size != "–" else "no larger cable"
    return {"fitting_size": size, "larger": words.text("report", key, size=size)}


def _or_device(trial: Trial, id_: str, limit_a: float) -> dict[str, object]:
    """Return the rating of a smaller device that would do, and the words for it; none where no standard one is so
    small, or where the device is not the builder's.
    """
    fitting = _fitting_rating_a(trial, id_, limit_a)
    words_ = words.text("report", "or device", rating_a=fitting) if fitting != "–" else ""
    return {"fitting_rating_a": fitting, "or_device": f", {words_}" if words_ else ""}


def _fitting_rating_a(trial: Trial, id_: str, limit_a: float) -> str:
    """Return the largest standard rating of a device of the same kind that a capacity allows, or a dash."""
    item = trial.network.items.get(id_)
    if item is None or item.kind == "ac supply":
        return "–"
    try:
        ratings = trial.rules.standard_ratings_a(device_name(item.spec))
    except NoRowError:
        return "–"
    return next((f"{rating:g}" for rating in reversed(ratings) if rating <= limit_a), "–")


def ampacity_a(found: Capacity) -> float:
    """Return what a conductor itself carries where it lies, whatever its terminals are marked for."""
    factors = {i.symbol: i.value for i in found.working.inputs}
    return math.prod(factors.get(symbol, 1.0) for symbol in ("I_t", "C_a", "C_g", "C_i"))


def _next_rating_a(trial: Trial, capacity_a: float) -> float:
    """Return the standard rating that a capacity would allow if the conductor were not a small one."""
    ratings = trial.rules.standard_ratings_a("breaker")
    return next((rating for rating in ratings if rating >= capacity_a), capacity_a)


def _size_before_factors(trial: Trial, cable: Cable, required_a: float) -> str:
    """Return the smallest standard size whose ampacity before any factor is enough, or a dash."""
    sizes = standard_sizes(trial.network, trial.rules, cable)
    fitting = (s for s in sizes if trial.capacity_of(cable, s).uncorrected_a >= required_a)
    return next((size.designation for size in fitting), "–")
