"""Text to a tree of nodes that know their places. Every scalar stays text: `on`, `12:30` and `010` mean what
they say.

The tree is composed once; data and positions come from the same nodes.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

from asfitted.description.kinds import KINDS
from asfitted.description.marks import START, Mark
from asfitted.description.problems import Problem
from asfitted.description.scalars import read_scalar
from asfitted.description.slips import mended_entries, mended_items
from asfitted.description.tree import Mapping, Node, Scalar, Sequence, plain
from asfitted.description.yaml_faults import fault

__all__ = ["Mapping", "Node", "Scalar", "Sequence", "Unreadable", "compose", "plain", "read_file"]
MAX_BYTES = 1 << 20
MAX_NODES = 100_000
MAX_DEPTH = 32
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_PLAIN_TAGS = frozenset(
    f"tag:yaml.org,2002:{name}"
    for name in ("str", "int", "float", "bool", "null", "timestamp", "value", "merge", "map", "seq")
)


class Unreadable(Exception):  # noqa: N818  (it is a state of the file, not an error of the program)
    """The file is no tree at all; `problems` say why, `text` is what could be read of it."""

    def __init__(self, *problems: Problem, text: str = "") -> None:
        super().__init__(problems[0].code)
        self.problems = problems
        self.text = text


def read_file(path: Path) -> str:
    """Return the text of a description file; raises Unreadable if it cannot be a description."""
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise Unreadable(
                Problem("file too large", START, {"size": f"{size / 1e6:.1f} MB", "limit": "1 MB"})
            )
        raw = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise Unreadable(Problem("file unreadable", START, {"path": str(path), "reason": reason})) from None
    raw = raw.removeprefix(_BYTE_ORDER_MARK)
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8").split("\n")
        mark = Mark(len(before), len(before[-1]) + 1)
        problem = Problem("not utf-8", mark, {"byte": f"0x{raw[error.start]:02X}"})
        raise Unreadable(problem, text=raw.decode("utf-8", "replace")) from None


def compose(text: str) -> tuple[Mapping, tuple[Problem, ...]]:
    """Return the tree of `text` and the problems of its form (duplicate keys, empty values).

    Raises Unreadable for what is no tree: YAML syntax, control characters, too deep, too many nodes through
    aliases.
    """
    unprintable = _UNPRINTABLE.search(text)
    if unprintable:
        before = re.split(r"\r\n|\n|\r", text[: unprintable.start()])
        mark = Mark(len(before), len(before[-1]) + 1)
        raise Unreadable(
            Problem("control character", mark, {"character": f"U+{ord(unprintable[0]):04X}"}), text=text
        )
    try:
        root = yaml.compose(text, Loader=_LOADER)
    except yaml.MarkedYAMLError as error:
        raise Unreadable(fault(error, text, MAX_DEPTH), text=text) from None
    except RecursionError:
        raise Unreadable(Problem("too deep", START, {"limit": MAX_DEPTH}), text=text) from None
    if root is None:
        raise Unreadable(Problem("empty file", START), text=text)
    builder = _Builder(text)
    tree = builder.build(root, 0)
    if not isinstance(tree, Mapping):
        raise Unreadable(Problem("not a mapping", tree.mark), text=text)
    return tree, tuple(builder.problems)


class _Builder:
    """Turns YAML nodes into ours, counting as it goes: an alias bomb is refused before it is walked."""

    def __init__(self, source: str) -> None:
        self.source = source
        self.problems: list[Problem] = []
        self.count = 0

    def build(self, node: yaml.Node, depth: int) -> Node:
        mark = Mark(node.start_mark.line + 1, node.start_mark.column + 1)
        self.count += 1
        if self.count > MAX_NODES:
            raise Unreadable(Problem("too many nodes", mark, {"limit": MAX_NODES}), text=self.source)
        if depth > MAX_DEPTH:
            raise Unreadable(Problem("too deep", mark, {"limit": MAX_DEPTH}), text=self.source)
        if node.tag not in _PLAIN_TAGS:
            self.problems.append(Problem("tag", mark))
        if isinstance(node, yaml.ScalarNode):
            return read_scalar(node, self.source)
        if isinstance(node, yaml.SequenceNode):
            return self._sequence(node, mark, depth)
        return self._mapping(node, mark, depth)

    def _sequence(self, node: yaml.SequenceNode, mark: Mark, depth: int) -> Sequence:
        built = [self.build(child, depth + 1) for child in node.value]
        items, slips = mended_items(built, bool(node.flow_style))
        self.problems += slips
        self.problems += [
            Problem("empty item", i.mark) for i in items if isinstance(i, Scalar) and not i.text
        ]
        return Sequence(tuple(i for i in items if not isinstance(i, Scalar) or i.text), mark)

    def _mapping(self, node: yaml.Node, mark: Mark, depth: int) -> Mapping:
        written: list[tuple[Scalar, Node]] = []
        for key_node, value_node in node.value:
            key = self.build(key_node, depth + 1)
            if isinstance(key, Scalar):
                written.append((key, self.build(value_node, depth + 1)))
            else:
                self.problems.append(Problem("key not a word", key.mark))
        mended, slips = mended_entries(written, bool(getattr(node, "flow_style", False)))
        self.problems += slips
        return Mapping(tuple(self._sound(mended)), mark)

    def _sound(self, written: list[tuple[Scalar, Node]]) -> Iterator[tuple[Scalar, Node]]:
        """Yield the entries whose names are new and whose values say something."""
        seen: dict[str, Mark] = {}
        for key, value in written:
            if key.text in seen:
                self.problems.append(
                    Problem("duplicate key", key.mark, {"key": key.text, "first": str(seen[key.text])})
                )
            elif key.text == "<<":
                self.problems.append(Problem("merge key", key.mark))
            else:
                seen[key.text] = key.mark
                if isinstance(value, Scalar) and value.text == "" and key.text not in KINDS:
                    self.problems.append(Problem("empty value", key.mark, {"key": key.text}))
                else:
                    yield key, value
