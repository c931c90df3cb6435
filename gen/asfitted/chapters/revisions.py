"""Chapter: revisions. What changed, when, by whom; raised hazards and decisions as described."""

from typing import Any

from asfitted.chapters.book import Book


def context(book: Book) -> dict[str, Any]:
    """Return the revisions, the latest first, and what is planned but not there."""
    network = book.study.network
    return {
        "revisions": sorted(network.description.revisions.items(), reverse=True),
        "planned": book.things(tuple(i.id for i in network.items.values() if i.planned))
        if any(i.planned for i in network.items.values())
        else None,
        "planned_cables": book.things(tuple(c.id for c in network.cables.values() if c.planned)),
    }
