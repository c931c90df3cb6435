"""Chapter: findings, accepted and open, and the assumptions that were made."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.order import in_order
from asfitted.numbers import tied
from asfitted.studies.results import Assumption, Finding


def text(finding: Finding, part: str) -> str:
    """Return one sentence of a finding, from whichever catalogue holds its code."""
    # Some fields are ids of equipment: on a page it bears its name, in which an underscore is a space.
    fields = {k: v.replace("_", " ") if isinstance(v, str) else v for k, v in finding.fields.items()}
    for name in (
        "findings",
        "findings_sizing",
        "findings_faults",
        "findings_transfer",
        "findings_energy",
        "findings_tests",
    ):
        if finding.code in words.catalogue(name):
            return tied(words.text(name, f"{finding.code}.{part}", **fields))
    raise KeyError(finding.code)


def assumption_text(assumption: Assumption) -> str:
    """Return the sentence of an assumption."""
    return tied(
        words.text(
            "assumptions", assumption.code, **{"where": ", ".join(assumption.where), **assumption.fields}
        )
    )


def context(book: Book) -> dict[str, Any]:
    """Return the findings by class, those accepted with reason and date, and the assumptions."""
    study = book.study
    return {
        "open": [_finding(book, finding) for finding in study.findings],
        "accepted": [
            {**_finding(book, finding), "reason": accepted.reason, "date": accepted.date}
            for finding, accepted in study.accepted
        ],
        "assumptions": [
            {"text": assumption_text(a), "where": book.things(a.where), "source": a.source}
            for a in (*study.sizing.assumptions, *study.transfers.assumptions, *study.energy.assumptions)
        ],
        "claims": _unproved(book),
    }


def _unproved(book: Book) -> list[dict[str, Any]]:
    """Return one row for each field and basis, with everything for which it is still unproved."""
    alike: dict[tuple[str, str], list[str]] = {}
    for claim in book.study.sizing.claims:
        if not claim.proved:
            alike.setdefault((claim.field, claim.basis), []).append(claim.item)
    return [
        {"field": field, "basis": basis, "where": book.things(tuple(in_order(items)))}
        for (field, basis), items in sorted(alike.items())
    ]


def _finding(book: Book, finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "grade": finding.grade.value,
        "title": text(finding, "title"),
        "message": text(finding, "message"),
        "why": text(finding, "why"),
        "remedy": text(finding, "remedy"),
        "clause": finding.clause,
        "where": book.things(finding.where),
        "file": finding.file,
        "line": finding.mark.line,
        "states": book.states_text(finding.states) if finding.states else None,
    }
