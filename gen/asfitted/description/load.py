"""From a file to a typed description, with every problem of form, schema and names at its place."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path

from asfitted.description.expand import expand
from asfitted.description.marks import START, Mark
from asfitted.description.problems import Problem, sorted_problems
from asfitted.description.reader import Unreadable, compose, read_file
from asfitted.description.references import check_references
from asfitted.description.schema import Description
from asfitted.description.tree import Mapping, locate
from asfitted.description.validate import validate

#: nobody mends more at one sitting; the others come up when these are gone
MOST_PROBLEMS = 200


@dataclass(frozen=True)
class Loaded:
    """A description as read: its text, the tree of its long form, the typed model (None if unusable), its
    problems.
    """

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
    try:
        return load_text(read_file(path), path)
    except Unreadable as unreadable:
        return Loaded(path, unreadable.text, Mapping((), START), None, unreadable.problems)


def load_text(text: str, path: Path = Path("build.yaml")) -> Loaded:
    """Read a description from a text; raises Unreadable if it is no tree at all."""
    short, of_form = compose(text)
    return load_tree(short, text, path, of_form)


def load_tree(short: Mapping, text: str, path: Path, earlier: Iterable[Problem] = ()) -> Loaded:
    """Read a description from its tree, short or long; `earlier` are problems already found."""
    earlier = tuple(earlier)
    lost = {str(p.fields["key"]) for p in earlier if p.code == "empty value"}
    expanded = expand(short, lost)
    description, sound, of_schema = validate(expanded.tree, expanded.spoiled)
    found = [*earlier, *expanded.problems, *(p for p in of_schema if not _half_written(p, lost))]
    if sound is not None:
        found += check_references(sound, expanded.tree, expanded.lost | expanded.spoiled)
    problems = tuple(_unique(found))
    return Loaded(path, text, expanded.tree, description if not problems else None, problems)


def _half_written(problem: Problem, lost: Collection[str]) -> bool:
    """Tell whether a field only seems to be missing: `use lived in` has lost its colon, and is reported."""
    return problem.code == "missing field" and any(
        name.startswith(f"{problem.fields['field']} ") for name in lost
    )


def _unique(problems: Iterable[Problem]) -> list[Problem]:
    """Return the first problems of the file, each once: a fault of a default comes back in all that it fills."""
    unique: dict[object, Problem] = {}
    for problem in problems:
        same = tuple((name, str(value)) for name, value in problem.fields.items() if name != "where")
        unique.setdefault((problem.mark, problem.code, same), problem)
    return sorted_problems(unique.values())[:MOST_PROBLEMS]
