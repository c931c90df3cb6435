"""A folder imports only from folders to its left, and prose and code keep to their rooms."""

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "gen" / "asfitted"
ORDER = ("description", "tables", "network", "studies", "figures", "chapters", "publish")
#: chapters hand finished pages to publish; its model is the one thing they may know of it
ALLOWED = {("chapters", "asfitted.publish.model")}


def imports(path: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            found.append(node.module)
        elif isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
    return [name for name in found if name.startswith("asfitted.")]


@pytest.mark.parametrize("room", ORDER)
def test_room_imports_from_the_left_only(room):
    to_the_right = ORDER[ORDER.index(room) + 1 :]
    wrong = [
        f"{path.relative_to(SOURCE)} imports {name}"
        for path in sorted((SOURCE / room).rglob("*.py"))
        for name in imports(path)
        if name.split(".")[1] in to_the_right and (room, name) not in ALLOWED
    ]
    assert wrong == []


def test_rooms_are_those_of_the_order():
    folders = {path.name for path in SOURCE.iterdir() if path.is_dir() and not path.name.startswith("__")}
    assert folders - {"site_src"} == set(ORDER)


@pytest.mark.parametrize("path", sorted(SOURCE.rglob("*.py")), ids=lambda p: str(p.relative_to(SOURCE)))
def test_module_says_what_it_is_for(path):
    text = path.read_text(encoding="utf-8")
    assert ast.get_docstring(ast.parse(text)), f"{path.name} has no docstring"
    assert text.count("\n") < 700
