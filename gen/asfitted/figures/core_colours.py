"""How cores are drawn: colour by description or rule set, and a stroke of its own for each function, so that no
two functions look alike in grey.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from asfitted.network.model import Network
from asfitted.tables.core_colours import core_colour

#: letter code of IEC 60757 -> ink; a second ink lies on the first in dashes
INKS: dict[str, tuple[str, ...]] = {
    "BK": ("#000000",),
    "BN": ("#7b3f00",),
    "RD": ("#c8102e",),
    "OG": ("#e87722",),
    "YE": ("#ffd100",),
    "GN": ("#00843d",),
    "BU": ("#0066cc",),
    "VT": ("#6f2da8",),
    "GY": ("#808080",),
    "WH": ("#ffffff",),
    "PK": ("#ff8da1",),
    "GNYE": ("#00843d", "#ffd100"),
}
#: function -> strokes and gaps of its ink in points
STROKES: dict[str, str] = {
    "L": "",
    "L1": "",
    "L2": "9,1.5",
    "N": "5,2",
    "PE": "3,3",
    "plus": "12,1.2,2,1.2",
    "minus": "2,1.6",
    "bond": "5,3",
}
#: conductors that may share a colour without two schemes meeting
_ALIKE = ({"L", "L1"}, {"PE", "bond"})


@dataclass(frozen=True)
class Colour:
    """The colour of one conductor in this build; `source` is empty where the description states it."""

    conductor: str
    code: str
    source: str
    verified: str


def colour(network: Network, conductor: str) -> Colour:
    """Return the colour of a conductor: the description's, else that of its rule set.

    A link from neutral to earth has the colour of a protective conductor.
    """
    stated = {str(given): code for given, code in network.description.colours.items()}.get(conductor)
    if stated:
        return Colour(conductor, stated, "", "read")
    alike = "PE" if conductor == "bond" else conductor
    found = core_colour(network.description.build.rules, alike)
    return Colour(conductor, found.code, found.source, found.verified)


def colours(network: Network) -> tuple[Colour, ...]:
    """Return the colour of every conductor that a cable of the build has."""
    present = {core.conductor for cable in network.cables.values() for core in cable.cores}
    return tuple(colour(network, c) for c in STROKES if c in present)


def ambiguous(found: tuple[Colour, ...]) -> dict[str, tuple[str, ...]]:
    """Return each colour that means more than one thing in the build: two schemes meet there."""
    meanings: dict[str, list[str]] = defaultdict(list)
    for each in found:
        known = set(meanings[each.code])
        if not any(each.conductor in alike and alike & known for alike in _ALIKE):
            meanings[each.code].append(each.conductor)
    return {code: tuple(those) for code, those in meanings.items() if len(those) > 1}
