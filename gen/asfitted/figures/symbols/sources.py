"""Sources, stores and converters."""

from __future__ import annotations

from .pen import PE_PT, Pen


def source(pen: Pen) -> None:
    """An alternating supply."""
    pen.circle(0, 0, 4)
    pen.sign("~", 0, 0, size=4)


def generator(pen: Pen) -> None:
    """A generating set."""
    pen.circle(0, 0, 4)
    pen.text(0, 0, "G", 8, dy=-0.9)
    pen.sign("~", 0, 0, dy=1.7)


def alternator(pen: Pen) -> None:
    """An alternator with rectifier, driven by the engine."""
    pen.circle(0, 0, 4)
    pen.text(0, 0, "G", 8, dy=-0.9)
    pen.sign("=", 0, 0, dy=1.8)


def battery(pen: Pen) -> None:
    """Cells; the port is the positive pole."""
    pen.line((2.5, 0), (1.5, 0))
    for u, half, weight in ((1.5, 4.0, 1.0), (0.4, 1.9, 2.4), (-0.7, 4.0, 1.0), (-1.8, 1.9, 2.4)):
        pen.line((u, -half), (u, half), weight=weight)
    for a, b in (((2.5, -2.2), (2.5, -1.0)), ((1.9, -1.6), (3.1, -1.6))):
        pen.line(a, b, weight=0.8)


def solar(pen: Pen) -> None:
    """Photovoltaic array: a panel with light falling in on its far side."""
    pen.box(-3.5, -4, 3.5, 4)
    pen.line((-3.5, -4), (-0.2, 0), (-3.5, 4))
    pen.text(1.8, 0, "PV")


def _converter(pen: Pen, into: str, out: str) -> None:
    """A square with a diagonal; the sign of the upper or left side stands top left."""
    pen.box(-4.5, -4.5, 4.5, 4.5)
    pen.stroke([pen.page(0, 0, -4.5, 4.5), pen.page(0, 0, 4.5, -4.5)], dash=pen.dash)
    first, second = (into, out) if pen.along == 1 else (out, into)
    pen.sign(first, 0, 0, dx=-2.2, dy=-2.3)
    pen.sign(second, 0, 0, dx=2.2, dy=2.3)


def inverter(pen: Pen) -> None:
    """Direct to alternating current."""
    _converter(pen, "=", "~")


def charger(pen: Pen) -> None:
    """Alternating to direct current."""
    _converter(pen, "~", "=")


def dc_dc(pen: Pen) -> None:
    """Direct current to direct current: charge regulator, DC charger."""
    _converter(pen, "=", "=")


def inverter_charger(pen: Pen) -> None:
    """Inverter and charger in one case, a transfer contact between input and output; earth passes it."""
    pen.box(-5.7, -10, 5.7, 10)
    closed = pen.pose not in ("open", "off")
    pen.lead("ac_in", (-6.5, -5), (-3, -5))
    pen.lead("ac_out", (2, -5), (6.5, -5))
    pen.lead("ac_out", (2, -5), (-3, -5) if closed and pen.pose else (-2.8, -3.2))
    pen.line((-6.5, -9), (6.5, -9), weight=PE_PT / pen.lw)
    pen.text(-4.2, -7.1, "PE")
    pen.circle(4.2, -5, 0.45, fill="black")
    pen.line((4.2, -5), (4.2, 0), (-4.2, 0), (-4.2, 5), (-3, 5))
    pen.box(-3, 2.1, 2.8, 7.9)
    corners = [pen.page(-0.1, 5, -2.9, 2.9), pen.page(-0.1, 5, 2.9, -2.9)]
    pen.stroke(corners, dash=pen.dash)
    pen.sign("~", -0.1, 5, dx=-1.4, dy=-1.5, size=1.9)
    pen.sign("=", -0.1, 5, dx=1.4, dy=1.5, size=1.9)
    pen.line((2.8, 5), (6.5, 5))


def transformer(pen: Pen) -> None:
    """Isolating transformer: two windings, no connection."""
    pen.circle(-2, 0, 3, fill="none")
    pen.circle(2, 0, 3, fill="none")


def galvanic_isolator(pen: Pen) -> None:
    """Diodes back to back in the protective conductor."""
    pen.box(-4, -3.5, 4, 3.5)
    for v, way in ((-1.7, 1), (1.7, -1)):
        pen.line((-4, 0), (-3, 0), (-3, v), (3, v), (3, 0), (4, 0))
        pen.polygon((-1.2 * way, v - 1.1), (-1.2 * way, v + 1.1), (1.0 * way, v), fill="black")
        pen.line((1.0 * way, v - 1.1), (1.0 * way, v + 1.1))


def shunt(pen: Pen) -> None:
    """Measuring shunt: a resistor with two sense leads."""
    pen.line((-3.5, 0), (-2.3, 0))
    pen.box(-2.3, -1.1, 2.3, 1.1)
    pen.line((2.3, 0), (3.5, 0))
    for u in (-1.3, 1.3):
        pen.line((u, -1.1), (u, -1.5))


def meter(pen: Pen) -> None:
    """A meter in the line."""
    pen.circle(0, 0, 3)
    pen.text(0, 0, "A", 7)
