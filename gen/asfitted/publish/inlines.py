"""What stands within a line as data for the Typst templates: text, emphasis, references, notes, boxes."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from asfitted.publish.links import label, local_target
from asfitted.publish.markdown_tree import Element

Data = dict[str, Any]

_STYLES = {"strong": "strong", "b": "strong", "em": "emph", "i": "emph", "sub": "sub", "sup": "sup"}
_TAGS = {*_STYLES, "a", "abbr", "br", "code", "del", "img", "input", "kbd", "label", "mark", "small", "span"}


def is_inline(child: Element | str) -> bool:
    """Return whether `child` stands within a line."""
    return isinstance(child, str) or child.tag in _TAGS


@dataclass(frozen=True)
class InlineMaker:
    """Turns what stands in the lines of one page into nodes.

    `labels` are all places of the book that a reference can name; `footnotes` the notes of this page by id;
    `picture` makes the data of an image; with `beside` the signs stand beside the text and not in its lines.
    """

    page: str
    labels: frozenset[str]
    footnotes: dict[str, Element]
    picture: Callable[[Element], Data]
    beside: bool = False

    def nodes(self, children: Iterable[Element | str]) -> list[Data]:
        """Return the nodes of `children`, white space collapsed, none at both ends."""
        return stripped([node for child in children for node in self._inline(child)])

    def _nested(self, element: Element) -> list[Data]:
        return [node for child in element.children for node in self._inline(child)]

    def _inline(self, child: Element | str) -> Iterator[Data]:
        if isinstance(child, str):
            yield {"k": "text", "t": _collapsed(child)}
            return
        if "only-screen" in child.classes or (self.beside and "sign" in child.classes):
            return
        if child.attributes.get("id", "").startswith("fnref"):
            yield self._note(child)
            return
        if "id" in child.attributes:
            yield {"k": "anchor", "id": label(self.page, child.attributes["id"])}
        if child.tag in _STYLES:
            yield {"k": _STYLES[child.tag], "c": self._nested(child)}
        elif child.tag == "br":
            yield {"k": "br"}
        elif child.tag in {"code", "kbd"}:
            yield {"k": "mono", "t": child.text()}
        elif child.tag == "input":
            yield {"k": "box"}
        elif child.tag == "a":
            yield from self._link(child)
        elif child.tag == "img":
            yield {"k": "picture"} | self.picture(child)
        elif "blank" in child.classes:
            yield {"k": "blank"}
        else:
            yield from self._nested(child)

    def _link(self, element: Element) -> Iterator[Data]:
        address = element.attributes.get("href", "")
        if "footnote-backref" in element.classes:
            return
        target = local_target(self.page, address)
        if target is None:
            yield {"k": "link", "url": address, "c": self._nested(element)}
        elif target in self.labels:
            # A designation is looked up in lists that are in order: its page would only disturb the sentence.
            quiet = "designation" in element.classes
            yield {"k": "ref", "to": target, "quiet": quiet, "c": self._nested(element)}
        else:
            yield from self._nested(element)

    def _note(self, mark: Element) -> Data:
        """The note itself where its mark stands first (`fnref:`), its number alone where it stands again."""
        name = mark.elements[0].attributes["href"][1:]
        return {
            "k": "note",
            "id": label(self.page, name),
            "first": mark.attributes["id"].startswith("fnref:"),
            "c": self.nodes(flat(self.footnotes[name])),
        }


def footnotes(root: Element) -> dict[str, Element]:
    """Return the footnotes of a page by their id."""
    notes = (found for found in root.walk() if "footnote" in found.classes)
    return {item.attributes["id"]: item for note in notes for item in note.walk() if item.tag == "li"}


def flat(element: Element) -> Iterator[Element | str]:
    """Yield what stands in the paragraphs of `element` as one run of inline content."""
    for child in element.children:
        if isinstance(child, Element) and child.tag in {"p", "div"}:
            yield from flat(child)
        else:
            yield child


def stripped(nodes: list[Data]) -> list[Data]:
    """Return inline nodes without white space at both ends."""
    made = list(nodes)
    if made and made[0]["k"] == "text":
        made[0] = made[0] | {"t": made[0]["t"].lstrip()}
    if made and made[-1]["k"] == "text":
        made[-1] = made[-1] | {"t": made[-1]["t"].rstrip()}
    return [node for node in made if node.get("t") != ""]


_WHITE = " \n\t"


def _collapsed(text: str) -> str:
    # No-break spaces stay: they were put there on purpose.
    inner = " ".join(part for part in text.replace("\n", " ").replace("\t", " ").split(" ") if part)
    if not inner:
        return " " if text else ""
    return " " * (text[0] in _WHITE) + inner + " " * (text[-1] in _WHITE)
