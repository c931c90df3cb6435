"""Column widths of a printed table, from what its cells hold, so that nothing runs off the sheet."""

from collections.abc import Sequence
from dataclasses import dataclass

from asfitted.publish.fonts import text_width_em

SIZES = (0.9, 0.84, 0.78, 0.72)  # type size of a table in body ems, tried from large to small
PAD_EM = 1.1  # white on both sides of a cell together, in ems of the table's type
_SLACK = 1.02  # hinting and tracking of tabular figures
_SHORT_EM = 8.0  # a column no wider than this stays on one line, as long as the others have room
_SHORT_SHARE = 0.85
BREAK = "\u200b"  # zero width space: a line may end here


@dataclass(frozen=True)
class Cell:
    """The text of a cell as lines, and whether it is set in semibold."""

    lines: tuple[str, ...]
    semibold: bool = False


@dataclass(frozen=True)
class Columns:
    """Type size in body ems, and widths in ems of that size, white included.

    `squeeze` is how much wider the table would be if no line of it were broken.
    """

    size_em: float
    widths_em: tuple[float, ...]
    breaks_words: bool
    squeeze: float


def column_widths(rows: Sequence[Sequence[Cell]], available_pt: float, body_pt: float) -> Columns:
    """Return the widths of the columns of `rows` within `available_pt`.

    A table that fits keeps its natural width. Otherwise no column gets narrower than its longest word nor
    wider than its longest line, and between these a column grows with the square root of its text, which
    evens out the heights of its cells. Type shrinks before words are broken.
    """
    columns = list(zip(*rows, strict=True))
    widest = [PAD_EM + max(map(_line_em, column), default=0) * _SLACK for column in columns]
    longest_word = [PAD_EM + max(map(_word_em, column), default=0) * _SLACK for column in columns]
    for size in SIZES:
        available = available_pt / (body_pt * size)
        if sum(longest_word) <= available:
            whole = [
                wide if wide < _SHORT_EM else word for wide, word in zip(widest, longest_word, strict=True)
            ]
            lower = whole if sum(whole) <= available * _SHORT_SHARE else longest_word
            return Columns(size, _between(lower, widest, available), False, sum(widest) / available)
    size = SIZES[-1]
    available = available_pt / (body_pt * size)
    narrowest = [min(word, available / len(columns)) for word in longest_word]
    return Columns(size, _between(narrowest, widest, available), True, sum(widest) / available)


def breakable(word_text: str, width_em: float) -> str:
    """Return `word_text` with a chance to break in every word that is wider than `width_em`."""
    return " ".join(
        BREAK.join(word) if text_width_em(word) * _SLACK > width_em - PAD_EM else word
        for word in word_text.split(" ")
    )


def _line_em(cell: Cell) -> float:
    return max((text_width_em(line, cell.semibold) for line in cell.lines), default=0.0)


def _word_em(cell: Cell) -> float:
    words = (word for line in cell.lines for word in line.split(" "))
    return max((text_width_em(word, cell.semibold) for word in words), default=0.0)


def _between(lower: Sequence[float], upper: Sequence[float], available: float) -> tuple[float, ...]:
    if sum(upper) <= available:
        return tuple(round(width, 2) for width in upper)

    def widths(share: float) -> list[float]:
        return [min(max(share * wide**0.5, narrow), wide) for narrow, wide in zip(lower, upper, strict=True)]

    low, high = 0.0, available
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if sum(widths(middle)) <= available else (low, middle)
    # Rounded down: the sum must not exceed the sheet.
    return tuple(int(width * 100) / 100 for width in widths(low))
