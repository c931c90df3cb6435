"""Chapters: finding a failure without tools, and with them."""

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup

from asfitted.chapters import finding_out as say
from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.studies.troubleshooting.failures import Failure, FailureKind
from asfitted.studies.troubleshooting.troubleshoot import TableStep

#: of a kind that has more places than this, only the number is given
MOST_NAMED = 12


def context(book: Book) -> dict[str, Any]:
    """Return the steps that need no tool, what each kind of failure asks for, and what nobody notices."""
    found = book.study.troubleshooting
    reached = _ends(book, found.without_tools)
    return {
        "steps": [_step(book, step) for step in found.without_tools],
        "kinds": _kinds(reached),
        "count": len(found.failures) - 1,
        "unnoticed_count": len(found.unnoticed),
        "unnoticed": _unnoticed(book, found.unnoticed),
    }


def skilled_context(book: Book) -> dict[str, Any]:
    """Return the steps that need a tool."""
    found = book.study.troubleshooting
    steps = tuple(s for s in found.steps if s.observation and s.observation.skilled)
    return {
        "steps": [_step(book, step) for step in steps],
        "kinds": _kinds(_ends(book, steps)),
        "count": len(found.failures) - 1,
    }


def _target(book: Book, step: TableStep, number: int) -> Markup:
    """Return a link to a step; its number alone where this edition does not hold it."""
    page = "troubleshooting-skilled" if step.observation and step.observation.skilled else "troubleshooting"
    if not holds(book.edition, page):
        return Markup(number)  # noqa: S704  (a number)
    return Markup(f"[{number}]({page}.md#step-{number})")  # noqa: S704  (names of ours)


def _step(book: Book, step: TableStep) -> dict[str, Any]:
    assert step.observation is not None  # noqa: S101  (ends are no steps)
    numbers = book.study.troubleshooting.numbers
    grouped: dict[int, list[str]] = {}
    for outcome, to in step.ways:
        grouped.setdefault(to, []).append(say.seen(book, step.observation, outcome))
    ways = []
    for to, texts in grouped.items():
        then = book.study.troubleshooting.by_number[to]
        ways.append(
            {
                "see": texts,
                "to": _target(book, then, numbers[to]) if then.observation else None,
                "skilled": bool(
                    then.observation and then.observation.skilled and not step.observation.skilled
                ),
                "found": [] if then.observation else [_failure(book, f) for f in then.left],
            }
        )
    return {
        "number": numbers[step.number],
        "anchor": Markup(f"step-{numbers[step.number]}"),  # noqa: S704  (a number)
        "do": say.todo(book, step.observation),
        "ways": ways,
    }


def _failure(book: Book, failure: Failure) -> dict[str, Any]:
    return {"name": say.failure_name(book, failure)}


def _ends(book: Book, steps: Iterable[TableStep]) -> tuple[Failure, ...]:
    """Return the failures at the ends that lie directly behind some steps."""
    by_number = book.study.troubleshooting.by_number
    ends = (by_number[to] for step in steps for _, to in step.ways)
    return tuple(failure for end in ends if end.observation is None for failure in end.left)


def _kinds(found: Iterable[Failure]) -> list[dict[str, Any]]:
    kinds = dict.fromkeys(failure.kind for failure in found)
    return [{"name": say.kind_name(kind), "do": say.remedy(kind)} for kind in kinds]


def _unnoticed(book: Book, found: Iterable[Failure]) -> list[dict[str, Any]]:
    alike: dict[FailureKind, list[Failure]] = {}
    for failure in found:
        alike.setdefault(failure.kind, []).append(failure)
    return [
        {
            "kind": say.kind_name(kind),
            "count": len(group),
            "names": [say.failure_name(book, f) for f in group] if len(group) <= MOST_NAMED else [],
        }
        for kind, group in alike.items()
    ]
