"""Widths of text in the real font, so that what fits on the drawing board fits on paper."""

from __future__ import annotations

import re
from functools import cache

from fontTools.ttLib import TTFont

from asfitted.resources import font_folder

MM_PER_PT = 25.4 / 72
NOMINAL_PT = 7.0
LINE_PITCH = 1.16
ASCENT, DESCENT = 0.75, 0.24
"""Height of "lÄ" above and depth of "gj" below the base line, as parts of the size (Source Sans)."""

WRAP_MM = 19.0
_NBSP = "\u00a0"


@cache
def _advances(bold: bool) -> tuple[dict[int, str], dict[str, int], int]:
    name = "SourceSansPro-Bold.ttf" if bold else "SourceSansPro-Regular.ttf"
    with TTFont(font_folder() / name, lazy=True) as font:
        widths = {glyph: advance for glyph, (advance, _) in font["hmtx"].metrics.items()}
        return dict(font.getBestCmap()), widths, font["head"].unitsPerEm


@cache
def text_width_mm(text: str, bold: bool = False, size_pt: float = NOMINAL_PT) -> float:
    """Return the advance width of a line in mm. A character that the font lacks counts a whole em."""
    glyphs, widths, em = _advances(bold)
    units = sum(widths[glyphs[ord(char)]] if ord(char) in glyphs else em for char in text)
    return units / em * size_pt * MM_PER_PT


def line_pitch_mm(size_pt: float = NOMINAL_PT) -> float:
    """Return the distance of base lines in mm."""
    return LINE_PITCH * size_pt * MM_PER_PT


def printable(text: str) -> str:
    """Return the text on one line without characters that no font or XML parser can show."""
    shown = "".join(c if c.isprintable() or c == _NBSP else " " for c in text)
    return " ".join(part for part in shown.split(" ") if part)


_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=[^\W\d]{1,3}[²³]?(?: |,|$))")


def wrap(text: str, bold: bool = False, width_mm: float = WRAP_MM) -> list[str]:
    """Break a line at spaces so that it stays within `width_mm`; a longer single word is broken inside."""
    lines: list[str] = []
    current = ""
    for word in _NUMBER_AND_UNIT.sub(_NBSP, printable(text)).split(" "):
        word = word.replace(_NBSP, " ")
        trial = f"{current} {word}".strip()
        if not current or text_width_mm(trial, bold) <= width_mm:
            current = trial
        else:
            lines.append(current)
            current = word
        while text_width_mm(current, bold) > width_mm and len(current) > 1:
            cut = len(current) - 1
            while cut > 1 and text_width_mm(current[:cut], bold) > width_mm:
                cut -= 1
            lines.append(current[:cut])
            current = current[cut:]
    return [*lines, current] if current else lines
