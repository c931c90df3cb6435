"""Chapter: faults. What each state does about a fault, what is left over, where to plug in, the ways to earth."""

from collections.abc import Iterable, Sequence
from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters import fault_names as names
from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.chapters.fault_tables import tables
from asfitted.description.kinds import Generator, Inverter, TransferSwitch
from asfitted.numbers import quantity
from asfitted.studies.fault_summary import (
    Outlook,
    SiteUse,
    badness,
    cleared_s,
    decisive_touch,
    first_units,
    merged_columns,
    outlook,
    severity,
    site_uses,
)
from asfitted.studies.faults.cases import CONSUMERS
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.faults.service import EarthPath, earth_paths

#: what is felt below this is not worth a sentence
FELT_V = 25.0
#: a way to earth that carries less is counted, not listed
LEAST_A = 5e-6


def context(book: Book) -> dict[str, Any]:
    """Return the sentences and tables of the fault study; for the inspector also every group of cases."""
    study = book.study
    results = study.faults.faults
    return {
        "count": len(results),
        "states": _states(book),
        "left": _left_over(book, results),
        "sites": [_site(book, use) for use in site_uses(study.network, study.states, results)],
        "envelope": [
            {
                "supply": book.item(verdict.supply),
                "kind": words.text("fault_chapter", f"site kinds.{verdict.kind}"),
                "verdict": verdict.verdict,
                "hazards": [words.text("findings_faults", f"{code}.title") for code in verdict.hazards],
            }
            for verdict in study.envelope
        ],
        "shorts": _shorts(book, results),
        "together": _together(book, results),
        "earths": _earths(book),
        "paths": book.fault_paths,
        **(tables(book) if holds(book.edition, "faults/every case") else {}),
    }


def _states(book: Book) -> list[dict[str, Any]]:
    """Return the states in groups that one sentence fits, each with the figures of the worst of them."""
    groups: dict[tuple[object, ...], list[tuple[str, Outlook]]] = {}
    for state in book.study.states:
        seen = outlook(book.study, state)
        groups.setdefault(seen.alike, []).append((state.id, seen))
    return [
        _sentence(book, [id_ for id_, _ in group], max((seen for _, seen in group), key=lambda s: s.height))
        for group in groups.values()
    ]


def _sentence(book: Book, ids: Sequence[str], seen: Outlook) -> dict[str, Any]:
    """Return what a live conductor on metal comes to in some states, over all places and sites."""
    return {
        "names": Markup("; ").join(Markup(f"{id_}, ") + book.state(id_) for id_ in ids),  # noqa: S704  (ids of ours)
        "energised": seen.energised,
        "live": seen.live,
        "devices": names.units(book, seen.devices, " or "),
        "cleared": _time(seen.cleared_s),
        "sources": names.units(book, seen.sources, " or "),
        "stopped": _time(seen.stopped_s),
        "restarts": seen.restarts,
        "felt": quantity(seen.felt_v, "V", 2) if seen.felt_v > FELT_V else None,
        "silent": seen.silent,
        "bad": _hazard(book, seen.bad) if seen.bad else None,
        "still_live": names.owners_of(book, seen.still_live),
    }


def _time(time_s: float | None) -> str | None:
    return None if time_s is None else quantity(time_s, "s", 2)


def _longest(results: Iterable[FaultResult]) -> str | None:
    times = [time for r in results if (time := cleared_s(r)) is not None]
    return quantity(max(times), "s", 2) if times else None


def _hazard(book: Book, r: FaultResult) -> dict[str, Any]:
    """Return what fills a sentence about one result that is not well."""
    touch = decisive_touch(r)
    trips = next((reason.fields for reason in r.chain if reason.code == "touch-trips"), None)
    return {
        "kind": names.capital(words.text("faults", f"kinds.{r.kind}")),
        "at": names.place(book, r.at),
        "verdict": r.verdict,
        "volts": quantity(touch.across_v, "V") if touch else None,
        "from": names.touched(book, touch, "from_") if touch else None,
        "to": names.touched(book, touch, "to") if touch else None,
        "body": quantity(touch.current_ma / 1000, "A", 2) if touch else None,
        "felt": words.text("faults", f"zones.{touch.zone}") if touch else None,
        "current": quantity(r.current_a, "A"),
        "time": quantity(r.touch_time_s, "s", 2),
        "limit": quantity(r.limit_s, "s") if r.limit_s else None,
        "trips": names.unit(book, str(trips["device"])) if trips else None,
        "within": quantity(float(str(trips["time_s"])), "s", 2) if trips else None,
        "chain": names.reasons(r),
    }


def _left_over(book: Book, results: Sequence[FaultResult]) -> list[dict[str, Any]]:
    """Return what is not simply switched off, one row for each kind and way of ending, the worst first."""
    groups: dict[tuple[str, str], list[FaultResult]] = {}
    for r in results:
        if severity(r):
            groups.setdefault((r.kind, r.verdict), []).append(r)
    # what shocks stands before what heats the battery's own leads
    ordered = sorted(
        groups.values(), key=lambda group: (bool(group[0].state), max(map(badness, group))), reverse=True
    )
    return [
        {
            **_hazard(book, max(group, key=badness)),
            "states": names.span(r.state for r in group if r.state),
            "places": names.places(book, (r.at for r in group), firsts_only=True),
            "second": group[0].second,
            "count": len(group),
        }
        for group in ordered
    ]


