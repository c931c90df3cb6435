"""Decisions as data for other programs: what each option opens, closes and needs, and how its faults end."""

import math
from collections.abc import Iterable, Sequence
from typing import Any

from asfitted import words
from asfitted.chapters.decisions import judgement
from asfitted.description.schema import Decision
from asfitted.studies.comparison import Tally
from asfitted.studies.decisions import DecisionResult, OptionResult
from asfitted.studies.fault_summary import cleared_s, felt_v
from asfitted.studies.results import Finding


def decision_dicts(asked: Sequence[Decision], studied: Sequence[DecisionResult]) -> list[dict[str, Any]]:
    """Return every decision; `as_chosen` and `options` are None where the options were not studied."""
    if not studied:
        return [
            {"question": d.question, "chosen": d.chosen, "as_chosen": None, "options": None} for d in asked
        ]
    return [
        {
            "question": decision.question,
            "chosen": decision.chosen,
            "as_chosen": _tally(decision.tally),
            "options": [_option(option) for option in decision.options],
        }
        for decision in studied
    ]


def _option(option: OptionResult) -> dict[str, Any]:
    compared = option.compared
    return {
        "name": option.name,
        "judgement": judgement(option),
        "problems": [problem.sentence("message") for problem in option.problems],
        "opened": _findings(option.opened),
        "closed": _findings(option.closed),
        "rules_broken": sorted({f.clause for f in option.refused if f.clause}),
        "parts": list(option.parts),
        "saved": list(option.saved),
        "faults": _tally(option.tally) if option.tally else None,
        "compared": {
            "worse": len(compared.worse),
            "better": sum(change.after is not None for change in compared.better),
            "silent": len(compared.silent),
            "alike": compared.alike,
            "only_as_chosen": compared.only_before,
            "only_here": compared.only_after,
        }
        if compared
        else None,
    }


def _tally(tally: Tally) -> dict[str, Any]:
    slowest = tally.slowest
    return {
        "played": tally.count,
        "not_cleared": len(tally.not_cleared),
        "until_touched": len(tally.until_touched),
        "late": len(tally.late),
        "lasting_touch_v": _rounded(felt_v(tally.lasting)) if tally.lasting else None,
        "slowest_s": _rounded(cleared_s(slowest) or 0.0) if slowest else None,
    }


def _findings(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    return [
        {
            "code": f.code,
            "class": f.grade.value,
            "where": list(f.where),
            "clause": f.clause or words.text("report", "no clause"),
        }
        for f in findings
    ]


def _rounded(value: float) -> float | None:
    return float(f"{value:.6g}") if math.isfinite(value) else None
