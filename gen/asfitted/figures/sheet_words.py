"""Words that all figures share: titles of sheets and the texts on arrows."""

from asfitted import words

from .layout import Wording


def wording() -> Wording:
    """Return the words for arrows and continued bars."""
    return Wording(
        lambda sheet: words.text("figures", "sheet", sheet=sheet), words.text("figures", "continued")
    )


def sheet_title(figure: str, number: int, sheets: int, **fields: str) -> str:
    """Return the title of sheet `number` of `sheets` of a kind of figure (a key of the catalogue)."""
    key = "title" if sheets == 1 else "title of sheet"
    return words.text("figures", f"{figure}.{key}", sheet=number, sheets=sheets, **fields)


def capital(text: str) -> str:
    """Return the text with its first letter as a capital."""
    return text[:1].upper() + text[1:]