def _site(book: Book, use: SiteUse) -> dict[str, Any]:
    return {
        "supply": book.item(use.site.supply),
        "name": use.site.id or words.text("faults", "places.as described"),
        "earthing": use.site.spec.earthing,
        "use": use.use,
        "because": _hazard(book, use.because) if use.because else None,
        "current": quantity(use.because.current_a, "A") if use.because else None,
        "cleared": quantity(cleared_s(use.because), "s", 2) if use.because else None,
        "volts": quantity(max(t.before_v for t in use.because.touch), "V", 2)
        if use.because and use.because.touch
        else None,
        "residual": use.site.spec.upstream.residual_a,
    }


def _shorts(book: Book, results: Sequence[FaultResult]) -> list[dict[str, Any]]:
    """Return what each source aboard does on a short-circuit between its conductors."""
    found = []
    for item in book.study.network.items.values():
        if not isinstance(item.spec, Inverter | Generator):
            continue
        fed = [r for r in results if r.kind == "live to neutral" and item.id in first_units(r)]
        if not fed:
            continue
        others = dict.fromkeys(u for r in fed for u in first_units(r) if u != item.id)
        limit = item.spec.output_limit
        found.append(
            {
                "source": book.item(item.id),
                "known": limit is not None,
                "current": quantity(limit.current_a if limit else max(r.current_a for r in fed), "A"),
                "time": _longest(fed),
                "restarts": any(r.restarts for r in fed),
                "others": names.units(book, others),
                "states": names.span(r.state for r in fed),
            }
        )
    return found


def _together(book: Book, results: Sequence[FaultResult]) -> list[dict[str, Any]]:
    """Return for the final circuits which devices open or may open on one fault to a case, if several."""
    items = book.study.network.items
    by_circuit: dict[tuple[str, str], set[str]] = {}
    for r in results:
        if r.kind == "live to case" and r.final and r.outcome == "cleared":
            units = {u for u in (*first_units(r), *r.may_also_open) if not _switches(book, u)}
            consumer = next((id_ for id_ in r.where if id_ in items and items[id_].kind in CONSUMERS), "")
            if not consumer:
                continue
            by_circuit.setdefault((r.state, consumer), set()).update(units)
    groups: dict[tuple[frozenset[str], str], list[tuple[str, str]]] = {}
    for (state, consumer), units in by_circuit.items():
        if len(units) > 1:
            groups.setdefault((frozenset(units), consumer), []).append((state, consumer))
    return [
        {
            "at": book.things(tuple(dict.fromkeys(consumer for _, consumer in keys))),
            "units": names.units(book, sorted(units)),
            "states": names.span(state for state, _ in keys),
        }
        for (units, _), keys in groups.items()
    ]


def _switches(book: Book, unit: str) -> bool:
    item = book.study.network.items.get(unit)
    return unit.endswith(" transfer") or (item is not None and isinstance(item.spec, TransferSwitch))


def _earths(book: Book) -> dict[str, Any]:
    """Return the ways to earth with their currents, states joined that differ in nothing that is printed."""
    study = book.study
    paths = earth_paths(study.network, study.states, study.sizing.sizes)
    carrying = [path for path in paths if max(path.current_a.values(), default=0) >= LEAST_A]
    carrying = [path for path in carrying if path.kind != "pole"]  # the contact of a plug is its cable
    states = [s.id for s in study.states if any(s.id in path.current_a for path in paths)]
    bonds = {s: sum(len(i.effective) for i in study.islands[s] if not i.idle) for s in states}
    columns = merged_columns(
        {s: [str(bonds[s]), *(_milliamperes(path, s) for path in carrying)] for s in states}
    )
    return {
        "heads": [names.span(ids) for ids, _ in columns],
        "bonds": [cells[0] for _, cells in columns],
        "rows": [
            {"name": _way(book, path), "cells": [cells[number] for _, cells in columns]}
            for number, path in enumerate(carrying, 1)
        ],
        "idle": len([path for path in paths if path.kind != "pole"]) - len(carrying),
        "most": quantity(max((max(p.current_a.values()) for p in carrying), default=0.0), "A", 2),
        "ways": len([path for path in paths if path.kind != "pole"]),
    }


def _milliamperes(path: EarthPath, state: str) -> str:
    amperes = path.current_a.get(state, 0.0)
    return quantity(amperes, "A", 2) if amperes >= LEAST_A else "–"


def _way(book: Book, path: EarthPath) -> Any:
    """Return a way to earth in words, with a link where it is a cable."""
    if path.kind == "core" and path.of in book.study.network.cables:
        return book.cable(path.of)
    key = path.id.rpartition("#")[2] if "#" in path.id else path.kind
    key = "site" if key in ("PE", "PEN to PE") else key
    item = book.study.network.items.get(path.of)
    return words.text("fault_chapter", f"paths.{key}", item=item.name if item else path.of)
