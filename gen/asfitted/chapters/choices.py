"""What the program chose for parts that the description leaves open: each with the check that governs."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.order import in_order
from asfitted.network.labels import cable_size
from asfitted.numbers import quantity, tied
from asfitted.studies.auto_device import UNITS, Choice
from asfitted.studies.sizing import CableResult


def device_choices(book: Book) -> list[dict[str, Any]]:
    """Return one row for each field of a device that was chosen."""
    chosen = book.study.choices
    devices = in_order({choice.device: None for choice in chosen})
    return [_device(book, choice) for id_ in devices for choice in chosen if choice.device == id_]


def _device(book: Book, choice: Choice) -> dict[str, Any]:
    unit = UNITS.get(choice.field, "")
    number = isinstance(choice.value, int | float)
    needs = {name: value for name, value in choice.needs.items() if value > 0}
    return {
        "device": book.item(choice.device),
        "field": words.text("workings", f"chosen.{choice.field}"),
        "value": quantity(float(choice.value), unit) if number and choice.value else choice.value or "–",
        "governs": words.text("workings", f"choices.{choice.governed_by}"),
        "asked": quantity(max(needs.values()), unit or "A") if needs else "–",
        "by_current": quantity(choice.by_current, "A"),
    }


def cable_choices(book: Book) -> list[dict[str, Any]]:
    """Return one row for each cable that was sized."""
    return [_cable(book, result) for result in book.study.sizing.cables.values() if result.automatic]


def _cable(book: Book, result: CableResult) -> dict[str, Any]:
    return {
        "cable": book.cable(result.id),
        "size": tied(cable_size(book.study.network.cables[result.id])),
        "governs": words.text("workings", f"checks.{result.governed_by}"),
        "by_current": tied(result.size_by_current),
    }
