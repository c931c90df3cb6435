import ast
import pickle
import re
from pathlib import Path

import pytest

import asfitted.publish
from asfitted.publish import LinkError, OutputError, PublishError
from asfitted.words import catalogue

PROBLEMS = catalogue("layout")["problems"]
KINDS = {"PublishError", "LinkError", "OutputError", "RenderError"}


def raised() -> dict[str, set[str]]:
    """Return the fields that the sources give with each code."""
    found: dict[str, set[str]] = {}
    for path in Path(asfitted.publish.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in KINDS:
                (code,) = (argument.value for argument in node.args if isinstance(argument, ast.Constant))
                fields = {keyword.arg or "" for keyword in node.keywords}
                found[str(code)] = found.get(str(code), fields) & fields
    return found


def test_every_code_has_a_sentence_and_every_sentence_a_code() -> None:
    assert set(raised()) == set(PROBLEMS)


@pytest.mark.parametrize("code", PROBLEMS)
def test_a_sentence_asks_only_for_fields_that_it_is_given(code: str) -> None:
    assert set(re.findall(r"{(\w+)}", PROBLEMS[code])) <= raised()[code]


def test_an_error_survives_the_way_between_processes() -> None:
    error = pickle.loads(pickle.dumps(OutputError("locked", out="{x}")))  # noqa: S301 - our own bytes
    assert (type(error), error.code, error.fields) == (OutputError, "locked", {"out": "{x}"})
    assert str(error) == "Another build is writing {x}. Wait until it has finished."
    assert isinstance(LinkError("broken-links", links="x"), PublishError)
