"""The builds whose procedures are looked at: all examples, and a first description of every setting."""

from functools import cache, lru_cache
from pathlib import Path

from asfitted.description.answers import Answers
from asfitted.description.load import load, load_text
from asfitted.description.starter import starter
from asfitted.studies.procedures.model import Procedures
from asfitted.studies.procedures.study import procedures
from asfitted.studies.study import Study, study

EXAMPLES = Path(__file__).resolve().parents[3] / "example_builds"
STARTERS = {
    "van": ("road vehicle", "Europe", "16 A", "1.6 kW", "LiFePO4 24 V 200 Ah"),
    "trailer in America": ("trailer", "North America", "30 A", "1.6 kW", "LiFePO4 24 V 200 Ah"),
    "boat without inverter": ("boat", "Europe", "16 A", "none", "lead-acid AGM 12 V 90 Ah"),
    "cabin": ("cabin", "Europe", "16 A", "1.6 kW", "LiFePO4 51.2 V 100 Ah"),
    "house without inverter": ("house", "United Kingdom", "16 A", "none", "lead-acid AGM 12 V 90 Ah"),
}
BUILDS = ("paper_lantern", "slow_heron", "tin_kiln", *STARTERS)


@cache
def built(name: str) -> Study:
    if name in STARTERS:
        return study(load_text(starter(Answers(*STARTERS[name]), "2026-03-02")))  # type: ignore[arg-type]
    return study(load(EXAMPLES / name / "build.yaml"))


@lru_cache(maxsize=8)
def changed(name: str, *replacements: tuple[str, str]) -> Study:
    """Return an example with words replaced; its decisions, which speak of what may be gone, are left out."""
    path = EXAMPLES / name / "build.yaml"
    text = path.read_text(encoding="utf-8").partition("\ndecisions:")[0] + "\n"
    for old, new in replacements:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        text = text.replace(old, new)
    return study(load_text(text, path))


@cache
def of(found_name: str) -> Procedures:
    return procedures(built(found_name))


def codes(found: Procedures) -> set[str]:
    return {procedure.code for procedure in found.procedures}
