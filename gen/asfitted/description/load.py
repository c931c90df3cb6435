"""From a file to a typed description, with every problem of reading, expanding and validating at its place."""

from dataclasses import dataclass
from pathlib import Path

from asfitted.description.expand import expand
from asfitted.description.marks import START, Mark
from asfitted.description.problems import Problem
from asfitted.description.reader import Mapping, Unreadable, compose, locate, read_file
from asfitted.description.references import check_references
from asfitted.description.schema import Description
from asfitted.description.validate import validate


@dataclass(frozen=True)
class Loaded:
    """A description as read: its text, the tree of its long form, the typed model (None if unusable), its problems."""

    path: Path
    text: str
    tree: Mapping
    description: Description | None
    problems: tuple[Problem, ...]

    def mark(self, *loc: str | int) -> Mark:
        """Return where the key at `loc` of the long form stands in the file."""
        return locate(self.tree, loc, of_key=True)


def load(path: Path) -> Loaded:
    """Read the description at `path`; never raises for what a user may have written."""
    text = ""
    try:
        text = read_file(path)
        return load_text(text, path)
    except Unreadable as unreadable:
        return Loaded(path, text, Mapping((), START), None, unreadable.problems)


def load_text(text: str, path: Path = Path("build.yaml")) -> Loaded:
    """Read a description from a text; raises Unreadable if it is no tree at all."""
    short, problems = compose(text)
    tree, more = expand(short)
    found = [*problems, *more]
    description, of_schema = validate(tree)
    found += of_schema
    if description is not None:
        found += check_references(description, tree)
    unique = {(p.mark, p.code, str(p.fields)): p for p in found}
    ordered = tuple(sorted(unique.values(), key=lambda p: p.mark))
    return Loaded(path, text, tree, description if not ordered else None, ordered)
