"""Variations of the example: the text of its description with a few words replaced."""

from functools import cache, lru_cache
from pathlib import Path

from asfitted.description.load import load_text
from asfitted.studies.study import Study, study

EXAMPLE = Path(__file__).resolve().parents[2] / "example_builds" / "paper_lantern" / "build.yaml"


@cache
def example_text() -> str:
    """Return the example without its decisions, which speak of cables that a variation may take away."""
    return EXAMPLE.read_text(encoding="utf-8").partition("\ndecisions:")[0] + "\n"


def varied(*replacements: tuple[str, str]) -> str:
    """Return the example's text with each pair (old, new) replaced; an old text that is not there fails the test."""
    text = example_text()
    for old, new in replacements:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the example"
        text = text.replace(old, new)
    return text


@lru_cache(maxsize=8)
def studied(*replacements: tuple[str, str]) -> Study:
    return study(load_text(varied(*replacements), EXAMPLE))
