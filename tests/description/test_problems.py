"""The catalogue of problems and how they are printed."""

import ast
import json
import re
import time
from pathlib import Path

import pytest

import asfitted
from asfitted import words
from asfitted.description.load import load_text
from asfitted.description.marks import Mark
from asfitted.description.problems import Problem, meant, render, render_all, to_dict

GEN = Path(asfitted.__file__).parent
#: functions that take the code of a problem, and which argument it is
TAKES_CODE = {
    "Problem": 0, "fail": 0, "QuantityError": 0, "say": 0, "_say": 0, "_miss": 0, "_of_way": 0, "_known": 3,
    "_unknown": 0,
}  # fmt: skip
CODES_IN_TABLES = ("_KNOWN", "_CODES", "_PATTERNS")
NOT_A_WORD_OF_THE_TRADE = (
    "token",
    "mapping",
    "sequence",
    "scalar",
    "string",
    "integer",
    "dict",
    "parse",
    "syntax",
    "schema",
)


def strings_in(node: ast.AST) -> set[str]:
    return {n.value for n in ast.walk(node) if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def codes_in_source() -> set[str]:
    found: set[str] = set()
    files = [
        *(GEN / "description").rglob("*.py"),
        GEN / "network" / "checks.py",
        GEN / "studies" / "study.py",
        GEN / "studies" / "commissioning" / "judge.py",
    ]
    for node in (node for file in files for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name in TAKES_CODE and len(node.args) > TAKES_CODE[name]:
                argument = node.args[TAKES_CODE[name]]
                parts = [argument.body, argument.orelse] if isinstance(argument, ast.IfExp) else [argument]
                found |= {p.value for p in parts if isinstance(p, ast.Constant)}
        elif isinstance(node, ast.Assign | ast.AnnAssign | ast.For):
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if node.value if not isinstance(node, ast.For) else False:
                if getattr(target, "id", "") in (*CODES_IN_TABLES, "code"):
                    found |= strings_in(node.value)
            elif isinstance(node, ast.For) and "code" in {
                getattr(e, "id", "") for e in getattr(target, "elts", [])
            }:
                found |= strings_in(node.iter)
        elif isinstance(node, ast.FunctionDef) and node.name == "_code":
            found |= strings_in(node)
    return found


def catalogue() -> dict:
    return words.catalogue("problems")["codes"]


def test_every_code_in_the_source_has_its_sentences_and_every_sentence_its_code():
    found = codes_in_source()
    assert set(catalogue()) - found == set(), "sentences that nothing uses"
    # What a table says about pydantic's and the parser's own words is no code.
    unknown = {code for code in found - set(catalogue()) if re.fullmatch(r"[a-z][a-z -]+", code)}
    parts_of_tables = {"date", "reference", "length"}
    assert {c for c in unknown if c not in parts_of_tables and not is_words_of_the_parser(c)} == set()


def is_words_of_the_parser(text: str) -> bool:
    source = (GEN / "description" / "yaml_faults.py").read_text(encoding="utf-8")
    return f'("{text}", ' in source


@pytest.mark.parametrize("code", sorted(catalogue()))
def test_every_problem_says_what_is_wrong_why_it_matters_and_what_would_be_right(code: str):
    entry = catalogue()[code]
    assert set(entry) == {"message", "why", "right"}
    for part, sentence in entry.items():
        assert part == "right" or sentence.rstrip().endswith((".", ":", "”")), sentence
        for word in NOT_A_WORD_OF_THE_TRADE:
            assert not re.search(rf"\b{word}s?\b", sentence, re.IGNORECASE), f"{code}: {word}"


def problem(column: int, line: int = 1) -> Problem:
    return Problem("empty value", Mark(line, column), {"key": "rating"})


def caret_column(printed: str) -> int:
    source, caret = printed.splitlines()[1:3]
    assert caret.index("|") == source.index("|")
    return caret.index("^")


def test_a_problem_is_printed_with_its_place_line_caret_why_and_right():
    printed = render(problem(7), "build.yaml", "QF1: {rating: }\n").splitlines()
    assert printed[0] == "build.yaml:1:7: error: Nothing is said after “rating:”."
    assert printed[1] == "  1 | QF1: {rating: }"
    assert printed[2] == "    |       ^"
    assert printed[3].startswith("    why: An empty entry")
    assert printed[4].startswith("  right: Write the value")


@pytest.mark.parametrize(
    ("line", "shown_before"),
    [
        ("QF1: rating:", "QF1: "),
        ("\tQF1: rating:", "    QF1: "),
        ("車輪 1: rating:", "車輪 1: "),  # two wide letters take four cells
        ("e\u0301a\u0300: rating:", "e\u0301a\u0300: "),  # combining marks take none
        ("🔌 1: rating:", "🔌 1: "),
    ],
)
def test_the_caret_stands_under_the_word_whatever_stands_before_it(line: str, shown_before: str):
    cells = sum({"車": 2, "輪": 2, "🔌": 2, "\u0301": 0, "\u0300": 0}.get(c, 1) for c in shown_before)
    printed = render(problem(line.index("rating") + 1), "b.yaml", line)
    assert caret_column(printed) == len("  1 | ") + cells


@pytest.mark.parametrize("column", [1, 40, 95, 180, 300, 399])
def test_a_long_line_is_cut_around_the_column(column: int):
    line = "".join(chr(ord("a") + n % 26) for n in range(400))
    printed = render(problem(column), "b.yaml", line)
    source = printed.splitlines()[1]
    assert len(source) <= 100
    assert source[caret_column(printed)] == line[column - 1]


def test_nothing_in_a_file_can_reach_the_terminal_as_a_command():
    nasty = Problem("empty value", Mark(1, 1), {"key": "\x1b[2J\u202egnp\nx"})
    printed = render(nasty, "b.yaml", "\x1b[31m\u202etext: \n")
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", printed)


def test_a_place_beyond_the_file_is_printed_without_a_line():
    printed = render(problem(1, line=9), "b.yaml", "a: b\n")
    assert "|" not in printed


def test_all_problems_are_printed_in_the_order_of_the_file_and_counted():
    printed = render_all([problem(9, 2), problem(1, 2), problem(3, 1)], "b.yaml", "abc: d\nefg: h  i: j\n")
    assert re.findall(r"^b\.yaml:(\S+): error", printed, re.MULTILINE) == ["1:3", "2:1", "2:9"]
    assert printed.endswith("3 errors. Nothing was written.")


def test_a_problem_as_data():
    data = json.loads(json.dumps(to_dict(problem(7), "build.yaml")))
    assert {k: data[k] for k in ("file", "code", "line", "column")} == {
        "file": "build.yaml", "code": "empty value", "line": 1, "column": 7,
    }  # fmt: skip
    assert data["message"] == "Nothing is said after “rating:”."
    assert data["why"]
    assert data["right"]


def test_advice_names_the_nearest_word_else_all_of_them():
    assert meant("rbco", ["RCBO", "fuse"]) == "Did you mean “RCBO”?"
    assert meant("toaster", ["RCBO", "fuse"]) == "Possible here: RCBO, fuse."
    assert meant("toaster", [f"F{n}" for n in range(20)]).endswith("And 8 more.")


LONG = 300_000


@pytest.mark.parametrize(
    "text",
    [
        f"a: [{'x ' * (LONG // 2)}]\nb: c\n",
        f"runs:\n  - ac: [a, W1: {'foo ' * (LONG // 4)}, b]\n",
        f"runs:\n  - ac: [{'nope, ' * 5_000}x]\n",
        "equipment:\n" + "".join(f"  b{n}: structur\n" for n in range(2_000)),
    ],
    ids=["one word after another", "a long text", "a long row", "many slips"],
)
def test_long_files_are_answered_in_seconds_with_no_more_than_can_be_read(text: str):
    began = time.perf_counter()
    problems = load_text(text).problems
    printed = render_all(problems, "b.yaml", text)
    assert 1 <= len(problems) <= 200
    assert len(printed) < 200_000
    assert time.perf_counter() - began < 10


def test_an_error_elsewhere_makes_no_revision_unknown():
    """The example speaks of its revision 2; with a range error in a source nothing else is wrong."""
    path = GEN.parents[1] / "example_builds" / "paper_lantern" / "build.yaml"
    text, line = path.read_text(encoding="utf-8"), "    charge limit: 100 A\n"
    assert text.count(line) == 1
    found = load_text(text.replace(line, f"{line}    usable: 0 %\n"), path).problems
    assert [problem.code for problem in found] == ["out of range"]
    no_such = load_text(text.replace("    revision: 2\n", "    revision: 9\n"), path).problems
    assert [problem.code for problem in no_such] == ["unknown number"]
