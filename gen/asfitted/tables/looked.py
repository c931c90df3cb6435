"""What a look-up returns, and how the rows of `data/` are read."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, cast

Verified = Literal["read", "from memory", "assumed"]
Row = Mapping[str, str]


@dataclass(frozen=True)
class Looked:
    """A published value: where it stands, whether the row was read in public or is from memory, and what to
    know.
    """

    value: float
    source: str
    verified: Verified
    note: str = ""


class NoRowError(LookupError):
    """No published row for what was asked.

    `table` names the table, `asked` what was looked for. `nearest` is the nearest row on the safe side, if
    there is one, already marked as assumed.
    """

    def __init__(self, table: str, asked: str, nearest: Looked | None = None) -> None:
        super().__init__(f"{table}: no row for {asked}")
        self.table = table
        self.asked = asked
        self.nearest = nearest


@cache
def rows(name: str) -> tuple[Row, ...]:
    """Return the rows of `data/<name>.csv`."""
    text = files("asfitted.tables").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def looked(row: Row, column: str) -> Looked:
    """Return the value in `column` of `row` with the row's source."""
    return Looked(float(row[column]), row["source"], cast(Verified, row["verified"]), row["note"])


def assumed(row: Row, column: str, note: str) -> Looked:
    """Return the value in `column` of `row`, used for something it was not printed for; `note` says how."""
    return Looked(float(row[column]), row["source"], "assumed", note)


def weakest(*found: Verified) -> Verified:
    """Return the least of several degrees of verification."""
    order: tuple[Verified, ...] = ("read", "from memory", "assumed")
    return max(found, key=order.index)
