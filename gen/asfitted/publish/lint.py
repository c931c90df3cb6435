"""What every page must satisfy before it is rendered: headings in order, and no Markdown left unread."""

from collections.abc import Mapping

from asfitted.publish.errors import RenderError
from asfitted.publish.markdown_tree import Element

LEVELS = ("h1", "h2", "h3", "h4", "h5", "h6")


def check_pages_read(roots: Mapping[str, Element]) -> None:
    """Raise RenderError for the first fault in a page; `roots` are the trees by page id."""
    for page, root in roots.items():
        _check_headings(page, root)
        _check_markdown(page, root)


def _check_headings(page: str, root: Element) -> None:
    """One heading of level 1 opens the page and no level is skipped, as accessible documents require."""
    above = 0
    for found in root.walk():
        if found.tag not in LEVELS:
            continue
        level = LEVELS.index(found.tag) + 1
        if level > above + 1 or (level == 1) != (above == 0):
            raise RenderError("heading-level", page=page, heading=found.text(), level=level, above=above)
        above = level
    if not above:
        raise RenderError("heading-level", page=page, heading="", level=0, above=0)


def _check_markdown(page: str, root: Element) -> None:
    # The extension removes the attribute from what it reads; left over, asterisks would be printed as such.
    for found in root.walk():
        if "markdown" in found.attributes:
            raise RenderError("unread-markdown", page=page, tag=found.tag, text=found.text().strip()[:60])
