"""What takes energy, and what leads to earth. The port is at the end of the flow until turned."""

from __future__ import annotations

from .pen import Pen


def socket(pen: Pen) -> None:
    """Socket-outlet with protective contact."""
    pen.line((2.5, 0), (1.2, 0))
    pen.line((1.2, -3), (1.2, 3))
    pen.along *= -1
    pen.half_circle(1.4, 0, 2.6)
    pen.along *= -1


def load(pen: Pen) -> None:
    """Any appliance."""
    pen.box(-3, -3.5, 3, 3.5)


def lamp(pen: Pen) -> None:
    """Lamp: circle with a cross."""
    pen.circle(0, 0, 3)
    d = 3 * 0.7071
    pen.line((-d, -d), (d, d))
    pen.line((-d, d), (d, -d))


def motor(pen: Pen) -> None:
    """Motor: circle with M."""
    pen.circle(0, 0, 3.5)
    pen.text(0, 0, "M", 8)


def earth(pen: Pen) -> None:
    """Earth: three strokes."""
    pen.line((2.5, 0), (0, 0))
    for u, half in ((0, 3.0), (-1.1, 1.9), (-2.2, 0.8)):
        pen.line((u, -half), (u, half))


def protective_earth(pen: Pen) -> None:
    """Protective earth: the strokes in a circle."""
    pen.circle(0, 0, 3)
    pen.line((3, 0), (0.2, 0))
    for u, half in ((0.2, 1.9), (-0.8, 1.2), (-1.8, 0.5)):
        pen.line((u, -half), (u, half))


def structure(pen: Pen) -> None:
    """Chassis, hull or frame: a hatched line."""
    pen.line((2, 0), (0, 0))
    pen.line((0, -3.5), (0, 3.5))
    for v in (-2.6, -0.2, 2.2):
        pen.line((0, v + 1.2), (-2, v - 0.6))


def electrode(pen: Pen) -> None:
    """Earth electrode: a rod below the surface."""
    pen.line((3, 0), (-3, 0))
    pen.line((0.6, -3), (0.6, 3))
    for u, half in ((-0.6, 2.0), (-1.8, 1.0)):
        pen.line((u, -half), (u, half))


def off_sheet(pen: Pen) -> None:
    """Continued on another sheet: an arrow that points away from its wire."""
    pen.polygon((2.5, -3.5), (2.5, 3.5), (-0.6, 3.5), (-2.5, 0), (-0.6, -3.5))
