"""The outline of each symbol: its size along and across the flow and where its ports lie (mm at 7 pt)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Manner = Literal["through", "terminal", "fixed", "bar"]
START, END = 0, 1
"""The side of a symbol against the flow, and the side with the flow."""

PAD_MM = 1.0
LINK_MM, LINK_HALF_MM = 8.4, 1.8
"""The link from neutral to earth beside a source: its reach across the flow, and half its breadth."""
BAR_THICKNESS_MM = 1.2


@dataclass(frozen=True)
class Shape:
    """Outline of a symbol.

    `through`: port "in" on one side, "out" on the other; may be turned round. `terminal`: one port,
    on whichever side the wires come from. `fixed`: ports keep their sides. `bar`: stretches over its taps.
    `ports`: name -> (side, offset across the flow).
    """

    manner: Manner
    length_mm: float
    width_mm: float
    ports: dict[str, tuple[int, float]] = field(default_factory=dict)


def _through(length_mm: float, width_mm: float) -> Shape:
    return Shape("through", length_mm, width_mm, {"in": (START, 0.0), "out": (END, 0.0)})


def _terminal(length_mm: float, width_mm: float) -> Shape:
    return Shape("terminal", length_mm, width_mm)


SHAPES: dict[str, Shape] = {
    "source": _terminal(8, 8),
    "generator": _terminal(8, 8),
    "alternator": _terminal(8, 8),
    "solar": _terminal(7, 8),
    "battery": _terminal(5, 8),
    "inlet": _through(6, 6),
    "breaker": _through(9, 4.4),
    "rcd": _through(11, 6),
    "rcbo": _through(11, 6),
    "isolator": _through(9, 4.4),
    "switch": _through(9, 4.4),
    "contactor": _through(9, 6),
    "fuse": _through(8, 3),
    "inverter": _through(9, 9),
    "charger": _through(9, 9),
    "dc_dc": _through(9, 9),
    "transformer": _through(10, 6),
    "galvanic_isolator": _through(8, 7),
    "meter": _through(6, 6),
    "shunt": _through(7, 3),
    "joint": _through(1.2, 1.2),
    "transfer": Shape("fixed", 10, 18, {"s1": (START, -5), "s2": (START, 5), "out": (END, 0)}),
    "inverter_charger": Shape("fixed", 13, 20, {"ac_in": (START, -5), "ac_out": (END, -5), "dc": (END, 5)}),
    "socket": _terminal(5, 6),
    "load": _terminal(6, 7),
    "lamp": _terminal(6, 6),
    "motor": _terminal(7, 7),
    "earth": _terminal(5, 6),
    "protective_earth": _terminal(6, 6),
    "structure": _terminal(4, 7),
    "electrode": _terminal(6, 6),
    "exposed": _terminal(6, 10),
    "bond": _terminal(8, 14),
    "neutral": _terminal(6, 10),
    "negative": _terminal(6, 10),
    "off_sheet": _terminal(5, 7),
    "bar": Shape("bar", BAR_THICKNESS_MM, 0),
    "earth_bar": Shape("bar", BAR_THICKNESS_MM, 0),
}

SOURCES = frozenset({"source", "generator", "alternator", "solar", "battery"})
