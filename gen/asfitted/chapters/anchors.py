"""Stable names for places on pages: never the slug of a user's text, unique whatever the letter case of ids."""

import re
from collections.abc import Iterable

from markupsafe import Markup


def anchors(prefix: str, ids: Iterable[str]) -> dict[str, Markup]:
    """Return id -> anchor such as `cable-w1`; ids that differ in letter case only get different anchors."""
    found: dict[str, Markup] = {}
    taken: set[str] = set()
    for id_ in ids:
        stem = f"{prefix}-{re.sub(r'[^a-z0-9]+', '-', id_.lower()).strip('-') or 'x'}"
        name, number = stem, 2
        while name in taken:
            name, number = f"{stem}-{number}", number + 1
        taken.add(name)
        found[id_] = Markup(name)  # letters, digits and hyphens only  # noqa: S704
    return found
