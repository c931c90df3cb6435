"""The colour of each conductor by rule set, as a letter code of IEC 60757."""

from dataclasses import dataclass

from asfitted.tables.looked import NoRowError, rows


@dataclass(frozen=True)
class CoreColour:
    """The colour that a rule set gives a conductor: its letter code, and where it stands."""

    code: str
    source: str
    verified: str
    note: str


def core_colour(rules: str, conductor: str) -> CoreColour:
    """Return the colour of a conductor; NoRowError where a rule set gives none."""
    for row in rows("core_colours"):
        if (row["rules"], row["conductor"]) == (rules, conductor):
            return CoreColour(row["code"], row["source"], row["verified"], row["note"])
    raise NoRowError("core_colours", f"{rules}, {conductor}")
