"""The book: the pages as data, set by the fixed Typst templates into an accessible archival PDF."""

import json
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import typst

from asfitted.publish.blocks import BlockMaker
from asfitted.publish.errors import RenderError
from asfitted.publish.fonts import FALLBACK, FAMILY, MISSING, missing_letters, typst_fonts
from asfitted.publish.inlines import footnotes
from asfitted.publish.links import label, labels
from asfitted.publish.markdown_tree import Element
from asfitted.publish.model import Publication
from asfitted.publish.paper import PAPERS
from asfitted.resources import site_src

#: the page that is printed on a sheet of its own as well
CARD = "card"


def book_data(publication: Publication, roots: Mapping[str, Element]) -> dict[str, Any]:
    """Return everything that the templates print, as JSON-ready data; `roots` are the trees by page id."""
    paper = PAPERS[publication.paper]
    assets = {asset.path: asset for asset in publication.assets}
    printed = frozenset(place for page, root in roots.items() for place in labels(page, _printed(root)))
    chapters = [
        BlockMaker(page, paper, assets, printed, footnotes(root)).blocks(root) for page, root in roots.items()
    ]
    first_heading = {
        page: next((block["id"] for block in blocks if block["k"] == "heading"), label(page, ""))
        for page, blocks in zip(roots, chapters, strict=True)
    }
    return {
        "title": publication.title,
        "subtitle": publication.subtitle,
        "reference": publication.reference,
        "revision": publication.revision,
        "date": publication.revision_date.isoformat(),
        "fingerprint": publication.fingerprint,
        "identity": publication.identity,
        "edition": publication.words["editions"][publication.edition],
        "language": publication.language,
        "draft": publication.draft,
        "paper": paper.data(),
        "fonts": [FAMILY, *FALLBACK],
        "words": {key: word for key, word in publication.words.items() if isinstance(word, str)},
        # A link to a whole page leads to its first heading.
        "places": {label(page, ""): place for page, place in first_heading.items()},
        "chapters": chapters,
    }


def print_book(
    publication: Publication, roots: Mapping[str, Element], work: Path, progress: Callable[[str], None]
) -> bytes:
    """Return the PDF of `publication`; `work` is an empty folder for the templates and their data.

    Raises RenderError with the compiler's diagnosis, PublishError for a picture without alternative text.
    """
    return _set("manual.typ", book_data(publication, roots), publication, work, progress)


def print_card(
    publication: Publication, roots: Mapping[str, Element], work: Path, progress: Callable[[str], None]
) -> bytes:
    """Return the page `card` as a sheet of its own, set as large as fits; raises like `print_book`."""
    data = book_data(publication, {CARD: roots[CARD]})
    return _set("card.typ", data, publication, work, progress)


def _set(
    template: str,
    content: dict[str, Any],
    publication: Publication,
    work: Path,
    progress: Callable[[str], None],
) -> bytes:
    shutil.copytree(site_src() / "print", work, dirs_exist_ok=True)
    for asset in publication.assets:
        (work / asset.path).parent.mkdir(parents=True, exist_ok=True)
        (work / asset.path).write_bytes(asset.data)
    data = json.dumps(content, ensure_ascii=False)
    if missing := "".join(sorted(missing_letters([data]))):
        progress(publication.words["progress"]["substituted"].format(characters=missing))
        data = data.translate(dict.fromkeys(map(ord, missing), MISSING))
    (work / "book.json").write_text(data, encoding="utf-8")
    try:
        pdf = typst.compile(
            work / template,
            root=work,
            font_paths=typst_fonts(),
            pdf_standards=["ua-1", "a-2a"],
            timestamp=publication.timestamp,
        )
    except typst.TypstError as error:
        raise RenderError("book-failed", detail=error.diagnostic or error.message) from error
    return bytes(pdf)


def _printed(root: Element) -> Element:
    """Return the tree without what is for the screen only."""
    kept = [
        _printed(child) if isinstance(child, Element) else child
        for child in root.children
        if isinstance(child, str) or "only-screen" not in child.classes
    ]
    return Element(root.tag, root.attributes, kept)
