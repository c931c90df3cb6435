"""Pint with our own closed list of units: the factors come from it, the grammar never does."""

from __future__ import annotations

from functools import cache
from importlib import resources

import pint


@cache
def _registry() -> pint.UnitRegistry[float]:
    lines = (
        resources.files("asfitted.description").joinpath("units.txt").read_text(encoding="utf-8").splitlines()
    )
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    registry.load_definitions([line for line in lines if line and not line.startswith("#")])
    return registry


def factor_and_offset(unit: str, base: str) -> tuple[float, float]:
    """Return (factor, offset) such that value in `base` = value in `unit` × factor + offset."""
    quantity = _registry().Quantity
    zero = float(quantity(0.0, unit).to(base).magnitude)
    one = float(quantity(1.0, unit).to(base).magnitude)
    return one - zero, zero
