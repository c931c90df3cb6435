"""The one type family: its files, the width of a text in it, and the letters it lacks."""

import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import typst
from fontTools.ttLib import TTFont

from asfitted.resources import font_folder

FAMILY = "Source Sans Pro"
REGULAR = "SourceSansPro-Regular.ttf"
SEMIBOLD = "SourceSansPro-Semibold.ttf"
BOLD = "SourceSansPro-Bold.ttf"
ITALIC = "SourceSansPro-It.ttf"
SEMIBOLD_ITALIC = "SourceSansPro-SemiboldIt.ttf"

# Typst carries these three inside its wheel: they lend signs that the family lacks.
FALLBACK = ("DejaVu Sans Mono", "New Computer Modern Math", "Libertinus Serif")
MISSING = "\N{WHITE VERTICAL RECTANGLE}"

_PROBE = b"""#set document(title: "probe")
#set text(font: json(bytes(sys.inputs.fonts)))
#sys.inputs.text
"""


def font_file(name: str) -> Path:
    """Return the path of a file of the family."""
    return font_folder() / name


@cache
def _advances_em(name: str) -> dict[int, float]:
    font = TTFont(font_file(name))
    advance, units_per_em = font["hmtx"], font["head"].unitsPerEm
    return {code: advance[glyph][0] / units_per_em for code, glyph in font.getBestCmap().items()}


def text_width_em(text: str, semibold: bool = False) -> float:
    """Return the set width of `text` in em, kerning left out (it only narrows)."""
    advances = _advances_em(SEMIBOLD if semibold else REGULAR)
    return sum(advances.get(ord(mark), 0.62) for mark in text)


@cache
def typst_fonts() -> Any:
    """Return the fonts of the book: our family and what Typst carries, nothing of the machine's."""
    return typst.Fonts(include_system_fonts=False, font_paths=[font_folder()])


@cache
def _can_be_set(mark: str) -> bool:
    # Typst itself is asked, with the strict standard of the book: it refuses a letter that no font has.
    inputs = {"text": mark, "fonts": json.dumps([FAMILY, *FALLBACK])}
    try:
        typst.compile(_PROBE, sys_inputs=inputs, font_paths=typst_fonts(), pdf_standards=["a-2a"])
    except typst.TypstError:
        return False
    return True


def missing_letters(texts: Iterable[str]) -> frozenset[str]:
    """Return the characters in `texts` that the book has no letter for."""
    known = _advances_em(REGULAR)
    unsure = {mark for text in texts for mark in text if ord(mark) not in known and not mark.isspace()}
    return frozenset(mark for mark in unsure if not _can_be_set(mark))
