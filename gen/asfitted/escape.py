"""Text of a stranger, made safe to stand anywhere in Markdown or HTML."""

import re
import unicodedata

# Marks that reorder what follows them: a label could read differently from what it says.
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_SPACES = re.compile(r"[^\S\u00a0]+")
_PUNCTUATION = {code: f"&#{code};" for code in range(0x21, 0x7F) if not chr(code).isalnum()}


def plain(text: str) -> str:
    """Return `text` in NFC on one line, without control, surrogate and bidirectional marks."""
    kept = (
        mark
        for mark in unicodedata.normalize("NFC", text)
        if mark.isspace() or (unicodedata.category(mark) not in {"Cc", "Cs"} and mark not in _BIDI)
    )
    # A no-break space between a number and its unit is meant to stay.
    return _SPACES.sub(" ", "".join(kept)).strip()


def escape(text: str) -> str:
    """Return `text` so that a Markdown cell, paragraph or heading shows it exactly and as nothing but text.

    Every ASCII punctuation mark becomes a character reference: there is no list of dangerous marks to keep
    up to date with the Markdown dialect.
    """
    return plain(text).translate(_PUNCTUATION)
