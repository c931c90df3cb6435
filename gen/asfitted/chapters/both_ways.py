"""Chapter: the build on the other side of the Atlantic. The same loads with all chosen anew, and the same copper."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.findings import text
from asfitted.chapters.order import in_order
from asfitted.description.kinds import AcSupply, Sockets
from asfitted.description.values import Size
from asfitted.network.labels import ends, kind_word, rating
from asfitted.network.model import Item
from asfitted.numbers import quantity, tied
from asfitted.studies.both_ways import CableDifference, both_ways
from asfitted.studies.other_side.ends import End, Part
from asfitted.studies.other_side.moved import Moved, MovedCable, moved
from asfitted.studies.other_side.reasons import Why
from asfitted.studies.results import Finding
from asfitted.tables.rules import rule_set


def context(book: Book) -> dict[str, Any]:
    """Return the same loads on the other side, and the same copper under its rules."""
    found = moved(book.study.network, book.study.states)
    return {"moved": _moved(book, found) if found else None, "other": _other_rules(book)}


def _moved(book: Book, found: Moved) -> dict[str, Any]:
    why = _Reasons()
    devices = {device.here.id: device for device in found.devices}
    circuits = [cable for cable in found.cables if cable.consumers]
    own = {device.id for cable in circuits for device in (*cable.here.devices, *cable.there.devices)}
    return {
        "here": found.rules.name,
        "there": found.other.name,
        "here_side": found.here,
        "there_side": found.there,
        "ratio": found.here.voltage_v / found.there.voltage_v,
        "listing": found.other.listing_demanded and not found.rules.listing_demanded,
        "receptacles": found.there.name == "120 V",
        "insulations": sorted({c.insulation for c in found.network.cables.values() if c.id in _ids(found)}),
        "parts": [
            {"part": book.item(id_), "here": _part(here), "there": _part(there)}
            for id_, here, there in found.parts
        ],
        "circuits": [
            _cable(book, found, cable)
            | {
                "why": why.numbers(
                    (
                        *(w for d in cable.there.devices if d.id in devices for w in devices[d.id].why),
                        *cable.why,
                    )
                )
            }
            for cable in circuits
        ],
        "devices": [
            {
                "device": book.item(id_),
                "here": _device(device.here),
                "there": _device(device.there),
                "why": why.numbers(device.why),
            }
            for id_, device in devices.items()
            if id_ not in own
        ],
        "cables": [
            _cable(book, found, cable) | {"why": why.numbers(cable.why)}
            for cable in found.cables
            if not cable.consumers
        ],
        "reasons": why.rows,
        "too_large": [{"appliance": name, "current_a": current_a} for name, current_a in found.too_large],
        "supply_source": found.supply.source if found.supply else "",
        "weaker": book.things(found.weaker),
        "sites": ", ".join(found.sites),
    }


def _ids(found: Moved) -> set[str]:
    return {cable.cable for cable in found.cables}


class _Reasons:
    """The reasons in the order in which they are first given, each under its number."""

    def __init__(self) -> None:
        self.rows: list[dict[str, Any]] = []
        self._numbers: dict[tuple[str, str], int] = {}

    def numbers(self, given: tuple[Why, ...]) -> str:
        """Return the numbers of reasons, with commas between."""
        return ", ".join(str(number) for number in dict.fromkeys(self._number(why) for why in given))

    def _number(self, why: Why) -> int:
        key = (words.text("other_side", why.code, **dict(why.fields)), why.clause)
        if key not in self._numbers:
            self._numbers[key] = len(self._numbers) + 1
            self.rows.append({"number": self._numbers[key], "reason": tied(key[0]), "clause": why.clause})
        return self._numbers[key]


def _part(part: Part) -> str:
    known = ((part.voltage_v, "V"), (part.rating_a, "A"))
    return ", ".join(quantity(value, unit) for value, unit in known if value is not None) or "–"


def _cable(book: Book, found: Moved, cable: MovedCable) -> dict[str, Any]:
    network = book.study.network
    first, last = ends(network, network.cables[cable.cable])
    return {
        "cable": book.cable(cable.cable),
        "from": book.item(first),
        "to": book.item(last),
        "consumers": book.things(cable.consumers),
        "here": _end(cable.here, tuple(network.items[id_] for id_ in cable.consumers)),
        "there": _end(cable.there, tuple(found.network.items[id_] for id_ in cable.consumers)),
    }


def _end(end: End, consumers: tuple[Item, ...]) -> dict[str, Any]:
    devices = [f"{item.name} {_device(item)}" for item in end.devices]
    outlets = [
        f"{kind_word(item)} {rating(item.spec)}" for item in consumers if isinstance(item.spec, Sockets)
    ]
    return {
        "current_a": end.current_a,
        "device": tied("; ".join((*devices, *outlets))) or words.text("other_side", "its source"),
        "size": _size(end.size),
        "capacity_a": end.capacity_a,
        "drop_percent": end.drop_percent,
        "drop_limit": end.drop_limit,
    }


def _device(item: Item) -> str:
    """Return kind and rating of a device, without what was not chosen on both sides; of a supply its rating."""
    if isinstance(item.spec, AcSupply):
        return quantity(item.spec.rating_a, "A")
    unsaid = dict.fromkeys(n for n in ("breaking_capacity_a", "dc_voltage_v") if hasattr(item.spec, n))
    return f"{kind_word(item)} {rating(item.spec.model_copy(update=unsaid))}"


def _size(size: Size) -> str:
    """Return a size, a gauge with its area: a gauge is never equal to a metric size."""
    return tied(f"{size.designation} ({quantity(size.mm2, 'mm²')})" if size.awg else size.designation)


def _other_rules(book: Book) -> dict[str, Any]:
    """Return what changes if the same copper is held to the rules of the other side of the Atlantic."""
    study = book.study
    rules = rule_set(study.network.description.build.rules)
    other = rule_set("NFPA 70" if rules.name != "NFPA 70" else "IEC 60364")
    found = both_ways(study.network, study.states, study.sizing, rules, other)
    return {
        "here": rules.name,
        "there": other.name,
        "awg_there": other.awg,
        "gauges": any(c.size.awg for c in study.sizing.cables.values()),
        "cables": _differences(book, found.cables),
        "sources": list(dict.fromkeys(s for c in found.cables for s in c.other_sources.split("; "))),
        "new": _together(found.new),
        "gone": _together(found.gone),
    }


def _differences(book: Book, found: tuple[CableDifference, ...]) -> list[dict[str, Any]]:
    """Return one row for all cables that differ alike."""
    alike: dict[tuple[Any, ...], list[str]] = {}
    for c in found:
        size = book.study.sizing.cables[c.cable].size.designation
        key = (size, c.counts_as, c.capacity_a, c.other_capacity_a, c.device_a, c.other_device_a)
        alike.setdefault(key, []).append(c.cable)
    names = ("size", "counts_as", "capacity_a", "other_capacity_a", "device_a", "other_device_a")
    return [
        dict(zip(names, key, strict=True)) | {"cables": book.things(tuple(in_order(cables)))}
        for key, cables in alike.items()
    ]


def _together(found: tuple[Finding, ...]) -> list[dict[str, Any]]:
    """Return the findings of one kind under one title, each with its message."""
    alike: dict[tuple[str, str], list[str]] = {}
    for finding in found:
        messages = alike.setdefault((text(finding, "title"), finding.clause or ""), [])
        messages.append(f"{text(finding, 'message')} {text(finding, 'remedy')}")
    return [
        {"title": title, "clause": clause, "messages": list(dict.fromkeys(messages))}
        for (title, clause), messages in alike.items()
    ]
