"""Which edition holds which chapter, and which part of one: the only place where that is said.

The owner's edition is for acting on, in the build and at night; the inspector's is the complete record; the public
one is for sharing and leaves out whoever can be known by it, never a rating, a size, a length or a distance.
"""

from asfitted.description.audience import Edition

_ALL: frozenset[Edition] = frozenset({"owner", "inspector", "public"})
_RECORD: frozenset[Edition] = frozenset({"inspector"})
_KNOWN: frozenset[Edition] = frozenset({"owner", "inspector"})
_STUDIED: frozenset[Edition] = frozenset({"inspector", "public"})

#: chapter, or `chapter/part` -> the editions that hold it
CONTENTS: dict[str, frozenset[Edition]] = {
    "index": _ALL,
    "index/people": _KNOWN,
    "card": _ALL,
    "operation": _ALL,
    "after-trip": _ALL,
    "system": _ALL,
    "states": _ALL,
    "energy": _ALL,
    "faults": _ALL,
    "faults/reasons": _RECORD,
    "faults/every case": _RECORD,
    "transfer": _ALL,
    "transfer/figures behind": _RECORD,
    "circuits": _ALL,
    "circuits/whole schedule": _STUDIED,
    "circuits/drops": _STUDIED,
    "circuits/earth faults": _STUDIED,
    "devices": _ALL,
    "devices/fault currents": _RECORD,
    "devices/curves": _RECORD,
    "troubleshooting": _ALL,
    "troubleshooting-skilled": _STUDIED,
    "maintenance": _ALL,
    "cautions": _ALL,
    "tests": _STUDIED,
    "tests/who": _RECORD,
    "worksheet": _RECORD,
    "inspection-record": _RECORD,
    "findings": _ALL,
    "decisions": _ALL,
    "decisions/every option": _STUDIED,
    "decisions/who was told": _KNOWN,
    "both-ways": _STUDIED,
    "parts": _ALL,
    "parts/private notes": _KNOWN,
    "workings": _STUDIED,
    "energy-workings": _RECORD,
    "revisions": _ALL,
    "revisions/who": _KNOWN,
}


def holds(edition: Edition, part: str) -> bool:
    """Tell whether an edition holds a chapter or part. KeyError for a part of which nobody said who reads it."""
    return edition in CONTENTS[part]
