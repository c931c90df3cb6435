"""Chapter: workings. Every computed figure with symbol, formula, inputs, result, limit, verdict and source."""

from itertools import groupby
from typing import Any

from asfitted import words
from asfitted.chapters.anchors import anchors
from asfitted.chapters.book import Book
from asfitted.numbers import quantity
from asfitted.studies.results import Working


def context(book: Book) -> dict[str, Any]:
    """Return the workings grouped by what they are about, in the order of the description."""
    study = book.study
    order = {id_: number for number, id_ in enumerate((*study.network.cables, *study.network.items))}
    ordered = sorted(
        study.sizing.workings, key=lambda w: (order.get(_root(w, book), len(order)), _root(w, book))
    )
    groups = [(root, list(rows)) for root, rows in groupby(ordered, key=lambda w: _root(w, book))]
    names = anchors("working", (root for root, _ in groups))
    return {
        "groups": [
            {
                "subject": book.thing(root),
                "anchor": names[root],
                "name": root.replace("_", " "),
                "workings": [_row(book, working) for working in rows],
            }
            for root, rows in groups
        ],
        "count": len(ordered),
    }


def _root(working: Working, book: Book) -> str:
    """Return the cable or equipment a working belongs to: `reading_desk.projector` belongs to the reading desk."""
    stem = working.subject.split(".")[0]
    known = stem in book.study.network.items or stem in book.study.network.cables
    return stem if known else working.subject


def _row(book: Book, working: Working) -> dict[str, Any]:
    part = working.subject.partition(".")[2]
    inputs = ", ".join(f"{i.symbol} = {quantity(i.value, i.unit, 4)}" for i in working.inputs)
    return {
        "part": part,
        "name": words.text("workings", f"{working.quantity}.name"),
        "symbol": working.symbol,
        "formula": working.formula,
        "inputs": inputs,
        "result": quantity(working.result, working.unit, 4),
        "limit": f"{working.limit.relation} {quantity(working.limit.value, working.limit.unit, 4)}"
        if working.limit
        else "",
        "verdict": working.verdict,
        "source": working.source,
        "verified": working.verified,
        "note": working.note,
        "state": book.state_names.get(working.state or "", ""),
    }
