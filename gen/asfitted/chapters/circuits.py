"""Chapter: circuits and cables. What each circuit feeds, what its cable carries, what protects it, what it drops."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.choices import cable_choices
from asfitted.chapters.order import in_order
from asfitted.description.kinds import Inline
from asfitted.description.values import Size
from asfitted.figures.labels import length
from asfitted.network.build import input_terminals
from asfitted.network.labels import cable_size, ends, rating
from asfitted.network.model import Cable, Item
from asfitted.numbers import quantity, tied
from asfitted.studies.drops import DropResult
from asfitted.studies.loops import LoopResult
from asfitted.tables.awg import next_smaller_awg


def context(book: Book) -> dict[str, Any]:
    """Return the circuits of a.c. and d.c., the schedule of cables, the drop to every consumer."""
    network = book.study.network
    circuits = [row for item in network.items.values() if (row := _circuit(book, item))]
    return {
        "ac": [row for row in circuits if row["ac"]],
        "dc": [row for row in circuits if not row["ac"]],
        "wiring": book.wiring,
        "cables": [_cable(book, network.cables[id_]) for id_ in in_order(network.cables)],
        "chosen": cable_choices(book),
        "drops": [_drop(book, drop) for drop in sorted(book.study.sizing.drops, key=_share, reverse=True)],
        "faults": [_fault(book, loop) for loop in _faults(book.study.sizing.loops)],
        "series": [
            {
                "upstream": book.item(pair.upstream),
                "downstream": book.item(pair.downstream),
                "selective": pair.selective,
                "outlets": book.things(pair.outlets),
            }
            for pair in book.study.sizing.rcd_pairs
        ],
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
        "loads": ", ".join(load for load in getattr(consumer.spec, "loads", {}) if load != consumer.name),
        "device": book.item(device.id) if isinstance(device.spec, Inline) else None,
        "device_rating": rating(device.spec) if isinstance(device.spec, Inline) else "",
        "cable": book.cable(cable.id),
        "size": tied(cable_size(cable) if cable.size else result.size.designation if result else ""),
        "length": length(network, cable.length_m),
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
        "size": tied(cable_size(cable) if cable.size else result.size.designation if result else ""),
        "length": length(network, cable.length_m),
        "insulation": cable.insulation,
        "method": cable.method,
        "way": ", ".join(part for part in (cable.bundle, cable.space) if part),
        "status": cable.status,
        "result": result,
        "area": _area(size) if (size := cable.size or (result.size if result else None)) else "",
        "governed": words.text("workings", f"checks.{result.governed_by}") if result else "",
        "device": book.things(tuple(result.device.split(" + "))) if result and result.device else None,
    }


def _area(size: Size) -> str:
    """Return a size in the other system: the area of a gauge, or the gauge that an area exceeds: none equals it."""
    if size.awg:
        return quantity(size.mm2, "mm²")
    return f"> {gauge}" if (gauge := next_smaller_awg(size)) else "–"


def _faults(loops: tuple[LoopResult, ...]) -> list[LoopResult]:
    """Return the faults of the usual site, and those of named sites that differ from it."""
    usual = {(loop.outlet, loop.source): loop.loop_ohm for loop in loops if not loop.site}
    return [x for x in loops if not x.site or x.loop_ohm != usual.get((x.outlet, x.source))]


def _fault(book: Book, loop: LoopResult) -> dict[str, Any]:
    device = loop.overcurrent if loop.outcome == "overcurrent" else loop.residual
    return {
        "outlet": book.item(loop.outlet),
        "source": book.item(loop.source),
        "site": loop.site,
        "loop_ohm": loop.loop_ohm,
        "least_a": loop.least_a,
        "greatest_a": loop.greatest_a,
        "device": book.item(device.device) if device else None,
        "time_s": device.time_s if device else loop.time_s,
        "demanded_s": loop.demanded.value if loop.demanded else None,
        "outcome": words.text("workings", f"outcomes.{loop.outcome}"),
        "allowed_ohm": loop.allowed_ohm if loop.system == "TN" else None,
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
