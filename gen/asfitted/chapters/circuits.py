"""Chapter: circuits and cables. What each circuit feeds, what its cable carries, what protects it, what it drops."""

from typing import Any

from asfitted.chapters.book import Book
from asfitted.description.kinds import Inline
from asfitted.network.build import input_terminals
from asfitted.network.labels import cable_size, ends, rating
from asfitted.network.model import Cable, Item
from asfitted.studies.drops import DropResult


def context(book: Book) -> dict[str, Any]:
    """Return the circuits of a.c. and d.c., the schedule of cables, the drop to every consumer."""
    network = book.study.network
    circuits = [row for item in network.items.values() if (row := _circuit(book, item))]
    return {
        "ac": [row for row in circuits if row["ac"]],
        "dc": [row for row in circuits if not row["ac"]],
        "cables": [_cable(book, cable) for cable in network.cables.values()],
        "drops": [_drop(book, drop) for drop in sorted(book.study.sizing.drops, key=_share, reverse=True)],
    }


def _circuit(book: Book, consumer: Item) -> dict[str, Any] | None:
    """Return the row of a consumer: the cable that ends at it and the device at that cable's other end."""
    network, sizing = book.study.network, book.study.sizing
    if consumer.kind not in ("sockets", "GFCI receptacle", "load", "battery charger"):
        return None
    ac = input_terminals(consumer) is not None
    wanted = {f"{consumer.id}.{c}" for c in (("L", "L1") if ac else ("plus",))}
    cable = next((c for c in network.cables.values() if any({k.a, k.b} & wanted for k in c.cores)), None)
    if cable is None:
        return None
    result = sizing.cables.get(cable.id)
    first, last = ends(network, cable)
    device = network.items[last if first == consumer.id else first]
    drop = max((d for d in sizing.drops if d.item == consumer.id), key=lambda d: d.drop_percent, default=None)
    return {
        "ac": ac,
        "consumer": book.item(consumer.id),
        "loads": ", ".join(getattr(consumer.spec, "loads", {})),
        "device": book.item(device.id) if isinstance(device.spec, Inline) else None,
        "device_rating": rating(device.spec) if isinstance(device.spec, Inline) else "",
        "cable": book.cable(cable.id),
        "size": cable_size(cable) if cable.size else result.size.designation if result else "",
        "length_m": cable.length_m,
        "design_current_a": result.design_current_a if result else None,
        "capacity_a": result.capacity_a if result else None,
        "drop_percent": drop.drop_percent if drop else None,
        "drop_limit": drop.limit.value if drop else None,
    }


def _cable(book: Book, cable: Cable) -> dict[str, Any]:
    network = book.study.network
    result = book.study.sizing.cables.get(cable.id)
    first, last = ends(network, cable)
    return {
        "id": cable.id,
        "anchor": book.cable_anchors[cable.id],
        "from": book.item(first),
        "to": book.item(last),
        "cores": " ".join(core.conductor for core in cable.cores),
        "size": cable_size(cable) if cable.size else result.size.designation if result else "",
        "length_m": cable.length_m,
        "insulation": cable.insulation,
        "method": cable.method,
        "way": ", ".join(part for part in (cable.bundle, cable.space) if part),
        "status": cable.status,
        "result": result,
        "device": book.things(tuple(result.device.split(" + "))) if result and result.device else None,
    }


def _share(drop: DropResult) -> float:
    """Return how much of its limit a drop uses."""
    return drop.drop_percent / drop.limit.value


def _drop(book: Book, drop: DropResult) -> dict[str, Any]:
    return {
        "source": book.item(drop.source),
        "consumer": book.item(drop.item),
        "mode": drop.mode,
        "drop_v": drop.drop_v,
        "drop_percent": drop.drop_percent,
        "limit": drop.limit.value,
        "clause": drop.limit.source,
        "cables": book.things(tuple(cable for cable, _ in drop.cables)),
    }
