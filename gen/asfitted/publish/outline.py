"""The headings of the pages: one opens each page and no level is skipped, as accessible documents require."""

from collections.abc import Mapping

from asfitted.publish.errors import RenderError
from asfitted.publish.markdown_tree import Element

LEVELS = ("h1", "h2", "h3", "h4", "h5", "h6")


def check_outline(roots: Mapping[str, Element]) -> None:
    """Raise RenderError for a page that does not open with its one first-level heading, or skips a level."""
    for page, root in roots.items():
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
