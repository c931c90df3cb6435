"""Chapter: protective and switching devices; for each, what it protects and what may stay live after it opens."""

from typing import Any

from asfitted.chapters.book import Book
from asfitted.chapters.choices import device_choices
from asfitted.chapters.device_tables import besides, faults, ratings
from asfitted.chapters.editions import holds
from asfitted.chapters.order import in_order
from asfitted.figures.time_current import in_words
from asfitted.network.labels import kind_word, rating, where
from asfitted.network.model import Item
from asfitted.studies.isolation import Opened, opened


def context(book: Book) -> dict[str, Any]:
    """Return every device with its rating, place, cables, and from where its two sides may stay live in any state."""
    network = book.study.network
    all_opened = opened(network, book.study.states)
    devices = [network.items[id_] for id_ in in_order(network.items) if book.is_device(network.items[id_])]
    return {
        "devices": [_device(book, item, [o for o in all_opened if o.device == item.id]) for item in devices],
        "choices": device_choices(book),
        "ratings": ratings(book),
        "faults": faults(book) if holds(book.edition, "devices/fault currents") else [],
        "curves": book.time_currents,
        "chains": _chains(book),
        "besides": besides(book) if holds(book.edition, "devices/fault currents") else [],
    }


def _chains(book: Book) -> list[dict[str, Any]]:
    """Return for each chain of two devices and more, in words, which opens first."""
    network, sizing = book.study.network, book.study.sizing
    return [
        {
            "source": book.item(chain.source),
            "last": book.things(chain.last),
            "before": book.things(chain.devices[:-1]),
            "told": in_words(network, chain),
        }
        for chain in sizing.chains
        if len(chain.devices) > 1
    ]


def _device(book: Book, item: Item, sides: list[Opened]) -> dict[str, Any]:
    network = book.study.network
    after = [
        c.id
        for c in network.cables.values()
        if any(k.a.startswith(f"{item.id}.out") or k.b.startswith(f"{item.id}.out") for k in c.cores)
    ]
    return {
        "name": item.name,
        "anchor": book.item_anchors[item.id],
        "kind": kind_word(item),
        "rating": rating(item.spec),
        "where": where(item),
        "planned": item.planned,
        "contacts": " ".join(getattr(item.spec, "contacts", ())),
        "residual_a": getattr(item.spec, "residual_a", None),
        "cables": book.things(tuple(after)),
        "live_in": book.things(tuple(s for side in sides for s in side.live_in)),
        "live_out": book.things(tuple(s for side in sides for s in side.live_out)),
    }
