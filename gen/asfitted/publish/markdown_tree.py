"""The Markdown of a page as a tree of elements, by the same extensions that the site uses.

Site and book see the same HTML; the tree is read back from it, so raw HTML blocks in a page count as well.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

from markdown import Markdown

EXTENSIONS = (
    "tables",
    "admonition",
    "attr_list",
    "md_in_html",
    "def_list",
    "footnotes",
    "toc",
    "pymdownx.superfences",
)
VOID = frozenset(
    {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr"}
)


@dataclass
class Element:
    """An HTML element; `children` holds elements and text in document order."""

    tag: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list["Element | str"] = field(default_factory=list)

    @property
    def classes(self) -> frozenset[str]:
        """The words of the class attribute."""
        return frozenset(self.attributes.get("class", "").split())

    @property
    def elements(self) -> list["Element"]:
        """The children without the text between them."""
        return [child for child in self.children if isinstance(child, Element)]

    def walk(self) -> Iterator["Element"]:
        """Yield this element and all below it in document order."""
        yield self
        for child in self.elements:
            yield from child.walk()

    def text(self) -> str:
        """Return all text below this element, joined."""
        return "".join(child if isinstance(child, str) else child.text() for child in self.children)


class _TreeBuilder(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("root")
        self._open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, {name: value or "" for name, value in attrs})
        self._open[-1].children.append(element)
        if tag not in VOID:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        depths = [depth for depth, element in enumerate(self._open) if element.tag == tag]
        if depths and tag not in VOID:
            del self._open[depths[-1] :]

    def handle_data(self, data: str) -> None:
        self._open[-1].children.append(data)


def parse_html(html: str) -> Element:
    """Return the tree of an HTML text below an element named `root`."""
    builder = _TreeBuilder()
    builder.feed(html)
    builder.close()
    return builder.root


def parse_markdown(markdown: str) -> Element:
    """Return the tree of a page below an element named `root`."""
    return parse_html(Markdown(extensions=list(EXTENSIONS)).convert(markdown))
