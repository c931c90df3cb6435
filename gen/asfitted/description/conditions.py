"""Conditions as written to name a state of operation: `site unplugged, inverter running, changeover source 2`."""

import re
from dataclasses import dataclass

#: kind of source -> conditions it can be in
CONDITIONS = {
    "ac supply": ("live", "unplugged", "dead"),
    "generator": ("running", "off"),
    "inverter": ("running", "off"),
    "inverter charger": ("running", "off"),
}

#: the same for what feeds the direct current side alone, the condition at rest first
DIRECT_CONDITIONS = {
    "alternator": ("stopped", "running", "cranking"),
    "dc supply": ("unplugged", "live", "dead"),
    "solar array": ("dark", "sunlit", "unplugged"),
}

#: kind of switch between sources -> positions in which it can stand
POSITIONS = {
    "transfer switch": ("source 1", "source 2", "off"),
    "selector switch": ("source 1", "source 2", "off"),
}


@dataclass(frozen=True)
class Condition:
    """One source or switch and its condition or position (empty if none is said); `offset` is where it begins in the
    text.
    """

    source: str
    condition: str
    offset: int


def parse(text: str) -> tuple[Condition, ...]:
    """Return the conditions written in a text, whether or not they are possible."""
    found = []
    for match in re.finditer(r"[^,\s][^,]*", text):
        source, _, condition = match[0].strip().partition(" ")
        found.append(Condition(source, condition.strip(), match.start()))
    return tuple(found)
