"""Tables of the device chapter: each overcurrent device against what it carries, and against the fault currents of every
source.
"""

import math
from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.order import in_order
from asfitted.numbers import exceeds, quantity
from asfitted.studies.device_checks import DeviceResult
from asfitted.studies.device_faults import DeviceFault
from asfitted.studies.loops import LoopResult


def ratings(book: Book) -> list[dict[str, Any]]:
    """Return for each overcurrent device its load, what it carries where it sits, what it may have to break."""
    found = book.study.sizing.devices
    return [_rating(book, found[id_]) for id_ in in_order(found)]


def _rating(book: Book, result: DeviceResult) -> dict[str, Any]:
    warm = next((w for w in book.study.sizing.workings if w.id == f"{result.id}.device_at_temperature"), None)
    capacity, prospective = result.breaking_capacity_a, result.prospective_current_a
    if capacity is None or prospective is None:
        verdict = "unknown"
    elif not exceeds(prospective, capacity):
        verdict = "enough"
    else:
        verdict = "backed up" if result.backed_up_by else "too little"
    carries = warm.result if warm else result.rating_a
    return {
        "device": book.item(result.id),
        "load_a": result.load_current_a,
        "rating_a": result.rating_a,
        "warm_a": warm.result if warm else None,
        "carries": not exceeds(result.load_current_a, carries),
        "smallest_a": result.smallest_rating_a,
        "prospective_a": prospective,
        "capacity_a": capacity,
        "verdict": words.text("workings", f"breaking.{verdict}"),
        "sound": verdict == "enough",
        "backed_up_by": book.item(result.backed_up_by)
        if result.backed_up_by and verdict == "backed up"
        else None,
    }


def faults(book: Book) -> list[dict[str, Any]]:
    """Return for each overcurrent device the least and the greatest fault current from each source that feeds
    something through it, with what cuts off the least.
    """
    results = book.study.sizing.devices
    found = [f for f in book.study.sizing.device_faults if _counts(f)]
    order = {id_: number for number, id_ in enumerate(in_order({f.device: None for f in found}))}
    return [_fault(book, f, results[f.device]) for f in sorted(found, key=lambda f: order[f.device])]


def besides(book: Book) -> list[dict[str, Any]]:
    """Return the sources that drive no fault worth a row: grouped by what they are, with the devices they reach."""
    weak: dict[str, list[tuple[str, float]]] = {}
    for f in book.study.sizing.device_faults:
        if not _counts(f):
            weak.setdefault(f.device, []).append((f.source, f.greatest_a or 0.0))
    alike: dict[tuple[tuple[str, int], ...], list[str]] = {}
    for device, sources in weak.items():
        alike.setdefault(tuple((id_, math.ceil(current)) for id_, current in sources), []).append(device)
    return [
        {
            "devices": book.things(tuple(in_order(devices))),
            "sources": [{"source": book.item(id_), "current_a": current} for id_, current in sources],
        }
        for sources, devices in alike.items()
    ]


def _counts(fault: DeviceFault) -> bool:
    """Tell whether a fault is worth a row: it is judged, or nobody knows how strong it may be."""
    return fault.loop is not None or fault.direct is not None or fault.greatest_a is None


def _fault(book: Book, fault: DeviceFault, result: DeviceResult) -> dict[str, Any]:
    return {
        "device": book.item(fault.device),
        "source": book.item(fault.source),
        "greatest_a": fault.greatest_a,
        "enough": None
        if fault.greatest_a is None or result.breaking_capacity_a is None
        else not exceeds(fault.greatest_a, result.breaking_capacity_a),
        **(loop_row(book, fault.loop) if fault.loop else _direct(book, fault)),
    }


def loop_row(book: Book, loop: LoopResult) -> dict[str, Any]:
    """Return an earth fault at an outlet: loop, least current, what cuts it off, how soon, how soon it must."""
    device = loop.overcurrent if loop.outcome == "overcurrent" else loop.residual
    time_s = device.time_s if device else loop.time_s
    return {
        "at": book.item(loop.outlet),
        "site": loop.site,
        "loop_ohm": loop.loop_ohm,
        "least_a": loop.least_a,
        "cut_off_by": book.item(device.device) if device else None,
        "within": quantity(time_s, "s"),
        "demanded_s": loop.demanded.value if loop.demanded else None,
        "how": words.text("workings", f"outcomes.{loop.outcome}"),
        "sound": loop.outcome in ("overcurrent", "residual", "collapses"),
    }


def _direct(book: Book, fault: DeviceFault) -> dict[str, Any]:
    direct = fault.direct
    opens = direct is not None and math.isfinite(direct.time_s)
    outcome = (
        "–" if direct is None else words.text("workings", f"outcomes.{'opens' if opens else 'need not open'}")
    )
    return {
        "at": book.item(direct.at) if direct else None,
        "site": "",
        "loop_ohm": None,
        "least_a": direct.least_a if direct else None,
        "cut_off_by": book.item(fault.device) if opens else None,
        "within": quantity(direct.time_s, "s") if direct and opens else "–",
        "demanded_s": None,
        "how": outcome,
        "sound": direct is None or opens,
    }
