"""Places where gas or petrol vapour collects: what may stand there, and what may lead through."""

from collections.abc import Iterator

from asfitted.description.schema import Space
from asfitted.network.model import Cable, Item
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial

#: what neither switches nor runs nor melts: it makes no spark, in service or in a fault of what lies behind it
QUIET = (
    "busbar", "earth bar", "earth electrode", "structure", "meter", "galvanic isolator", "battery", "solar array",
    "isolating transformer", "ac supply",
)  # fmt: skip
IGNITION_PROTECTED = "ignition protected"
#: settings in which an engine stands in the open air of the road, its own alternator with it
ROAD = ("road vehicle", "trailer")


def vapour_findings(trial: Trial) -> Iterator[Finding]:
    """Yield equipment and cables that may light gas or petrol vapour, and what keeps that from being judged."""
    for item in trial.network.items.values():
        space = _space(trial, item)
        if space is not None and space.holds == "gas cylinders":
            yield from _in_gas_locker(trial, item)
        elif space is not None and (space.engine == "petrol" or space.holds == "petrol tank"):
            yield from _beside_petrol(trial, item, space)
    for cable in trial.network.cables.values():
        yield from _through_gas_locker(trial, cable)
    yield from _not_described(trial)


def _space(trial: Trial, item: Item) -> Space | None:
    return trial.network.description.spaces.get(item.spec.space or "")


def _protected(item: Item) -> bool:
    return IGNITION_PROTECTED in (item.spec.certified_to or "")


def _in_gas_locker(trial: Trial, item: Item) -> Iterator[Finding]:
    """Nothing electrical belongs there but extra-low-voltage equipment of the gas supply that cannot ignite it;
    on a craft whatever is ignition protected.
    """
    afloat = trial.network.description.build.setting == "boat"
    direct = not any(t.rsplit(".", 1)[-1] in ("L", "L1", "L2", "N") for t in item.terminals)
    if item.kind in ("earth bar", "structure") or (_protected(item) and (direct or afloat)):
        return
    fields: dict[str, object] = {"equipment": item.id, "space": item.spec.space}
    clause = trial.rules.clause("gas locker")
    yield Finding("equipment-in-gas-locker", Grade.POTENTIAL, (item.id,), item.mark, (), fields, clause)


def _beside_petrol(trial: Trial, item: Item, space: Space) -> Iterator[Finding]:
    afloat = trial.network.description.build.setting == "boat"
    fields: dict[str, object] = {"equipment": item.id, "space": item.spec.space}
    if item.kind == "battery" and space.holds == "petrol tank":
        clause = trial.rules.clause("battery beside fuel")
        yield Finding("battery-beside-fuel", Grade.INVESTIGATION, (item.id,), item.mark, (), fields, clause)
    if item.kind in QUIET or _protected(item):
        return
    in_the_open = trial.network.description.build.setting in ROAD and space.holds is None
    if in_the_open and item.kind == "alternator":
        return
    grade = Grade.POTENTIAL if afloat or not in_the_open else Grade.INVESTIGATION
    clause = trial.rules.clause("ignition")
    yield Finding("not-ignition-protected", grade, (item.id,), item.mark, (), fields, clause)


def _through_gas_locker(trial: Trial, cable: Cable) -> Iterator[Finding]:
    space = trial.network.description.spaces.get(cable.space or "")
    if space is None or space.holds != "gas cylinders":
        return
    fields: dict[str, object] = {"cable": cable.id, "space": cable.space}
    clause = trial.rules.clause("gas locker")
    if cable.method == "in conduit":
        code, grade = "cable-in-gas-locker-height", Grade.INVESTIGATION
    else:
        code, grade = "cable-in-gas-locker", Grade.POTENTIAL
    yield Finding(code, grade, (cable.id,), cable.mark, (), fields, clause)


def _not_described(trial: Trial) -> Iterator[Finding]:
    """A craft with a petrol engine whose space is not described: nothing can be said of what stands in it."""
    build, spaces = trial.network.description.build, trial.network.description.spaces
    if build.setting != "boat" or build.engine != "petrol":
        return
    clause = trial.rules.clause("ignition")
    if not any(space.engine == "petrol" for space in spaces.values()):
        yield Finding("petrol-space-not-described", Grade.INVESTIGATION, ("engine",), clause=clause)
        return
    for item in trial.network.of_kind("alternator"):
        if item.spec.space is None:
            fields: dict[str, object] = {"equipment": item.id}
            where = (item.id,)
            yield Finding(
                "petrol-place-not-stated", Grade.INVESTIGATION, where, item.mark, (), fields, clause
            )
