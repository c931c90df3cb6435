"""What an equivalent circuit takes where a description says nothing: two bounds for every value."""

from functools import cache
from typing import Literal

from asfitted.tables.looked import Looked, NoRowError, looked, rows

#: which fault current a value leads to: the least clears late, the greatest stresses conductors and devices
Bound = Literal["least", "greatest"]


@cache
def circuit_default(quantity: str, bound: Bound) -> Looked:
    """Return the value of `quantity` that leads to the least or the greatest current, in its unit.

    Raises NoRowError for an unknown quantity, and for one that has no value at this bound.
    """
    for row in rows("circuit_defaults"):
        if row["quantity"] == quantity and row[bound]:
            return looked(row, bound)
    raise NoRowError("circuit_defaults", f"{quantity}, {bound}")


@cache
def circuit_default_unit(quantity: str) -> str:
    """Return the unit of `quantity`, empty for a pure number."""
    return next(row["unit"] for row in rows("circuit_defaults") if row["quantity"] == quantity)
