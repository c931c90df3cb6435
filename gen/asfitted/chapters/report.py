"""The answer of `check` in a terminal: findings at their lines, then a count."""

from pathlib import Path
from typing import Any

from asfitted import words
from asfitted.chapters.findings import text
from asfitted.studies.results import Finding
from asfitted.studies.study import Study


def finding_dict(finding: Finding, study: Study) -> dict[str, Any]:
    """Return a finding as data for other programs; also the form it has in record.json."""
    return {
        "code": finding.code,
        "class": finding.grade.value,
        "state": list(finding.states),
        "where": list(finding.where),
        "file": finding.file or None,
        "line": finding.mark.line,
        "column": finding.mark.column,
        "message": text(finding, "message"),
        "why": text(finding, "why"),
        "remedy": text(finding, "remedy"),
        "clause": finding.clause or words.text("report", "no clause"),
    }


def _path(study: Study, finding: Finding) -> Path:
    """Return the file in which a finding points at a line."""
    return study.loaded.path.with_name(finding.file) if finding.file else study.loaded.path


def report(study: Study) -> str:
    """Return every open finding as printed lines, then how many of which class, and what was accepted."""
    names = {state.id: state.name for state in study.states}
    lines: list[str] = []
    for finding in study.findings:
        lines.append(
            f"{_path(study, finding)}:{finding.mark.line}:{finding.mark.column}: "
            f"{finding.grade.value}: {text(finding, 'title')} [{finding.code}]"
        )
        if finding.states and len(finding.states) < len(study.states):
            lines.append(
                "    " + words.text("report", "states", states="; ".join(names[s] for s in finding.states))
            )
        lines += [f"    {text(finding, part)}" for part in ("message", "why")]
        lines.append("    " + words.text("report", "remedy", remedy=text(finding, "remedy")))
        lines.append(f"    {finding.clause or words.text('report', 'no clause')}")
        lines.append("")
    counts = ", ".join(
        words.text("report", "count", count=number, grade=grade)
        for grade in dict.fromkeys(f.grade.value for f in study.findings)
        if (number := sum(f.grade.value == grade for f in study.findings))
    )
    network = study.network
    lines.append(
        words.text(
            "report",
            "summary",
            title=network.description.build.title,
            equipment=len(network.items),
            cables=len(network.cables),
            states=len(study.states),
            findings=counts or words.text("report", "none"),
            accepted=len(study.accepted),
            assumptions=len(study.sizing.assumptions),
        )
    )
    return "\n".join(lines) + "\n"
