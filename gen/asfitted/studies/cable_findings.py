"""What is wrong with one cable, as findings."""

from collections.abc import Callable, Iterator

from asfitted.network.model import Cable
from asfitted.studies.auto_size import fitting_size
from asfitted.studies.cable_checks import Load
from asfitted.studies.protection import Protection, device_name
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial
from asfitted.tables.devices import standard_ratings_a
from asfitted.tables.looked import NoRowError


def cable_findings(
    trial: Trial, cable: Cable, load: Load, found: tuple[Protection, ...]
) -> Iterator[Finding]:
    """Yield what is wrong with a cable: overloaded, not protected, protected too late or at the wrong place."""
    rules, limit = trial.rules, trial.capacity_a(cable.id)

    def finding(code: str, grade: Grade, check: str, clause: str, **fields: object) -> Finding:
        given = {"cable": cable.id, "size": trial.sizes[cable.id].designation, "capacity_a": round(limit, 1)}
        named = (
            part for key in ("device", "source") for part in str(fields.get(key) or "").split(" + ") if part
        )
        where, working = (cable.id, *named), f"{cable.id}.{check}"
        return Finding(code, grade, where, cable.mark, (), {**given, **fields}, rules.clause(clause), working)

    if abs(load.current_a) > limit:
        scenario = trial.scenarios[load.scenario or 0]
        yield finding(
            "cable-overloaded",
            Grade.POTENTIAL,
            "capacity",
            "design current",
            current_a=round(abs(load.current_a), 1),
            fitting_size=fitting_size(trial, cable, abs(load.current_a)),
            source=scenario.source,
        )
    for protection in found:
        yield from _protection_findings(trial, cable, protection, limit, finding)


def _protection_findings(
    trial: Trial, cable: Cable, protection: Protection, limit: float, finding: Callable[..., Finding]
) -> Iterator[Finding]:
    device, source = protection.device, protection.source
    allowed = trial.rules.limits["unprotected length"].value
    length = round(protection.unprotected_m, 2)
    if protection.manner == "none" and device is None:
        yield finding("no-protection", Grade.DANGER, "capacity", "overload", source=source, length_m=length)
    elif protection.manner in ("none", "too large") and device:
        yield finding(
            "device-above-cable",
            Grade.POTENTIAL,
            "rated_current",
            "overload",
            device=device.id,
            rating_a=device.rating_a,
            source=source,
            fitting_size=fitting_size(trial, cable, device.rating_a),
            fitting_rating_a=_fitting_rating_a(trial, device.id, limit),
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
    elif device and device.i2_a > trial.rules.limits["overload factor"].value * limit:
        yield finding(
            "device-too-slow",
            Grade.IMPROVEMENT,
            "conventional_current",
            "overload",
            device=device.id,
            rating_a=device.rating_a,
            i2_a=round(device.i2_a, 1),
            fitting_size=fitting_size(
                trial, cable, device.i2_a / trial.rules.limits["overload factor"].value
            ),
        )
    if protection.manner == "behind" and protection.unprotected_m > allowed:
        if protection.before is None:
            yield finding(
                "unprotected-length",
                Grade.POTENTIAL,
                "unprotected_length",
                "unprotected length",
                source=source,
                length_m=length,
                allowed_m=allowed,
            )
        else:
            yield finding(
                "short-circuit-not-shown",
                Grade.INVESTIGATION,
                "unprotected_length",
                "short-circuit duration",
                device=protection.before.id,
                rating_a=protection.before.rating_a,
                length_m=length,
                allowed_m=allowed,
            )


def _fitting_rating_a(trial: Trial, id_: str, limit_a: float) -> str:
    """Return the largest standard rating of a device of the same kind that a capacity allows, or a dash."""
    item = trial.network.items.get(id_)
    if item is None or item.kind == "ac supply":
        return "–"
    try:
        ratings = standard_ratings_a(device_name(item.spec))
    except NoRowError:
        return "–"
    return next((f"{rating:g}" for rating in reversed(ratings) if rating <= limit_a), "–")
