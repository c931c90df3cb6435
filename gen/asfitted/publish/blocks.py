"""The element tree of a page as data for the Typst templates: nested dictionaries, texts untouched."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from asfitted.publish.columns import Cell, Columns, breakable, column_widths
from asfitted.publish.errors import PublishError
from asfitted.publish.links import label, local_target
from asfitted.publish.markdown_tree import Element
from asfitted.publish.model import Asset
from asfitted.publish.paper import Paper
from asfitted.publish.pictures import place

Data = dict[str, Any]

_STYLES = {"strong": "strong", "b": "strong", "em": "emph", "i": "emph", "sub": "sub", "sup": "sup"}
_INLINE = {
    *_STYLES,
    "a",
    "abbr",
    "br",
    "code",
    "del",
    "img",
    "input",
    "kbd",
    "label",
    "mark",
    "small",
    "span",
}
_SIGNALS = ("danger", "warning", "caution", "notice")
_UNBREAKABLE_CELL = 1200  # characters; a longer cell may have to run over the end of a page


@dataclass(frozen=True)
class BlockMaker:
    """Turns the tree of one page into blocks.

    `labels` are all places of the book that a reference can name; `footnotes` the notes of this page by id.
    """

    page: str
    paper: Paper
    assets: dict[str, Asset]
    labels: frozenset[str]
    footnotes: dict[str, Element]
    landscape: bool = False

    # Blocks

    def blocks(self, parent: Element) -> list[Data]:
        """Return the blocks inside `parent`; loose text between them becomes paragraphs."""
        made: list[Data] = []
        for inline, run in groupby(parent.children, key=_is_inline):
            if not inline:
                made.extend(
                    block for child in run if isinstance(child, Element) for block in self.block(child)
                )
            elif inlines := self.inlines(run):
                made.append({"k": "par", "c": inlines})
        kept = [_kept_with_next(block, after) for block, after in zip(made, [*made[1:], {}], strict=True)]
        return _with_leads(kept)

    def block(self, element: Element) -> Iterator[Data]:
        """Yield the blocks that `element` stands for, after an anchor if it has an id."""
        if "only-screen" in element.classes or "footnote" in element.classes:
            return
        heading = element.tag in {"h1", "h2", "h3", "h4", "h5", "h6"}
        if "id" in element.attributes and not heading:
            yield {"k": "anchor", "id": label(self.page, element.attributes["id"])}
        if heading:
            yield self._heading(element)
        elif element.tag in {"ul", "ol"}:
            yield self._list(element)
        elif element.tag == "p":
            yield from self._paragraph(element)
        elif element.tag == "table":
            yield self._table(element)
        elif element.tag == "dl":
            yield {"k": "terms", "items": list(self._terms(element))}
        elif element.tag == "figure":
            yield self._figure(element)
        elif element.tag == "pre":
            yield {"k": "code", "t": element.text().rstrip("\n")}
        elif element.tag == "blockquote":
            yield {"k": "quote", "body": self.blocks(element)}
        elif element.tag == "hr":
            yield {"k": "rule"}
        elif "admonition" in element.classes:
            yield self._caution(element)
        elif "landscape" in element.classes and not self.landscape:
            yield {"k": "landscape", "body": self._turned().blocks(element)}
        else:
            yield from self.blocks(element)

    def _turned(self) -> "BlockMaker":
        return BlockMaker(self.page, self.paper, self.assets, self.labels, self.footnotes, landscape=True)

    def _heading(self, element: Element) -> Data:
        body = self.inlines(element.children)
        name = label(self.page, element.attributes.get("id", ""))
        return {"k": "heading", "level": int(element.tag[1]), "id": name, "c": body}

    def _paragraph(self, element: Element) -> Iterator[Data]:
        children = [child for child in element.children if not isinstance(child, str) or child.strip()]
        if children and all(isinstance(child, Element) and child.tag == "img" for child in children):
            yield self._figure(Element("figure", {}, list(children)))
        elif body := self.inlines(element.children):
            yield {"k": "par", "c": body}

    def _list(self, element: Element) -> Data:
        items = [self.blocks(item) for item in element.elements if item.tag == "li"]
        if "checklist" in element.classes:
            return {"k": "checklist", "items": [_without_box(item) for item in items]}
        return {
            "k": "list",
            "ordered": element.tag == "ol",
            "start": int(element.attributes.get("start", "1")),
            "items": items,
        }

    def _terms(self, element: Element) -> Iterator[Data]:
        term: list[Data] = []
        for child in element.elements:
            if child.tag == "dt":
                term = self.inlines(child.children)
            else:
                yield {"term": term, "body": self.blocks(child)}
                term = []

    def _caution(self, element: Element) -> Data:
        level = next((level for level in _SIGNALS if level in element.classes), "note")
        title, body = element.elements[0], Element("div", {}, list(element.elements[1:]))
        return {
            "k": "caution",
            "level": level,
            "title": self.inlines(title.children),
            "body": self.blocks(body),
        }

    def _figure(self, element: Element) -> Data:
        images = [found for found in element.walk() if found.tag == "img"]
        captions = [found for found in element.elements if found.tag == "figcaption"]
        if tables := [found for found in element.walk() if found.tag == "table"]:
            return self._table(tables[0])
        words = " ".join(caption.text().strip() for caption in captions)
        pictures = [self._picture(image, words) for image in images]
        return {
            "k": "figure",
            "pictures": pictures,
            "sheet": pictures[0]["sheet"] if len(pictures) == 1 else "none",
            "caption": self.inlines(found for caption in captions for found in _flat(caption)),
        }

    def _picture(self, image: Element, caption: str = "") -> Data:
        path = image.attributes.get("src", "")
        asset = self.assets[path]
        alt = image.attributes.get("alt") or asset.alt
        if not alt.strip():
            raise PublishError("no-alternative-text", page=self.page, path=path)
        placed = place(asset, self.paper, self.landscape, caption)
        words = " ".join((alt.rstrip(".") + ".", *asset.long_description)) if asset.long_description else alt
        return {"path": f"/{path}", "alt": words, "width_pt": placed.width_pt, "sheet": placed.sheet}

    # Tables

    def _table(self, element: Element) -> Data:
        rows = [found for found in element.walk() if found.tag == "tr"]
        cells = [[cell for cell in row.elements if cell.tag in {"td", "th"}] for row in rows]
        count = max(map(len, cells), default=0)
        cells = [[*row, *(Element("td") for _ in range(count - len(row)))] for row in cells]
        columns = column_widths(
            [[_measured(cell) for cell in row] for row in cells],
            self.paper.text_width_pt(self.landscape),
            self.paper.body_pt,
        )
        heads = sum(1 for row in cells if row and all(cell.tag == "th" for cell in row))
        return {
            "k": "table",
            "size_em": columns.size_em,
            "widths_em": columns.widths_em,
            "hyphenate": columns.breaks_words,
            "align": [_alignment(cell) for cell in cells[0]] if cells else [],
            "head": [[self._cell(c, n, columns) for n, c in enumerate(row)] for row in cells[:heads]],
            "rows": [[self._cell(c, n, columns) for n, c in enumerate(row)] for row in cells[heads:]],
        }

    def _cell(self, cell: Element, number: int, columns: Columns) -> Data:
        body = self.blocks(cell)
        if columns.breaks_words:
            body = _with_breaks(body, columns.widths_em[number])
        if "id" in cell.attributes:
            body.insert(0, {"k": "anchor", "id": label(self.page, cell.attributes["id"])})
        return {"body": body, "breakable": len(cell.text()) > _UNBREAKABLE_CELL}

    # Inlines

    def inlines(self, children: Iterable[Element | str]) -> list[Data]:
        """Return the inline nodes of `children`, white space collapsed, none at both ends."""
        return _stripped([node for child in children for node in self._inline(child)])

    def _nested(self, element: Element) -> list[Data]:
        return [node for child in element.children for node in self._inline(child)]

    def _inline(self, child: Element | str) -> Iterator[Data]:
        if isinstance(child, str):
            yield {"k": "text", "t": _collapsed(child)}
            return
        if "only-screen" in child.classes:
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
            yield {"k": "picture"} | self._picture(child)
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
            yield {"k": "ref", "to": target, "c": self._nested(element)}
        else:
            yield from self._nested(element)

    def _note(self, mark: Element) -> Data:
        """The note itself where its mark stands first (`fnref:`), its number alone where it stands again."""
        name = mark.elements[0].attributes["href"][1:]
        return {
            "k": "note",
            "id": label(self.page, name),
            "first": mark.attributes["id"].startswith("fnref:"),
            "c": self.inlines(_flat(self.footnotes[name])),
        }


def _is_inline(child: Element | str) -> bool:
    return isinstance(child, str) or child.tag in _INLINE


def footnotes(root: Element) -> dict[str, Element]:
    """Return the footnotes of a page by their id."""
    notes = (found for found in root.walk() if "footnote" in found.classes)
    return {item.attributes["id"]: item for note in notes for item in note.walk() if item.tag == "li"}


def _flat(element: Element) -> Iterator[Element | str]:
    """Yield what stands in the paragraphs of `element` as one run of inline content."""
    for child in element.children:
        if isinstance(child, Element) and child.tag in {"p", "div"}:
            yield from _flat(child)
        else:
            yield child


def _stripped(nodes: list[Data]) -> list[Data]:
    """Return inline nodes without white space at both ends."""
    made = list(nodes)
    if made and made[0]["k"] == "text":
        made[0] = made[0] | {"t": made[0]["t"].lstrip()}
    if made and made[-1]["k"] == "text":
        made[-1] = made[-1] | {"t": made[-1]["t"].rstrip()}
    return [node for node in made if node.get("t") != ""]


def _collapsed(text: str) -> str:
    # No-break spaces stay: they were put there on purpose.
    inner = " ".join(part for part in text.replace("\n", " ").replace("\t", " ").split(" ") if part)
    if not inner:
        return " " if text else ""
    return " " * text[0].isspace() + inner + " " * text[-1].isspace()


def _kept_with_next(block: Data, follower: Data) -> Data:
    """A paragraph that ends with a colon introduces what follows and stays with it."""
    introduces = block["k"] == "par" and block["c"][-1].get("t", "").rstrip().endswith(":")
    return block | {"keep": True} if introduces and follower else block


def _with_leads(blocks: list[Data]) -> list[Data]:
    """A figure that gets a sheet of its own takes along the headings right before it."""
    made: list[Data] = []
    for block in blocks:
        lead: list[Data] = []
        while block.get("sheet", "none") != "none" and made and made[-1]["k"] in {"heading", "anchor"}:
            lead.insert(0, made.pop())
        made.append(block | {"lead": lead} if block["k"] == "figure" else block)
    return made


def _without_box(item: list[Data]) -> list[Data]:
    """The box of a checklist item hangs in the margin instead of standing in the line."""
    return [
        block | {"c": _stripped([node for node in block["c"] if node["k"] != "box"])}
        if "c" in block
        else block
        for block in item
    ]


def _alignment(cell: Element) -> str:
    style = cell.attributes.get("style", "")
    return next((side for side in ("right", "center") if f"text-align: {side}" in style), "left")


def _measured(cell: Element) -> Cell:
    lines = [""]
    for found in _texts(cell):
        if found is None:
            lines.append("")
        else:
            lines[-1] += found
    semibold = cell.tag == "th" or any(found.tag in {"strong", "b"} for found in cell.walk())
    return Cell(tuple(" ".join(line.split()) for line in lines), semibold)


def _texts(element: Element) -> Iterator[str | None]:
    """Yield the text of a cell; None where a new line begins."""
    for child in element.children:
        if isinstance(child, str):
            yield child
        elif child.tag in {"input", "img"}:
            yield "MM"
        elif "blank" in child.classes:
            yield "M" * 8
        elif child.tag in {"code", "kbd"}:
            yield child.text() + "i" * len(child.text())  # the fixed pitch is wider than our family
        else:
            if child.tag in {"br", "p", "li"}:
                yield None
            yield from _texts(child)


def _with_breaks(data: Any, width_em: float) -> Any:
    if isinstance(data, list):
        return [_with_breaks(item, width_em) for item in data]
    if not isinstance(data, dict):
        return data
    if data.get("k") in {"text", "mono"}:
        return data | {"t": breakable(data["t"], width_em)}
    return {key: _with_breaks(value, width_em) for key, value in data.items()}
