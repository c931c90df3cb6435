"""Codes in Python and sentences in the catalogues are the same set, both ways."""

import re
from pathlib import Path

import yaml

from asfitted.resources import site_src

SOURCE = Path(__file__).resolve().parent.parent / "gen" / "asfitted"


def catalogue(name: str) -> dict:
    return yaml.safe_load((site_src() / "words" / f"{name}.yaml").read_text(encoding="utf-8"))


def code_text(*rooms: str) -> str:
    return "\n".join(
        p.read_text(encoding="utf-8") for room in rooms for p in sorted((SOURCE / room).rglob("*.py"))
    )


def test_findings_of_states():
    source = code_text("studies")
    for code, entry in catalogue("findings").items():
        assert f'"{code}"' in source, f"{code} is never raised"
        assert {"title", "message", "why", "remedy"} <= set(entry), code


def test_every_finding_raised_has_its_sentences():
    known = {code for p in (site_src() / "words").glob("findings*.yaml") for code in catalogue(p.stem)}
    raised = set(re.findall(r'Finding\(\s*"([a-z0-9-]+)"', code_text("studies")))
    assert raised
    assert raised <= known


def test_every_finding_of_the_transfer_study_is_raised():
    source = code_text("studies")
    for code, entry in catalogue("findings_transfer").items():
        assert f'"{code}"' in source, f"{code} is never raised"
        assert {"title", "message", "why", "remedy"} == set(entry), code


def test_cautions():
    raised = set(
        re.findall(
            r'yield \(?\s*"([a-z-]+)"', (SOURCE / "chapters" / "cautions.py").read_text(encoding="utf-8")
        )
    )
    assert raised == set(catalogue("cautions")) - {"then"}


def test_tests():
    """Every code of a test has its sentences and every sentence its code, an instrument, and reasons that are said."""
    source = code_text("studies/commissioning")
    said = catalogue("commissioning")
    for code, entry in said["tests"].items():
        assert f'"{code}"' in source, f"{code} is never asked for"
        assert set(entry) == {"title", "with", "do", "expect", "wrong", "care"}, code
        assert entry["with"] in said["instruments"], code
    codes = set(re.findall(r'Test\(\s*"([a-z-]+)"', source)) - {"continuity-bar"}
    assert codes <= set(said["tests"])
    for reason in said["reasons"]:
        assert f'"{reason}"' in source, f"“{reason}” is never given"
    given = set(re.findall(r'not_applicable="([^"]+)"', source)) | set(
        re.findall(r'not_applicable="" if .*? else "([^"]+)"', source)
    )
    assert given <= set(said["reasons"])
