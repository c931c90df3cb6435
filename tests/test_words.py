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
    source = (SOURCE / "studies" / "checklist.py").read_text(encoding="utf-8")
    for code, entry in catalogue("tests").items():
        assert f'"{code}"' in source, f"{code} is never asked for"
        assert {"do", "expect"} == set(entry) - {"expect class A"}
