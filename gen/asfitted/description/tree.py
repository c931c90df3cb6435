"""The tree of a description: texts, lists and entries that know where they stand in the file."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from asfitted.description.marks import Mark


@dataclass(frozen=True)
class Scalar:
    """A text and where its first character stands; `at` is the mark of a character inside it.

    `places` holds a mark for each character where these do not follow one another on the line: text in
    quotation
    marks with escapes, text over several lines, double spaces. Runs of white space in the text are one space
    each.
    """

    text: str
    mark: Mark
    places: tuple[Mark, ...] = ()

    def at(self, offset: int) -> Mark:
        """Return the place of the character at `offset` of the text."""
        if offset < len(self.places):
            return self.places[offset]
        return self.mark.right(offset)


@dataclass(frozen=True)
class Sequence:
    """A list of nodes."""

    items: tuple["Node", ...]
    mark: Mark


@dataclass(frozen=True)
class Mapping:
    """Keys and nodes in the order of the file."""

    entries: tuple[tuple[Scalar, "Node"], ...]
    mark: Mark

    def get(self, key: str) -> "Node | None":
        """Return the node under `key`, or None."""
        return next((node for name, node in self.entries if name.text == key), None)

    def key(self, key: str) -> Scalar | None:
        """Return the key itself, which knows its place."""
        return next((name for name, _ in self.entries if name.text == key), None)


Node = Scalar | Sequence | Mapping


def plain(node: Node) -> Any:
    """Return the data of a tree: dict, list and str."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {key.text: plain(value) for key, value in node.entries}


def locate(tree: Node, loc: tuple[int | str, ...], of_key: bool = False) -> Mark:
    """Return the place that a pydantic `loc` means: the deepest node reached; parts that are no key are
    skipped.

    `of_key` asks for the mark of the last key instead of its value (for an unknown field).
    """
    node, mark = tree, tree.mark
    for part in loc:
        if isinstance(node, Mapping):
            key = node.key(str(part))
            child = node.get(str(part))
            if key is not None and child is not None:
                node, mark = child, key.mark if of_key else child.mark
        elif isinstance(node, Sequence) and isinstance(part, int) and part < len(node.items):
            node = node.items[part]
            mark = node.mark
    return mark


def walk(node: Node) -> Iterator[Scalar]:
    """Yield every scalar below `node`, keys included, in the order of the file."""
    if isinstance(node, Scalar):
        yield node
    elif isinstance(node, Sequence):
        for item in node.items:
            yield from walk(item)
    else:
        for key, value in node.entries:
            yield key
            yield from walk(value)
