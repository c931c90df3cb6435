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


def _terminal_box(pen: Pen, length: float, width: float, letter: str) -> None:
    pen.box(-length / 2, -width / 2, length / 2, width / 2)
    pen.line((0.5, 0), (length / 2, 0))
    pen.circle(0, 0, 0.5)
    pen.text(-0.2, -2.8, letter, 6)


def exposed(pen: Pen) -> None:
    """Metal that a person can touch, with its earth terminal."""
    _terminal_box(pen, 6, 10, "PE")


def neutral(pen: Pen) -> None:
    """The neutral of a source whose link to earth lands elsewhere."""
    _terminal_box(pen, 6, 10, "N")


def negative(pen: Pen) -> None:
    """The negative pole of a direct-current system where it is tied to the structure."""
    _terminal_box(pen, 6, 10, "−")


def bond(pen: Pen) -> None:
    """Neutral and earth terminals of a source and the link between them: fixed, a contact, or none."""
    pen.box(-4, -7, 4, 7)
    pen.line((0.5, 0), (4, 0))
    link = {"closed": (0.0, -4.4), "": (0.0, -4.4), "open": (-1.9, -4.0)}.get(pen.pose)
    if link:
        pen.mark((0, -0.5), link, weight=1.0 if pen.pose == "open" else 2.4)
    pen.circle(0, 0, 0.5)
    pen.circle(0, -4.9, 0.5)
    for v, letter in ((-4.9, "N"), (0.0, "PE")):
        pen.text(0, v, letter, 6, dy=-2.0 if pen.down else -1.8)


def off_sheet(pen: Pen) -> None:
    """Continued on another sheet: an arrow that points away from its wire."""
    pen.polygon((2.5, -3.5), (2.5, 3.5), (-0.6, 3.5), (-2.5, 0), (-0.6, -3.5))
