"""A part of the long form while it is being written, and the names that texts may mention."""

import re
from dataclasses import dataclass, field

from asfitted.description.kinds import KINDS, Equipment
from asfitted.description.tree import Mapping, Node, Scalar

IDENTIFIER = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,39}")


@dataclass
class Draft:
    """A mapping of the long form while it is being written: field name -> (key with its place, value)."""

    id: Scalar
    fields: dict[str, tuple[Scalar, Node]] = field(default_factory=dict)

    def put(self, name: str, value: Node, key: Scalar | None = None) -> None:
        """Set a field; its key stands where the value stands unless given."""
        self.fields[name] = (key or Scalar(name, value.mark), value)

    def put_default(self, name: str, value: Node) -> None:
        """Set a field that the description itself has not given."""
        if name not in self.fields:
            self.put(name, value)

    def text(self, name: str) -> str:
        """Return the text of a field, or an empty text."""
        value = self.fields.get(name, (None, None))[1]
        return value.text if isinstance(value, Scalar) else ""

    @property
    def kind(self) -> type[Equipment] | None:
        """The kind of equipment, if it is a known one."""
        return KINDS.get(self.text("kind"))

    def node(self) -> Mapping:
        """Return the finished mapping."""
        return Mapping(tuple(self.fields.values()), self.id.mark)


@dataclass(frozen=True)
class Names:
    """Names that texts may mention: boards, bundles, spaces, and the builder's own classes of cable."""

    boards: tuple[str, ...] = ()
    bundles: tuple[str, ...] = ()
    spaces: tuple[str, ...] = ()
    cable_classes: tuple[str, ...] = ()


def split_kind(text: str) -> tuple[str, str, int]:
    """Return (kind, rest, offset of the rest) of a text that starts with the name of a kind; else the kind is
    empty.
    """
    for kind in sorted(KINDS, key=len, reverse=True):
        if text == kind or text.startswith((kind + " ", kind + ",")):
            rest = text[len(kind) :].lstrip(" ,")
            return kind, rest, len(text) - len(rest)
    return "", text, 0
