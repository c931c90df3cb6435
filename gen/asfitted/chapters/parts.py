"""Chapter: parts. Every piece of equipment with its rating, place and status."""

from typing import Any

from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.network.labels import kind_word, rating, where


def context(book: Book) -> dict[str, Any]:
    """Return all equipment in the order of the description, and the fuses as a list of spares."""
    network = book.study.network
    spares: dict[tuple[str, str], int] = {}
    for item in network.of_kind("fuse"):
        key = (kind_word(item), rating(item.spec))
        spares[key] = spares.get(key, 0) + 1
    return {
        "parts": [
            {
                "name": item.name,
                "link": book.item(item.id) if book.is_device(item) else None,
                "anchor": None if book.is_device(item) else book.item_anchors[item.id],
                "kind": kind_word(item),
                "rating": rating(item.spec),
                "where": where(item),
                "status": item.spec.status,
                "loads": [
                    (name, load.power_w, load.current_a)
                    for name, load in getattr(item.spec, "loads", {}).items()
                ],
            }
            for item in network.items.values()
        ],
        "private": []
        if not holds(book.edition, "parts/private notes")
        else [
            {"name": item.name, "notes": "; ".join(f"{k}: {v}" for k, v in item.spec.private.items())}
            for item in network.items.values()
            if item.spec.private
        ],
        "spares": [{"rating": rating_, "count": count} for (_, rating_), count in spares.items()],
    }
