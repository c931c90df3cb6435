"""Chapter: workings. Every computed figure with symbol, formula, inputs, result, limit, verdict and source."""

import re
from itertools import groupby
from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters.anchors import anchors
from asfitted.chapters.book import Book
from asfitted.chapters.order import in_order
from asfitted.escape import escape
from asfitted.numbers import quantity
from asfitted.studies.results import Working

# as they stand once a formula is escaped
_LINE = escape("_")
_OF = re.compile(rf"\bI{escape('(')}(\S+?){escape(')')}")
_INDEX = re.compile(rf"(?<!\w)([^\W\d_]{{1,2}}){_LINE}(\w+)")


def context(book: Book) -> dict[str, Any]:
    """Return the workings grouped by what they are about, cables first, in the order in which one looks them up."""
    study = book.study
    order = {
        id_: number
        for number, id_ in enumerate((*in_order(study.network.cables), *in_order(study.network.items)))
    }
    ordered = sorted(study.workings, key=lambda w: (order.get(_root(w, book), len(order)), _root(w, book)))
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


def symbols(text: str) -> Markup:
    """Return a formula with its indices set low: `I_b`, and `I(galley)` for the current of one consumer."""
    named = _OF.sub(lambda found: f"I<sub>{found[1].replace(_LINE, ' ')}</sub>", escape(text))
    return Markup(_INDEX.sub(r"\1<sub>\2</sub>", named))  # noqa: S704  (escaped)


def _row(book: Book, working: Working) -> dict[str, Any]:
    part = working.subject.partition(".")[2]
    inputs = Markup(", ").join(
        symbols(f"{i.symbol} = {quantity(i.value, i.unit, 4)}") for i in working.inputs
    )
    return {
        "part": part,
        "name": words.text("workings", f"{working.quantity}.name"),
        "symbol": symbols(working.symbol),
        "formula": symbols(working.formula),
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
