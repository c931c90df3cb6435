"""What is wrong with one cable, as findings."""

from collections.abc import Callable, Iterator

from asfitted.network.model import Cable
from asfitted.studies.cable_checks import Load
from asfitted.studies.protection import Protection
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial


def cable_findings(trial: Trial, cable: Cable, load: Load, found: tuple[Protection, ...]) -> Iterator[Finding]:
    """Yield what is wrong with a cable: overloaded, not protected, protected too late or at the wrong place."""
    rules, limit = trial.rules, trial.capacity_a(cable.id)

    def finding(code: str, grade: Grade, check: str, clause: str, **fields: object) -> Finding:
        given = {"cable": cable.id, "size": trial.sizes[cable.id].designation, "capacity_a": round(limit, 1)}
        where = (cable.id, *(str(fields[k]) for k in ("device", "source") if fields.get(k)))
        return Finding(
            code,
            grade,
            where,
            cable.mark,
            (),
            {**given, **fields},
            rules.clause(clause),
            f"{cable.id}.{check}",
        )

    if abs(load.current_a) > limit:
        scenario = trial.scenarios[load.scenario or 0]
        yield finding(
            "cable-overloaded",
            Grade.POTENTIAL,
            "capacity",
            "design current",
            current_a=round(abs(load.current_a), 1),
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
    if protection.manner == "none":
        if device is None:
            yield finding(
                "no-protection", Grade.DANGER, "capacity", "overload", source=source, length_m=length
            )
        else:
            yield finding(
                "device-above-cable",
                Grade.POTENTIAL,
                "rated_current",
                "overload",
                device=device.id,
                rating_a=device.rating_a,
                source=source,
            )
    elif protection.manner == "too large" and device:
        yield finding(
            "device-above-cable",
            Grade.POTENTIAL,
            "rated_current",
            "overload",
            device=device.id,
            rating_a=device.rating_a,
            source=source,
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
