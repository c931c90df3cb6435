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
    _terminal(pen, 0, letter)
    pen.line((1.4, 0), (length / 2, 0))


def _terminal(pen: Pen, v: float, letter: str) -> None:
    """A terminal with its letter on the far side of the wire, where nothing touches it."""
    pen.circle(0.9, v, 0.5)
    pen.text(-1.3, v, letter)


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
    _terminal(pen, -5, "N")
    _terminal(pen, 0, "PE")
    pen.line((1.4, 0), (4, 0))
    if pen.pose != "off":
        _link(pen, 0.9, -0.5, -4.5)


def link_to_earth(pen: Pen) -> None:
    """The link from neutral to earth that a source has at its own terminals, drawn out from v = 0."""
    _link(pen, 0, 0, 6)
    for v, half in ((6.0, 1.7), (6.9, 1.1), (7.8, 0.5)):
        pen.line((-half, v), (half, v))


def _link(pen: Pen, u: float, v: float, end: float) -> None:
    """A removable link from v to `end`: filled while in use, in outline while idle, or an open contact."""
    way = 1 if end > v else -1
    if pen.pose == "open":
        pen.line((u, v), (u, v + 0.8 * way))
        pen.line((u, v + 0.8 * way), (u + 1.6, end - 1.2 * way))
        pen.line((u, end - 0.8 * way), (u, end))
        return
    pen.line((u, v), (u, end))
    fill = "white" if pen.pose == "idle" else "black"
    pen.box(u - 0.75, v + 0.8 * way, u + 0.75, end - 0.8 * way, fill=fill)


def off_sheet(pen: Pen) -> None:
    """Continued on another sheet: an arrow that points away from its wire."""
    pen.polygon((2.5, -3.5), (2.5, 3.5), (-0.6, 3.5), (-2.5, 0), (-0.6, -3.5))
