"""Files that are hardly descriptions, and the places of characters."""

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from asfitted.description.load import load
from asfitted.description.marks import Mark
from asfitted.description.reader import Unreadable, compose, read_file
from asfitted.description.tree import Mapping, Scalar, Sequence, locate, plain, walk

SOUND = (Path(__file__).parent / "faulty" / "sound.yaml").read_text(encoding="utf-8")


def problems_of_bytes(tmp_path: Path, content: bytes) -> list[tuple[str, str]]:
    path = tmp_path / "build.yaml"
    path.write_bytes(content)
    return [(p.code, str(p.mark)) for p in load(path).problems]


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", [("empty file", "1:1")]),
        (b"# only a comment\n", [("empty file", "1:1")]),
        (b"asfitted\n", [("not a mapping", "1:1")]),
        (b"asfitted:1\nbuild:x\n", [("not a mapping", "1:1")]),
        (b"- asfitted\n", [("not a mapping", "1:1")]),
        ("a: °\nb: ".encode() + b"\xb0C\n", [("not utf-8", "2:4")]),
        ("ä: ö ".encode() + b"\xff\n", [("not utf-8", "1:6")]),
        ("asfitted: 1\n".encode("utf-16"), [("not utf-8", "1:1")]),
        ("°°: a\x00b\n".encode(), [("control character", "1:6")]),
        (b"a: b\r\nc: \x1b[2J\r\n", [("control character", "2:4")]),
        (b"%PDF-1.7\n1 0 obj\n", None),
        (b"a: " + b"[" * 3000, [("too deep", "1:1003")]),
        (b"[" * 40 + b"x" + b"]" * 40, [("too deep", "1:34")]),
        (b"a: &a [*a]\n", [("too deep", "1:4")]),
        (b"x" * ((1 << 20) + 1), [("file too large", "1:1")]),
    ],
    ids=lambda value: repr(value)[:40],
)
def test_files_that_are_no_description(tmp_path: Path, content: bytes, expected: list | None):
    found = problems_of_bytes(tmp_path, content)
    assert found if expected is None else found == expected


def test_an_alias_bomb_is_refused_before_it_is_walked(tmp_path: Path):
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 10)]
    assert [code for code, _ in problems_of_bytes(tmp_path, "\n".join(lines).encode())] == ["too many nodes"]


def test_a_missing_file_is_a_problem(tmp_path: Path):
    assert [p.code for p in load(tmp_path / "none.yaml").problems] == ["file unreadable"]
    assert [p.code for p in load(tmp_path).problems] == ["file unreadable"]


@pytest.mark.parametrize("prefix", [b"", b"\xef\xbb\xbf"], ids=["plain", "byte order mark"])
@pytest.mark.parametrize("ending", [b"\n", b"\r\n"], ids=["LF", "CRLF"])
def test_line_ends_and_byte_order_marks_change_nothing(tmp_path: Path, prefix: bytes, ending: bytes):
    content = prefix + SOUND.encode().replace(b"\n", ending)
    assert problems_of_bytes(tmp_path, content) == []
    faulty = prefix + SOUND.replace("RCBO C16", "RBCO C16").encode().replace(b"\n", ending)
    assert problems_of_bytes(tmp_path, faulty) == [("unknown kind", "39:69")]


def test_every_scalar_stays_text():
    tree, problems = compose("a: on\nb: 12:30\nc: 010\nd: 1_000\ne: 1e3\nf: ~\ng: 2026-03-02\nh: no\n")
    assert problems == ()
    assert plain(tree) == {
        "a": "on", "b": "12:30", "c": "010", "d": "1_000", "e": "1e3", "f": "~", "g": "2026-03-02", "h": "no",
    }  # fmt: skip


def test_unreadable_carries_the_text_for_the_excerpt(tmp_path: Path):
    path = tmp_path / "build.yaml"
    path.write_text("a: [1\nb: 2\n", encoding="utf-8")
    assert load(path).text == "a: [1\nb: 2\n"
    path.write_bytes(b"a: \xb0\n")
    with pytest.raises(Unreadable) as caught:
        read_file(path)
    assert caught.value.text == "a: \ufffd\n"


def mark_of(source: str, text: str, offset: int) -> Mark:
    tree, _ = compose(source)
    scalar = next(s for s in walk(tree) if s.text == text)
    return scalar.at(offset)


@pytest.mark.parametrize(
    ("source", "text"),
    [
        ("a: one  two x\n", "one two x"),
        ("a: 'one ''two'' x'\n", "one 'two' x"),
        ('a: "one \\"two\\" x"\n', 'one "two" x'),
        ('a: "\\u00b0 \\x41 \\U0001F50C x"\n', "° A 🔌 x"),
        ("a: 🔌 🔌 x\n", "🔌 🔌 x"),
        ("a: one\u00a0two x\n", "one two x"),
        ("a: one\n   two\n   x\n", "one two x"),
        ('a: "one\n   two\\\n   three\n   x"\n', "one twothree x"),
        ("a: |\n  one\n  x\n", "one x"),
        ("a: >-\n  one\n  x\n", "one x"),
        ("{a: [b, 'c  x']}\n", "c x"),
    ],
)
def test_a_place_inside_a_text_is_that_of_the_character_in_the_file(source: str, text: str):
    expected = source.rindex("x")
    line = source.count("\n", 0, expected) + 1
    column = expected - (source.rfind("\n", 0, expected) + 1) + 1
    assert mark_of(source, text, text.index("x")) == Mark(line, column)


TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Zl", "Zp")), min_size=1, max_size=30
)


@given(TEXTS, st.sampled_from(["'", '"', ""]))
def test_places_name_the_same_character(text: str, quote: str):
    """For any text, each character of the scalar that is no space stands at its place in the source."""
    dumped = yaml.dump({"k": text}, allow_unicode=True, width=20, default_style=quote or None)
    try:
        tree, _ = compose(dumped)
    except Unreadable:
        return
    node = tree.get("k")
    if node is None:
        return
    assert isinstance(node, Scalar)
    lines = dumped.split("\n")
    for offset, character in enumerate(node.text):
        mark = node.at(offset)
        assert mark.line <= len(lines)
        found = lines[mark.line - 1][mark.column - 1 :]
        if character != " ":
            assert found.startswith((character, "\\", "''"))


def test_the_place_of_a_loc_is_that_of_the_deepest_node_reached():
    tree = Mapping(
        (
            (
                Scalar("a", Mark(1, 1)),
                Sequence((Scalar("x", Mark(1, 5)), Scalar("y", Mark(1, 8))), Mark(1, 4)),
            ),
        ),
        Mark(1, 1),
    )
    assert locate(tree, ("a", 1)) == Mark(1, 8)
    assert locate(tree, ("a", "tag", 1)) == Mark(1, 8)
    assert locate(tree, ("a", 7)) == Mark(1, 4)
    assert locate(tree, ("a",), of_key=True) == Mark(1, 1)
    assert locate(tree, ("nothing",)) == Mark(1, 1)
