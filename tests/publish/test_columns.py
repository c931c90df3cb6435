from hypothesis import given
from hypothesis import strategies as st

from asfitted.publish.columns import PAD_EM, Cell, breakable, column_widths
from asfitted.publish.fonts import text_width_em

TEXTS = st.text(st.sampled_from(list("abcdefgh   ")), max_size=60)
TABLES = st.integers(1, 9).flatmap(
    lambda columns: st.lists(
        st.lists(TEXTS.map(lambda text: Cell((text,))), min_size=columns, max_size=columns),
        min_size=1,
        max_size=6,
    )
)


@given(TABLES, st.floats(120, 700))
def test_a_table_never_runs_off_the_sheet_nor_cuts_a_word_that_would_fit(
    rows: list[list[Cell]], available_pt: float
) -> None:
    made = column_widths(rows, available_pt, body_pt=10)
    assert sum(made.widths_em) * made.size_em * 10 <= available_pt + 1e-6
    if not made.breaks_words:
        for column, width in zip(zip(*rows, strict=True), made.widths_em, strict=True):
            words = [word for cell in column for word in cell.lines[0].split()]
            assert all(text_width_em(word) <= width - PAD_EM + 0.02 for word in words)


def test_a_table_that_fits_keeps_its_natural_width() -> None:
    made = column_widths([[Cell(("F1",)), Cell(("lamps",))]], available_pt=400, body_pt=10)
    assert made.widths_em[0] < 2.5
    assert made.widths_em[1] < 4
    assert made.size_em == 0.9


def test_type_shrinks_before_words_are_broken() -> None:
    word = "x" * 20
    natural = column_widths([[Cell((word,))] * 4], 10_000, 10)
    squeezed = column_widths([[Cell((word,))] * 4], 10 * 0.8 * sum(natural.widths_em), 10)
    broken = column_widths([[Cell((word,))] * 4], 10 * 0.5 * sum(natural.widths_em), 10)
    assert (squeezed.breaks_words, broken.breaks_words) == (False, True)
    assert squeezed.size_em < natural.size_em
    assert "\u200b" in breakable(word, broken.widths_em[0])
    assert breakable("a few words", 8) == "a few words"
