"""The chapters of an edition, in their order, as Markdown."""

from collections.abc import Callable
from typing import Any

from asfitted import words
from asfitted.chapters import (
    after_trip,
    both_ways,
    card,
    cautions,
    circuits,
    decisions,
    devices,
    energy,
    energy_workings,
    faults,
    findings,
    inspection_record,
    maintenance,
    operation,
    parts,
    revisions,
    start,
    states,
    system,
    tests,
    transfer,
    troubleshooting,
    workings,
    worksheet,
)
from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.chapters.template import render
from asfitted.publish.model import Page

Context = Callable[[Book], dict[str, Any]]
CHAPTERS: dict[str, Context] = {
    "index": lambda book: start.context(book) | cautions.context(book),
    "card": card.context,
    "cautions": cautions.context,
    "operation": operation.context,
    "after-trip": after_trip.context,
    "system": system.context,
    "states": states.context,
    "energy": energy.context,
    "faults": faults.context,
    "transfer": transfer.context,
    "circuits": circuits.context,
    "devices": devices.context,
    "troubleshooting": troubleshooting.context,
    "troubleshooting-skilled": troubleshooting.skilled_context,
    "maintenance": maintenance.context,
    "tests": tests.context,
    "worksheet": worksheet.context,
    "inspection-record": inspection_record.context,
    "findings": findings.context,
    "decisions": decisions.context,
    "both-ways": both_ways.context,
    "parts": parts.context,
    "workings": workings.context,
    "energy-workings": energy_workings.context,
    "revisions": revisions.context,
}


def pages(book: Book) -> tuple[Page, ...]:
    """Return the pages of a book, the first of them its start."""
    plugs = bool(book.study.network.of_kind("supply inlet"))
    common = {"edition": book.edition, "draft": book.draft, "plugs": plugs}
    return tuple(
        Page(name, words.text("chapters", name), render(name, common | context(book)))
        for name, context in CHAPTERS.items()
        if holds(book.edition, name) and (name != "decisions" or has_decisions(book))
    )


def has_decisions(book: Book) -> bool:
    """Tell whether a description speaks of decisions or of hazards raised."""
    description = book.study.network.description
    return bool(description.decisions or description.raised)
