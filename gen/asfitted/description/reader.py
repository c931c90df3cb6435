"""Text to a tree of nodes that know their places. Every scalar stays text: `on`, `12:30` and `010` mean what they say.

The tree is composed once; data and positions come from the same nodes.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from asfitted.description.marks import START, Mark
from asfitted.description.problems import Problem

MAX_BYTES = 1 << 20
MAX_NODES = 100_000
MAX_DEPTH = 32
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class Scalar:
    """A text and where its first character stands; `at` is the mark of a character inside it."""

    text: str
    mark: Mark

    def at(self, offset: int) -> Mark:
        """Return the place of the character at `offset` (of a text written on one line)."""
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

    def without(self, *keys: str) -> "Mapping":
        """Return the mapping less the given keys."""
        return Mapping(tuple(e for e in self.entries if e[0].text not in keys), self.mark)


Node = Scalar | Sequence | Mapping


class Unreadable(Exception):  # noqa: N818  (it is a state of the file, not an error of the program)
    """The file is no tree at all; `problems` say why."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__(problems[0].code)
        self.problems = problems


def read_file(path: Path) -> str:
    """Return the text of a description file; raises Unreadable if it cannot be a description."""
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise Unreadable(Problem("file too large", START, {"size": f"{size / 1e6:.1f} MB", "limit": "1 MB"}))
        raw = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise Unreadable(Problem("file unreadable", START, {"path": str(path), "reason": reason})) from None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        line = before.count(b"\n") + 1
        column = len(before) - (before.rfind(b"\n") + 1) + 1
        raise Unreadable(Problem("not utf-8", Mark(line, column), {"byte": f"0x{raw[error.start]:02X}"})) from None


def compose(text: str) -> tuple[Mapping, tuple[Problem, ...]]:
    """Return the tree of `text` and the problems of its form (duplicate keys, empty values).

    Raises Unreadable for what is no tree: YAML syntax, explicit tags, too deep, too many nodes through aliases.
    """
    try:
        root = yaml.compose(text, Loader=_LOADER)
    except yaml.reader.ReaderError as error:
        before = text[: error.position] if isinstance(error.position, int) else ""
        mark = Mark(before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)
        raise Unreadable(Problem("control character", mark, {"character": f"U+{_code(error.character):04X}"})) from None
    except yaml.MarkedYAMLError as error:
        where = error.problem_mark or error.context_mark
        mark = Mark(where.line + 1, where.column + 1) if where else START
        words = "; ".join(part for part in (error.problem, error.context) if part)
        raise Unreadable(Problem("not yaml", mark, {"reason": words})) from None
    except RecursionError:
        raise Unreadable(Problem("too deep", START, {"limit": MAX_DEPTH})) from None
    if root is None:
        raise Unreadable(Problem("empty file", START))
    builder = _Builder()
    tree = builder.build(root, 0)
    if not isinstance(tree, Mapping):
        raise Unreadable(Problem("not a mapping", tree.mark))
    return tree, tuple(builder.problems)


def _code(character: Any) -> int:
    return character if isinstance(character, int) else ord(character)


class _Builder:
    """Turns YAML nodes into ours, counting as it goes so that an alias bomb is refused before it is walked."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.count = 0

    def build(self, node: yaml.Node, depth: int) -> Node:
        mark = Mark(node.start_mark.line + 1, node.start_mark.column + 1)
        self.count += 1
        if self.count > MAX_NODES:
            raise Unreadable(Problem("too many nodes", mark, {"limit": MAX_NODES}))
        if depth > MAX_DEPTH:
            raise Unreadable(Problem("too deep", mark, {"limit": MAX_DEPTH}))
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node, mark)
        if isinstance(node, yaml.SequenceNode):
            return Sequence(tuple(self.build(child, depth + 1) for child in node.value), mark)
        return self._mapping(node, mark, depth)

    def _scalar(self, node: yaml.ScalarNode, mark: Mark) -> Scalar:
        quoted = node.style in ("'", '"')
        text = " ".join(node.value.split()) if "\n" in node.value else node.value
        return Scalar(text, mark.right(1) if quoted else mark)

    def _mapping(self, node: yaml.Node, mark: Mark, depth: int) -> Mapping:
        entries: list[tuple[Scalar, Node]] = []
        seen: dict[str, Mark] = {}
        for key_node, value_node in node.value:
            key = self.build(key_node, depth + 1)
            if not isinstance(key, Scalar):
                self.problems.append(Problem("key not a word", key.mark))
                continue
            if key.text in seen:
                self.problems.append(Problem("duplicate key", key.mark, {"key": key.text, "first": str(seen[key.text])}))
                continue
            if key.text == "<<":
                self.problems.append(Problem("merge key", key.mark))
                continue
            seen[key.text] = key.mark
            value = self.build(value_node, depth + 1)
            if isinstance(value, Scalar) and value.text == "":
                self.problems.append(Problem("empty value", key.mark, {"key": key.text}))
                continue
            entries.append((key, value))
        return Mapping(tuple(entries), mark)


def plain(node: Node) -> Any:
    """Return the data of a tree: dict, list and str."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {key.text: plain(value) for key, value in node.entries}


def locate(tree: Node, loc: tuple[int | str, ...], of_key: bool = False) -> Mark:
    """Return the place that a pydantic `loc` means: the deepest node reached; parts that are no key are skipped.

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
