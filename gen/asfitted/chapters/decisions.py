"""Chapter: decisions. Each option beside the build as chosen, in findings, faults and figures; hazards raised."""

from collections.abc import Iterable, Sequence
from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.chapters import fault_names as names
from asfitted.chapters.book import Book
from asfitted.chapters.editions import holds
from asfitted.chapters.findings import text
from asfitted.description.schema import Raised
from asfitted.escape import escape
from asfitted.numbers import quantity
from asfitted.studies.comparison import Change, Comparison, Tally
from asfitted.studies.decisions import DecisionResult, OptionResult
from asfitted.studies.fault_summary import cleared_s, decisive_touch, felt_v, first_units, worst
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.results import Finding

#: how many kinds of fault stand for all that end otherwise
EXAMPLES = 4


def context(book: Book) -> dict[str, Any]:
    """Return the decisions with their options studied, and the register of hazards raised."""
    description = book.study.network.description
    return {
        "decisions": [_decision(book, number, each) for number, each in enumerate(book.decisions, 1)],
        "asked": [(d.question, d.chosen) for d in description.decisions],
        "raised": [_raised(book, number, each) for number, each in enumerate(description.raised, 1)],
    }


def _decision(book: Book, number: int, decision: DecisionResult) -> dict[str, Any]:
    options = [_option(book, option) for option in decision.options]
    by_judgement = {
        judgement: [option for option in options if option["judgement"] == judgement]
        for judgement in ("better", "equal", "silent", "worse", "refused", "impossible")
    }
    return {
        "number": number,
        "question": decision.question,
        "chosen": decision.chosen,
        "barred": len(book.study.barred),
        "tally": _tally(book, None, decision.tally),
        "options": options,
        **by_judgement,
    }


def _option(book: Book, option: OptionResult) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": option.name,
        "judgement": judgement(option),
        "problems": [problem.sentence("message") for problem in option.problems],
        "refused": _findings(book, option.refused),
        "refused_count": len(option.refused),
        "rules": sorted({f.clause or words.text("report", "no clause") for f in option.refused}),
        "closed_upper": sum(f.grade.bars_publication for f in option.closed),
        "opened": _findings(book, (f for f in option.opened if f not in option.refused)),
        "closed": _findings(book, option.closed),
        "parts": _parts(book, option, option.parts),
        "saved": book.things(option.saved),
        "tally": None,
        "compared": None,
    }
    if option.tally and option.compared:
        found |= {
            "tally": _tally(book, option, option.tally),
            "compared": _compared(book, option, option.compared),
        }
    return found


def judgement(option: OptionResult) -> str:
    """Return what the figures say of an option beside the build as chosen.

    `refused` opens findings of the two upper classes; `worse` lets faults end worse; `silent` lets faults stay
    without a sign that otherwise trip something; `better` closes such findings or lets faults end better.
    """
    if option.compared is None:
        return "impossible"
    if option.refused:
        return "refused"
    if option.compared.worse:
        return "worse"
    if option.compared.silent:
        return "silent"
    better = any(change.after for change in option.compared.better)
    return "better" if better or any(f.grade.bars_publication for f in option.closed) else "equal"


