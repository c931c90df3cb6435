"""Chapter: start here. What the book is, and what to do in an emergency, in the order of this build."""

from collections.abc import Iterator
from typing import Any

from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.chapters.emergency import emergency
from asfitted.description.kinds import AcSupply, Battery, Inverter
from asfitted.network.labels import found_at, rating


def context(book: Book) -> dict[str, Any]:
    """Return the identity of the build, the emergency, the plate of the system."""
    network, description = book.study.network, book.study.network.description
    return emergency(book) | {
        "build": description.build,
        "revision": description.revision,
        "people": []
        if not holds(book.edition, "index/people")
        else list(_rows(description.people | description.identity)),
        "barred": len(book.study.barred),
        "planned": [i.name for i in network.items.values() if i.planned]
        + [c.id for c in network.cables.values() if c.planned],
        "plate": [
            {"name": book.item(i.id), "kind": i.kind, "rating": rating(i.spec), "where": found_at(network, i)}
            for i in network.items.values()
            if isinstance(i.spec, AcSupply | Inverter | Battery)
            or i.kind
            in (
                "generator",
                "transfer switch",
                "selector switch",
                "battery charger",
                "solar array",
                "supply inlet",
            )
        ],
    }


def _rows(private: dict[str, Any], above: str = "") -> Iterator[tuple[str, str]]:
    """Yield the private entries of a description as rows of name and value, nested names joined."""
    for name, value in private.items():
        label = f"{above}, {name}" if above else name
        if isinstance(value, dict):
            yield from _rows(value, label)
        else:
            yield label, str(value)
