"""Chapter: start here. What the book is, and what to do in an emergency, in the order of this build."""

from collections.abc import Iterator
from typing import Any

from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.description.kinds import AcSupply, Battery, Inverter
from asfitted.network.labels import ends, rating, where
from asfitted.network.model import Network
from asfitted.studies.isolation import isolation


def context(book: Book) -> dict[str, Any]:
    """Return the identity of the build, the order of isolation, what stays live, the plate of the system."""
    network, description = book.study.network, book.study.network.description
    found = isolation(network, book.study.states)
    lithium = [
        i for i in network.items.values() if isinstance(i.spec, Battery) and i.spec.chemistry == "LiFePO4"
    ]
    return {
        "build": description.build,
        "revision": description.revision,
        "actions": [
            {
                "act": act,
                "item": network.items[id_].name,
                "where": where(network.items[id_]),
                "between": [book.item(neighbour) for neighbour in _neighbours(network, id_)],
                "link": book.item(id_),
            }
            for act, id_ in found.actions
        ],
        "stays_live": [
            {
                "source": book.item(source),
                "name": network.items[source].name,
                "kind": network.items[source].kind,
                "items": book.things(tuple(id_ for id_ in items if network.items[id_].kind != "busbar")),
            }
            for source, items in found.stays_live
        ],
        "people": []
        if not holds(book.edition, "index/people")
        else list(_rows(description.people | description.identity)),
        "has_battery": bool(network.of_kind("battery")),
        "batteries": "; ".join(dict.fromkeys(where(i) or i.name for i in lithium)),
        "lithium": bool(lithium),
        "barred": len(book.study.barred),
        "planned": [i.name for i in network.items.values() if i.planned]
        + [c.id for c in network.cables.values() if c.planned],
        "plate": [
            {"name": book.item(i.id), "kind": i.kind, "rating": rating(i.spec), "where": where(i)}
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


def _neighbours(network: Network, id_: str) -> list[str]:
    """Return what the cables of a piece of equipment lead to: where to look for it if no place is given."""
    both = [ends(network, cable) for cable in network.cables.values() if id_ in ends(network, cable)]
    return list(dict.fromkeys(end for pair in both for end in pair if end != id_))


def _rows(private: dict[str, Any], above: str = "") -> Iterator[tuple[str, str]]:
    """Yield the private entries of a description as rows of name and value, nested names joined."""
    for name, value in private.items():
        label = f"{above}, {name}" if above else name
        if isinstance(value, dict):
            yield from _rows(value, label)
        else:
            yield label, str(value)
