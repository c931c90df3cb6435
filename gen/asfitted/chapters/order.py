"""The order in which a reader looks a designation up: F2 before F10, F10 before QF1."""

import re
from collections.abc import Iterable

_NUMBER = re.compile(r"(\d+)")


def in_order(ids: Iterable[str]) -> list[str]:
    """Return designations sorted by letters first, then by number as a number."""
    return sorted(ids, key=_key)


def _key(id_: str) -> list[tuple[int, int, str]]:
    parts = (part for part in _NUMBER.split(id_) if part)
    return [(0, int(part), "") if part.isdigit() else (1, 0, part.lower()) for part in parts]
