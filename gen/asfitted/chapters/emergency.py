"""The emergency: the one order of isolation, what stays live after it, what to say and where it is said."""

from typing import Any

from asfitted.chapters.book import Book
from asfitted.chapters.cautions import cautions
from asfitted.chapters.operation import steps
from asfitted.chapters.sentences import names
from asfitted.chapters.signs import sign
from asfitted.description.kinds import Battery
from asfitted.network.labels import found_at
from asfitted.studies.isolation import isolation


def emergency(book: Book) -> dict[str, Any]:
    """Return the steps of isolation, what stays live, and what this build has that a fire service must know."""
    network = book.study.network
    batteries = [item for item in network.items.values() if isinstance(item.spec, Battery)]
    lithium = [item for item in batteries if item.spec.chemistry == "LiFePO4"]  # type: ignore[attr-defined]
    return {
        "emergency": steps(book, book.procedures.emergency.steps, cautions(book)),
        "stays_live": [
            {
                "source": book.item(source),
                "name": network.items[source].name,
                "kind": network.items[source].kind,
                "items": book.things(tuple(id_ for id_ in held if network.items[id_].kind != "busbar")),
            }
            for source, held in isolation(network, book.study.states).stays_live
        ],
        "has_battery": bool(batteries),
        "acid": any(item not in lithium for item in batteries),
        "lithium": [
            {"name": book.item(item.id), "where": found_at(network, item), "kwh": _kwh(item.spec)}
            for item in lithium
        ],
        "isolators": names(book, tuple(i.id for i in network.of_kind("isolator") if not i.planned)),
        "first_aid": sign("E003"),
        "extinguisher": sign("F001"),
        "generator": bool(network.of_kind("generator")),
        "boat": network.description.build.setting == "boat",
    }


def _kwh(spec: Any) -> float:
    return float(spec.voltage_v * spec.capacity_ah / 1000)
