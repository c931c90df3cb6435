"""What must be looked after in a build: only what is there, with its limits, how often and by whom.

Intervals stand in `tables/data/maintenance.csv`, each with its source or the words that it has none.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Literal, cast

from asfitted.description.kinds import EarthElectrode, Fuse, SolarArray
from asfitted.network.model import Item
from asfitted.studies.commissioning.dead import INSULATION_OHM
from asfitted.studies.commissioning.plan import Subject, Test
from asfitted.studies.commissioning.residual import CLASS_A
from asfitted.studies.coverage import residual_a
from asfitted.tables.looked import rows

SWITCHES = ("transfer switch", "selector switch", "inverter charger")


@dataclass(frozen=True)
class Task:
    """One thing to look after: `code` is a key of the `maintenance` words, `where` the equipment concerned.

    `months` between two times, 0 before every use. `limits` are values in base units by name, `tests` the
    tests of the plan that hold the limits.
    """

    code: str
    months: int
    by: Literal["owner", "skilled"]
    where: tuple[str, ...]
    source: str
    limits: dict[str, float] = field(default_factory=dict)
    tests: tuple[str, ...] = ()


def maintenance(subject: Subject, plan: tuple[Test, ...]) -> tuple[Task, ...]:
    """Return the tasks of a build, what the owner does first, the most frequent first."""
    found = []
    for row in rows("maintenance"):
        where = tuple(item.id for item in _concerned(subject, row["for"]) if not item.planned)
        if where or row["for"] in ("always", "ac"):
            if row["for"] == "ac" and not subject.outlets:
                continue
            by = cast(Literal["owner", "skilled"], row["by"])
            limits = dict(_limits(subject, row["task"], where))
            codes = TESTS.get(row["task"], ())
            tests = tuple(dict.fromkeys(test.code for test in plan if test.code in codes))
            found.append(Task(row["task"], int(row["months"]), by, where, row["source"], limits, tests))
    return tuple(sorted(found, key=lambda task: (task.by == "skilled", task.months)))


#: the tests of the plan that a task repeats
TESTS: dict[str, tuple[str, ...]] = {
    "trip-time": ("rcd-trip", "rcd-five", "earth-path"),
    "continuity": ("continuity",),
    "insulation": ("insulation",),
    "transfer-time": ("transfer-time", "interlock", "stuck-contact", "pins-dead"),
    "uncertified": ("uncertified",),
    "isolator": ("galvanic-isolator",),
    "electrode": ("electrode",),
    "torque": ("torque-again",),
}


def _concerned(subject: Subject, what: str) -> Iterator[Item]:
    tells: dict[str, Callable[[Item], bool]] = {
        "residual": lambda i: residual_a(i) is not None,
        "class a": lambda i: i.kind in CLASS_A,
        "transfer": lambda i: i.kind in SWITCHES,
        "uncertified": lambda i: i.kind in SWITCHES and getattr(i.spec, "certified_to", "") == "none",
        "solar": lambda i: i.kind == "solar array",
        "fuse": lambda i: isinstance(i.spec, Fuse),
    }
    tell = tells.get(what)
    return (i for i in subject.network.items.values() if (tell(i) if tell else i.kind == what))


def _limits(subject: Subject, task: str, where: tuple[str, ...]) -> Iterator[tuple[str, float]]:
    """Yield the figures of a task that the build gives."""
    items = [subject.network.items[id_] for id_ in where]
    if task == "insulation":
        yield "insulation_ohm", INSULATION_OHM
    if task == "electrode":
        yield "ohm", max(i.spec.resistance_ohm for i in items if isinstance(i.spec, EarthElectrode))
    if task == "solar":
        yield "volts", sum(i.spec.open_circuit_voltage_v for i in items if isinstance(i.spec, SolarArray))
    if task == "transfer-time":
        claims = [c for i in items for c in (*(i.spec.to_source_1 or ()), *(i.spec.to_source_2 or ()))]  # type: ignore[attr-defined]
        if claims:
            yield "longest_s", max(float(claim.value) for claim in claims)
