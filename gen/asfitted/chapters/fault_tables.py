"""For the inspector: the matrix of states and kinds of fault, and for each kind a table of how its faults end."""

from itertools import groupby
from typing import Any

from asfitted import words
from asfitted.chapters import fault_names as names
from asfitted.chapters.anchors import anchors
from asfitted.chapters.book import Book
from asfitted.network.sites import described_sites
from asfitted.numbers import NBSP, figures, quantity
from asfitted.studies.fault_summary import (
    SEVERITY,
    Row,
    cleared_s,
    decisive_touch,
    merged_columns,
    rows,
    soil_sites,
    worst,
)
from asfitted.studies.faults.result import FaultResult, Touch
from asfitted.studies.faults.touch import LIMIT_V

#: a current that differs by less is printed once
ALIKE = 1.05
#: how much d.c. in a protective conductor, or current in the water, is worth a line
LEAST_DC_A, LEAST_WATER_A = 0.5, 0.001
NANO_BELOW = 1e-6
#: leakage in normal service, which no device answers, and touch voltages of no consequence
LEAST_RESIDUAL_A, LEAST_V = 0.003, 10.0


def tables(book: Book) -> dict[str, Any]:
    """Return the matrix and the tables of all kinds, with anchors from one to the other."""
    results = [r for r in book.study.faults.faults if r.kind != "none"]
    kinds = list(dict.fromkeys(r.kind for r in results))
    anchor = anchors("fault", kinds)
    soil = soil_sites(book.study.network)
    played = [s.id for s in book.study.states if any(r.state == s.id for r in results)]
    columns = merged_columns({state: [_cell(results, state, kind) for kind in kinds] for state in played})
    alternating = [kind for kind in kinds if any(r.state and r.kind == kind for r in results)]
    return {
        "heads": [names.span(ids) for ids, _ in columns],
        "matrix": [
            {
                "kind": _kind(kind),
                "anchor": anchor[kind],
                "cells": [cells[kinds.index(kind)] for _, cells in columns],
            }
            for kind in alternating
        ],
        "direct": [
            {"kind": _kind(kind), "anchor": anchor[kind], "cell": _cell(results, "", kind)}
            for kind in kinds
            if any(not r.state and r.kind == kind for r in results)
        ],
        "kinds": [
            {
                "name": _kind(kind),
                "anchor": anchor[kind],
                "clauses": sorted({r.limit_source for r in results if r.kind == kind and r.limit_source}),
                "rows": [_row(book, row) for row in rows((r for r in results if r.kind == kind), soil)],
            }
            for kind in kinds
        ],
        "unsettled": sum(not r.settled for r in results),
        "assumed": [
            {
                "what": str(a.fields["quantity"]),
                "value": _engineering(float(str(a.fields["value"])), str(a.fields["unit"])),
                "where": book.things(a.where),
                "source": a.source,
            }
            for a in book.study.faults.assumptions
        ],
    }


def _kind(kind: str) -> str:
    return names.capital(words.text("faults", f"kinds.{kind}"))


def _cell(results: list[FaultResult], state: str, kind: str) -> str:
    """Return in a word how the worst fault of a kind ends in a state, with its time."""
    bad = worst(r for r in results if r.state == state and r.kind == kind)
    if bad is None:
        return words.text("fault_chapter", "cells.nothing")
    alike = [r for r in results if (r.state, r.kind, r.verdict) == (state, kind, bad.verdict)]
    slow = max(alike, key=lambda r: cleared_s(r) or 0)
    key = "collapsed" if slow.outcome == "source collapsed" else bad.verdict
    return words.text("fault_chapter", f"cells.{key}", time=quantity(cleared_s(slow) or 0, "s", 2))


def _row(book: Book, row: Row) -> dict[str, Any]:
    bad = row.worst
    first = [operation for operation in bad.opened if not operation.moves]
    low, high = row.current_a
    return {
        "at": names.places(book, row.at),
        "states": names.span(row.states),
        "sites": _sites(book, row.sites) if any(r.state for r in row.results) else "",
        "count": len(row.results),
        "current": quantity(high, "A")
        if high < ALIKE * low
        else f"{quantity(low, 'A')} – {quantity(high, 'A')}",
        "bound": words.text("fault_chapter", f"bounds.{bad.bound}"),
        "residual": [
            (names.unit(book, id_), quantity(amperes, "A", 2))
            for id_, amperes in bad.residual_a.items()
            if amperes >= LEAST_RESIDUAL_A
        ],
        "opened": [
            {
                "names": names.units(book, (o.unit for o in together)),
                "time": quantity(time, "s", 2),
                "moves": moves,
            }
            for (time, moves), together in groupby(bad.opened, key=lambda o: (o.time_s, o.moves))
        ],
        "may": names.units(book, (id_ for id_ in bad.may_also_open if id_ not in {o.unit for o in first})),
        "restarts": bad.restarts,
        "hunts": bad.hunts,
        "touch": [_touch(book, touch, bad) for touch in bad.touch if touch.before_v >= LEAST_V],
        "outcome": words.text("faults", f"outcomes.{bad.outcome}"),
        "verdict": bad.verdict,
        "ends": words.text("faults", f"verdicts.{bad.verdict}"),
        "well": bad.verdict in ("in time", "harmless", "within rating"),
        "limit": quantity(bad.limit_s, "s") if bad.limit_s else "",
        "chain": names.reasons(bad),
        "destroyed": ", ".join(bad.destroyed),
        "still_live": names.owners_of(book, bad.still_live),
        "direct_a": quantity(bad.dc_in_protective_a, "A") if bad.dc_in_protective_a >= LEAST_DC_A else "",
        "water_a": quantity(bad.into_water_a, "A") if bad.into_water_a >= LEAST_WATER_A else "",
    }


def _engineering(value: float, unit: str) -> str:
    """Return a value with its unit; capacitances in nF, and powers of ten where a number would be unreadable."""
    unit = unit.replace("ohm", "Ω")
    if unit.startswith("F") and abs(value) < NANO_BELOW:
        return f"{figures(value * 1e9)}{NBSP}n{unit}"
    return f"{figures(value)}{NBSP}{unit}".strip()


def _sites(book: Book, ids: tuple[str, ...]) -> str:
    """Return the names of several places; nearly all of them are named by what is missing."""
    every = {site.id for site in described_sites(book.study.network)}
    missing = sorted(every - set(ids))
    name = {id_: id_ or words.text("faults", "places.as described") for id_ in every}
    if len(every) > 1 and not missing:
        return words.text("fault_chapter", "all sites")
    if len(missing) < len(ids) and len(every) > 2:
        return words.text("fault_chapter", "all sites but", missing=", ".join(name[id_] for id_ in missing))
    return ", ".join(name.get(id_, id_) for id_ in ids)


def _touch(book: Book, touch: Touch, r: FaultResult) -> dict[str, Any]:
    return {
        "from": names.touched(book, touch, "from_"),
        "to": names.touched(book, touch, "to"),
        "person": touch.person,
        "before": quantity(touch.before_v, "V"),
        "after": quantity(touch.after_v, "V") if touch.after_v >= 0.05 else quantity(0.0, "V"),
        "across": quantity(touch.across_v, "V"),
        "current": quantity(touch.current_ma / 1000, "A", 2),
        "zone": touch.zone,
        # the body was put across this pair only; for another one the impedance behind it is not known
        "played": SEVERITY[r.verdict] == 0 or touch == decisive_touch(r),
        "high": touch.before_v > LIMIT_V,
    }
