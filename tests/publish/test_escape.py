import unicodedata

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from asfitted.escape import escape, plain
from asfitted.publish.markdown_tree import Element, parse_markdown

MARKDOWN_MARKS = st.lists(
    st.sampled_from([*"*_`[](){}<>#+-.!|~^:\\&;=\"'$@/\n\t 1aé", "&lt;", "{{", "]("])
).map("".join)


def tags(root: Element) -> list[str]:
    return [found.tag for found in root.walk()]


@given(st.one_of(st.text(), MARKDOWN_MARKS))
def test_text_comes_back_exactly_and_as_nothing_but_text(text: str) -> None:
    assume(plain(text))
    shown = escape(text)
    root = parse_markdown(f"## {shown} {{#ours}}\n\n{shown}\n\n| Head | H |\n|---|---|\n| {shown} | x |\n")
    harmless = parse_markdown("## word {#ours}\n\nword\n\n| Head | H |\n|---|---|\n| word | x |\n")
    assert tags(root) == tags(harmless)
    heading, paragraph, table = root.elements
    cell = next(found for found in table.walk() if found.tag == "td")
    assert [heading.text(), paragraph.text(), cell.text()] == [plain(text)] * 3
    assert heading.attributes == {"id": "ours"}


@given(st.text())
def test_plain_text_has_neither_control_nor_bidirectional_marks(text: str) -> None:
    made = plain(text)
    assert made == unicodedata.normalize("NFC", made)
    assert all(unicodedata.category(mark) != "Cc" for mark in made)
    assert not set(made) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
    # A no-break space stays; all other white space is one space, none at the ends.
    assert made.replace("\u00a0", "x") == " ".join(made.replace("\u00a0", "x").split())


@pytest.mark.parametrize(
    ("text", "expected"),
    [("a\u202eb", "ab"), ("a\x00 \n b", "a b"), ("e\u0301", "é"), ("2.5\u00a0mm²", "2&#46;5\u00a0mm²")],
)
def test_examples(text: str, expected: str) -> None:
    assert escape(text) == expected