def _findings(book: Book, findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Return findings by title and clause; those of one title stand together."""
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(text(finding, "title"), []).append(finding)
    return [
        {
            "title": title,
            "grade": group[0].grade.value,
            "where": book.things(tuple(id_ for finding in group for id_ in finding.where)),
            "clause": group[0].clause or words.text("report", "no clause"),
            "count": len(group),
        }
        for title, group in groups.items()
    ]


def _parts(book: Book, option: OptionResult, ids: Sequence[str]) -> list[str]:
    """Return the parts an option needs besides: they have no place in this book to link to."""
    if option.study is None:
        return []
    items = option.study.network.items
    return [items[id_].name if id_ in items else id_ for id_ in ids]


def _tally(book: Book, option: OptionResult | None, tally: Tally) -> dict[str, Any]:
    lasting, slowest = tally.lasting, tally.slowest
    return {
        "count": tally.count,
        "not_cleared": len(tally.not_cleared),
        "until_touched": len(tally.until_touched),
        "late": len(tally.late),
        "well": sum(r.verdict in ("in time", "harmless", "within rating") for r in tally.results),
        "lasting": _fault(book, option, lasting) if lasting else None,
        "slowest": _fault(book, option, slowest) if slowest else None,
    }


def _compared(book: Book, option: OptionResult, compared: Comparison) -> dict[str, Any]:
    better = [change for change in compared.better if change.after]
    return {
        "worse": len(compared.worse),
        "worse_examples": _examples(book, option, compared.worse),
        "better": len(better),
        "better_examples": _examples(book, option, better),
        "silent": len(compared.silent),
        "silent_examples": _examples(book, option, compared.silent)[:1],
        "alike": compared.alike,
        "only_before": compared.only_before,
        "only_after": compared.only_after,
    }


def _examples(book: Book, option: OptionResult, changes: Sequence[Change]) -> list[dict[str, Any]]:
    """Return the worst change of each kind of fault, a few kinds at the most; a second failure counts less."""
    by_kind: dict[str, list[tuple[FaultResult, FaultResult | None]]] = {}
    for change in changes:
        if change.after is not None:
            by_kind.setdefault(change.after.kind, []).append((change.after, change.before))
    for group in by_kind.values():
        group.sort(key=lambda pair: _height(pair[0]), reverse=True)
    chosen = sorted(by_kind.values(), key=lambda group: _height(group[0][0]), reverse=True)[:EXAMPLES]
    return [
        {
            "count": len(group),
            "after": _fault(book, option, group[0][0]),
            "before": _fault(book, None, group[0][1]) if group[0][1] else None,
        }
        for group in chosen
    ]


def _height(after: FaultResult) -> tuple[bool, bool, float, bool]:
    """Return how much a fault tells: one failure before two, what stays, what is felt, then where all have it."""
    return (not after.second, after.verdict == "stays", round(felt_v(after), -1), not after.site)


def _fault(book: Book, option: OptionResult | None, r: FaultResult) -> dict[str, Any]:
    """Return what fills a sentence about one fault, in the build as chosen or in an option."""
    touch = decisive_touch(r)
    states = option.study.states if option and option.study else book.study.states
    state = next((s.name for s in states if s.id == r.state), "")
    trips = next((reason.fields for reason in r.chain if reason.code == "touch-trips"), None)
    time = cleared_s(r)
    return {
        "kind": words.text("faults", f"kinds.{r.kind}"),
        "title": names.capital(words.text("faults", f"kinds.{r.kind}")),
        "at": names.place(book, r.at),
        "id": r.state,
        "state": state,
        "site": r.site,
        "verdict": r.verdict,
        "outcome": r.outcome,
        "volts": quantity(felt_v(r), "V") if r.touch else None,
        "from": names.touched(book, touch, "from_") if touch else None,
        "to": names.touched(book, touch, "to") if touch else None,
        "body": quantity(touch.current_ma / 1000, "A", 2) if touch else None,
        "felt": words.text("faults", f"zones.{touch.zone}") if touch else None,
        "trips": names.unit(book, str(trips["device"])) if trips else None,
        "within": quantity(float(str(trips["time_s"])), "s", 2) if trips else None,
        "devices": names.units(book, first_units(r), " or "),
        "time": quantity(time, "s", 2) if time is not None else None,
        "current": quantity(r.current_a, "A"),
        "chain": names.reasons(r),
    }


def _raised(book: Book, number: int, raised: Raised) -> dict[str, Any]:
    return {
        "number": number,
        "date": raised.date,
        "claim": raised.claim,
        "shown": _shown(book, raised.shown),
        "decision": raised.decision
        if raised.decision and raised.decision <= len(book.study.network.description.decisions)
        else None,
        "revision": raised.revision,
        "told": raised.told if holds(book.edition, "decisions/who was told") else None,
    }


def _shown(book: Book, shown: Sequence[str]) -> list[dict[str, Any]]:
    """Return what the study shows for the states and kinds of fault that an entry names.

    Each kind of fault is looked up in the states named before it, or in all.
    """
    known = {name: s.id for s in book.study.states for name in (s.id, s.name)}
    kinds = set(words.catalogue("faults")["kinds"])
    states = [known[name] for name in shown if name in known]
    found = []
    for kind in (name for name in shown if name in kinds):
        here = [r for r in book.study.faults.faults if r.kind == kind and (not states or r.state in states)]
        bad = worst(here)
        if bad is not None:
            found.append(_fault(book, None, bad) | {"state": book.state(bad.state) if bad.state else None})
    return found or [{"text": Markup(escape(name))} for name in shown]  # noqa: S704  (escaped)
