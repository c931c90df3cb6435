"""Chapter: what is looked after, how often, by whom, within which limits; and a log."""

from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.chapters.testing_words import said as test_said
from asfitted.numbers import quantity, tied
from asfitted.studies.maintenance import Task, maintenance
from asfitted.studies.next_inspection import next_inspection

UNITS = {"ohm": ("ohm", 1.0), "insulation_ohm": ("MΩ", 1e6), "volts": ("V", 1.0)}


def context(book: Book) -> dict[str, Any]:
    """Return the tasks of the owner and of a skilled person, and when the next inspection is due."""
    tasks = maintenance(book.study.subject, book.study.commissioning.plan)
    by = {who: [_task(book, task) for task in tasks if task.by == who] for who in ("owner", "skilled")}
    return {"parts": [{"by": who, "tasks": rows} for who, rows in by.items() if rows], "due": due(book)}


def due(book: Book) -> dict[str, Any]:
    """Return the date of the next inspection and what it counts from."""
    found = next_inspection(book.study.network, book.study.results)
    return {"date": found.date.isoformat(), "years": found.years, "tested": found.tested}


def _task(book: Book, task: Task) -> dict[str, Any]:
    fields = {
        name: quantity(task.limits[name] / factor, unit)
        for name, (unit, factor) in UNITS.items()
        if name in task.limits
    }
    longest = task.limits.get("longest_s")
    fields["longest"] = _said("longest", time=quantity(longest, "s")) if longest else ""
    earlier = words.catalogue("maintenance")["earlier"]
    months = str(task.months)
    return {
        "every": earlier.get(months) or _said(f"every.{months}"),
        "do": _said(f"tasks.{task.code}.do"),
        "limit": _said(f"tasks.{task.code}.limit", **fields),
        "where": book.things(task.where),
        "source": task.source,
        "tests": [
            Markup(f"[{test_said(f'tests.{code}', 'title')}](tests.md#test-{code})")  # noqa: S704  (words of ours)
            for code in task.tests
            if holds(book.edition, "tests")
        ],
    }


def _said(key: str, **fields: object) -> str:
    return tied(words.text("maintenance", key, **fields))
