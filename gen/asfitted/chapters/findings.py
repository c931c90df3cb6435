"""Chapter: findings, accepted and open, and the assumptions that were made."""

from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.studies.results import Assumption, Finding


def text(finding: Finding, part: str) -> str:
    """Return one sentence of a finding, from whichever catalogue holds its code."""
    for name in ("findings", "findings_sizing", "findings_faults"):
        if finding.code in words.catalogue(name):
            return words.text(name, f"{finding.code}.{part}", **finding.fields)
    raise KeyError(finding.code)


def assumption_text(assumption: Assumption) -> str:
    """Return the sentence of an assumption."""
    return words.text(
        "assumptions", assumption.code, **{"where": ", ".join(assumption.where), **assumption.fields}
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
            for a in study.sizing.assumptions
        ],
    }


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
        "line": finding.mark.line,
        "states": book.states_text(finding.states) if finding.states else None,
    }
