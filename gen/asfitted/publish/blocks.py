"""The element tree of a page as data for the Typst templates: nested dictionaries, texts untouched."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from asfitted.publish.cells import alignment, measured, with_breaks
from asfitted.publish.columns import Columns, column_widths
from asfitted.publish.errors import PublishError
from asfitted.publish.inlines import Data, InlineMaker, flat, is_inline, stripped
from asfitted.publish.links import label
from asfitted.publish.lint import LEVELS
from asfitted.publish.markdown_tree import Element
from asfitted.publish.model import Asset
from asfitted.publish.paper import PT_PER_MM, Paper
from asfitted.publish.pictures import place

_SIGNALS = ("danger", "warning", "caution", "notice")
_LIST_EM, _BOX_EM = 1.6, 2.4  # what a list and a box take from the width
_UPRIGHT = 1.4  # a table stays upright if its lines need not be broken much more than in half
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
    boxed: bool = False  # inside a caution, list or cell, which no sheet can interrupt
    beside: bool = False  # inside a caution, whose signs stand in a column of their own

    @property
    def _lines(self) -> InlineMaker:
        return InlineMaker(self.page, self.labels, self.footnotes, self._picture, self.beside)

    def blocks(self, parent: Element) -> list[Data]:
        """Return the blocks inside `parent`; loose text between them becomes paragraphs."""
        made: list[Data] = []
        for inline, run in groupby(parent.children, key=is_inline):
            if not inline:
                made.extend(
                    block for child in run if isinstance(child, Element) for block in self.block(child)
                )
            elif inlines := self._lines.nodes(run):
                made.append({"k": "par", "c": inlines})
        following: list[Data] = [*made[1:], {}]
        return _with_leads([_kept(block, after) for block, after in zip(made, following, strict=False)])

    def block(self, element: Element) -> Iterator[Data]:
        """Yield the blocks that `element` stands for, after an anchor if it has an id."""
        if "only-screen" in element.classes or "footnote" in element.classes:
            return
        heading = element.tag in LEVELS
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
        elif element.tag == "figure" and any(found.tag == "img" for found in element.walk()):
            yield self._figure(element)
        elif element.tag == "pre":
            yield {"k": "code", "t": element.text().rstrip("\n")}
        elif element.tag == "blockquote":
            yield {"k": "quote", "body": self._inside(_BOX_EM).blocks(element)}
        elif element.tag == "hr":
            yield {"k": "rule"}
        elif "admonition" in element.classes:
            yield self._caution(element)
        elif "landscape" in element.classes and not self.landscape and not self.boxed:
            yield from self._landscape(element)
        else:
            yield from self.blocks(element)

    def _landscape(self, element: Element) -> Iterator[Data]:
        """Yield what needs the long side of the sheet on a sheet turned, and what does not where it stands."""
        upright = self.blocks(element)
        if all(block["k"] != "table" or block["squeeze"] <= _UPRIGHT for block in upright):
            yield from upright
        else:
            yield {"k": "landscape", "body": replace(self, landscape=True).blocks(element)}

    def _inside(self, inset_em: float) -> "BlockMaker":
        """Return a maker for what stands inside a box or list, narrower by `inset_em`."""
        inset_mm = inset_em * self.paper.body_pt / PT_PER_MM
        return replace(self, boxed=True, paper=replace(self.paper, outer_mm=self.paper.outer_mm + inset_mm))

    def _heading(self, element: Element) -> Data:
        body = self._lines.nodes(element.children)
        name = label(self.page, element.attributes.get("id", ""))
        return {"k": "heading", "level": int(element.tag[1]), "id": name, "c": body}

    def _paragraph(self, element: Element) -> Iterator[Data]:
        children = [child for child in element.children if not isinstance(child, str) or child.strip()]
        if children and all(isinstance(child, Element) and child.tag == "img" for child in children):
            yield self._figure(Element("figure", {}, list(children)))
        elif body := self._lines.nodes(element.children):
            yield {"k": "par", "c": body}

    def _list(self, element: Element) -> Data:
        items = [self._inside(_LIST_EM).blocks(item) for item in element.elements if item.tag == "li"]
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
                term = self._lines.nodes(child.children)
            else:
                yield {"term": term, "body": self._inside(_LIST_EM).blocks(child)}
                term = []

    def _caution(self, element: Element) -> Data:
        level = next((level for level in _SIGNALS if level in element.classes), "note")
        title, body = element.elements[0], Element("div", {}, list(element.elements[1:]))
        signs = [found for found in body.walk() if found.tag == "img" and "sign" in found.classes]
        return {
            "k": "caution",
            "level": level,
            "title": self._lines.nodes(title.children),
            "signs": [self._picture(found) for found in signs],
            "body": replace(self._inside(_BOX_EM), beside=True).blocks(body),
        }

    def _figure(self, element: Element) -> Data:
        images = [found for found in element.walk() if found.tag == "img"]
        captions = [found for found in element.elements if found.tag == "figcaption"]
        words = " ".join(caption.text().strip() for caption in captions)
        pictures = [self._picture(image, words) for image in images]
        return {
            "k": "figure",
            "pictures": pictures,
            "sheet": pictures[0]["sheet"] if len(pictures) == 1 else "none",
            "caption": self._lines.nodes(found for caption in captions for found in flat(caption)),
        }

    def _picture(self, image: Element, caption: str = "") -> Data:
        path = image.attributes.get("src", "")
        asset = self.assets[path]
        alt = image.attributes.get("alt") or asset.alt
        if not alt.strip():
            raise PublishError("no-alternative-text", page=self.page, path=path)
        placed = place(asset, self.paper, self.landscape, alone=not self.boxed, caption=caption)
        words = " ".join((alt.rstrip(".") + ".", *asset.long_description)) if asset.long_description else alt
        return {"path": f"/{path}", "alt": words, "width_pt": placed.width_pt, "sheet": placed.sheet}

    def _table(self, element: Element) -> Data:
        rows = [found for found in element.walk() if found.tag == "tr"]
        cells = [[cell for cell in row.elements if cell.tag in {"td", "th"}] for row in rows]
        count = max(map(len, cells), default=0)
        cells = [[*row, *(Element("td") for _ in range(count - len(row)))] for row in cells]
        columns = column_widths(
            [[measured(cell) for cell in row] for row in cells],
            self.paper.text_width_pt(self.landscape),
            self.paper.body_pt,
        )
        heads = sum(1 for row in cells if row and all(cell.tag == "th" for cell in row))
        return {
            "k": "table",
            "size_em": columns.size_em,
            "widths_em": columns.widths_em,
            "squeeze": columns.squeeze,
            "hyphenate": columns.breaks_words,
            "align": [alignment(cell) for cell in cells[0]] if cells else [],
            "head": [[self._cell(c, n, columns) for n, c in enumerate(row)] for row in cells[:heads]],
            "rows": [[self._cell(c, n, columns) for n, c in enumerate(row)] for row in cells[heads:]],
        }

    def _cell(self, cell: Element, number: int, columns: Columns) -> Data:
        body = replace(self, boxed=True).blocks(cell)
        if columns.breaks_words:
            body = with_breaks(body, columns.widths_em[number])
        if "id" in cell.attributes:
            body.insert(0, {"k": "anchor", "id": label(self.page, cell.attributes["id"])})
        return {"body": body, "breakable": len(cell.text()) > _UNBREAKABLE_CELL}


def _kept(block: Data, after: Data) -> Data:
    """A paragraph that ends with a colon, or stands before a table or a checklist, stays with what follows; so does
    one in bold before a list: a question with its answers.
    """
    if block["k"] != "par":
        return block
    colon = _last_text(block["c"]).rstrip().endswith(":")
    asks = after.get("k") == "list" and all(node["k"] in {"strong", "anchor"} for node in block["c"])
    return block | {"keep": True} if colon or asks or after.get("k") in {"table", "checklist"} else block


def _last_text(nodes: list[Data]) -> str:
    """Return the text that a line ends with, inside whatever stress."""
    last = nodes[-1]
    return _last_text(last["c"]) if last.get("c") else str(last.get("t", ""))


def _with_leads(blocks: list[Data]) -> list[Data]:
    """What gets a sheet of its own takes along the headings right before it, a turned sheet what they open."""
    made: list[Data] = []
    for block in blocks:
        lead: list[Data] = []
        while block.get("sheet", "none") != "none" and made and made[-1]["k"] in {"heading", "anchor"}:
            lead.insert(0, made.pop())
        if block["k"] == "landscape":
            block = block | {"body": [*_opening(made), *block["body"]]}
        made.append(block | {"lead": lead} if block["k"] == "figure" else block)
    return made


def _opening(made: list[Data]) -> list[Data]:
    """Take the last heading off `made`, with those right above it and the paragraphs below; nothing else between."""
    count = 0
    while count < len(made) and made[-1 - count]["k"] in {"par", "anchor"}:
        count += 1
    if count == len(made) or made[-1 - count]["k"] != "heading":
        return []
    while count < len(made) and made[-1 - count]["k"] in {"heading", "anchor"}:
        count += 1
    opening = made[len(made) - count :]
    del made[len(made) - count :]
    return opening


def _without_box(item: list[Data]) -> list[Data]:
    """The box of a checklist item hangs in the margin instead of standing in the line."""
    return [
        block | {"c": stripped([node for node in block["c"] if node["k"] != "box"])}
        if "c" in block
        else block
        for block in item
    ]
