"""The whole test plan in its order, and for each row of the list of tests why it is or is not part of it."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.studies.commissioning.dead import dead_tests
from asfitted.studies.commissioning.direct import direct_tests, first_tests
from asfitted.studies.commissioning.inspect import inspection
from asfitted.studies.commissioning.live import live_tests
from asfitted.studies.commissioning.plan import Subject, Test
from asfitted.studies.commissioning.residual import residual_tests
from asfitted.studies.commissioning.transfer import charger_tests, last_tests, transfer_tests
from asfitted.tables.looked import rows


@dataclass(frozen=True)
class ListedTest:
    """A row of the list of tests: which of this build's tests serve it, or why none does (a key of the
    `absent` words).
    """

    row: str
    title: str
    tests: tuple[str, ...]
    absent: str


def whole_plan(subject: Subject) -> tuple[Test, ...]:
    """Return every test of the build in the order in which it is safe: dead before live, the protective
    conductors before any trip, the changeover after its sources.
    """
    parts = (
        inspection,
        dead_tests,
        direct_tests,
        first_tests,
        live_tests,
        residual_tests,
        transfer_tests,
        charger_tests,
        last_tests,
    )
    return tuple(test for part in parts for test in _kind_by_kind(tuple(part(subject))))


def _kind_by_kind(tests: tuple[Test, ...]) -> list[Test]:
    """Return the tests with those of one kind together: the instrument stays in the hand."""
    order = list(dict.fromkeys(test.code for test in tests))
    return sorted(tests, key=lambda test: order.index(test.code))


def listed(plan: tuple[Test, ...]) -> tuple[ListedTest, ...]:
    """Return the rows of `data/commissioning.csv`, each with the tests of the plan that serve it."""
    return tuple(_listed(plan))


def _listed(plan: tuple[Test, ...]) -> Iterator[ListedTest]:
    by_code: dict[str, list[str]] = {}
    for test in plan:
        by_code.setdefault(test.code, []).append(test.id)
    for row in rows("commissioning"):
        served = tuple(id_ for code in row["codes"].split() for id_ in by_code.get(code, ()))
        yield ListedTest(row["row"], row["title"], served, "" if served else row["absent"])
