"""Contacts and protective devices after IEC 60617: the mark at the fixed contact tells the function."""

from __future__ import annotations

from .pen import DOTTED, PE_PT, Pen


def _contact(pen: Pen, length: float, fixed: float, pivot: float) -> tuple[float, float]:
    """Draw leads and arm; return the middle of the arm."""
    end = length / 2
    pen.line((-end, 0), (fixed, 0))
    pen.line((pivot, 0), (end, 0))
    tip = {"": (fixed + 0.2, 1.7), "open": (fixed + 0.9, 2.3)}.get(pen.pose, (fixed, 0.0))
    pen.line((pivot, 0), tip)
    return (pivot + tip[0]) / 2, tip[1] / 2


def _cross(pen: Pen, u: float) -> None:
    pen.mark((u - 0.75, -0.75), (u + 0.75, 0.75))
    pen.mark((u - 0.75, 0.75), (u + 0.75, -0.75))


def _ring(pen: Pen, u: float, arm: tuple[float, float]) -> None:
    """The summation transformer round all live conductors, linked to the contacts."""
    pen.ellipse(u, 0, 1.5, 4.4)
    pen.line((u, 2.2), (u, 2.9), (arm[0], 2.9), arm, weight=0.8, dash=DOTTED)


def breaker(pen: Pen) -> None:
    """Circuit-breaker: cross at the fixed contact."""
    _contact(pen, 9, -2, 2)
    _cross(pen, -2)


def rcd(pen: Pen) -> None:
    """Residual-current device without overcurrent protection: the bar of an isolator, and the ring."""
    arm = _contact(pen, 11, -3, 1)
    pen.mark((-3, -1), (-3, 1))
    _ring(pen, 3.4, arm)


def rcbo(pen: Pen) -> None:
    """Residual-current circuit-breaker with overcurrent protection: cross and ring."""
    arm = _contact(pen, 11, -3, 1)
    _cross(pen, -3)
    _ring(pen, 3.4, arm)


def isolator(pen: Pen) -> None:
    """Disconnector: bar at the fixed contact."""
    _contact(pen, 9, -2, 2)
    pen.mark((-2, -1.1), (-2, 1.1))


def switch(pen: Pen) -> None:
    """Switch-disconnector: bar and small circle."""
    _contact(pen, 9, -1.2, 2.2)
    pen.circle(-1.6, 0, 0.4)
    pen.mark((-2, -1.1), (-2, 1.1))


def contactor(pen: Pen) -> None:
    """Contactor: half circle at the fixed contact."""
    _contact(pen, 9, -2, 2)
    pen.half_circle(-2, 0, 0.8)


def fuse(pen: Pen) -> None:
    """Fuse: a rectangle with the conductor straight through."""
    pen.box(-2.9, -1.2, 2.9, 1.2)
    pen.line((-4, 0), (4, 0))


def transfer(pen: Pen) -> None:
    """Changeover switch, break before make: the arm rests on one of two contacts with a gap between.

    The protective conductor passes beside the contacts, unbroken.
    """
    pen.box(-4.1, -9, 4.1, 9, weight=0.6)
    for v, digit in ((-5, "1"), (5, "2")):
        inner = v * 0.44
        pen.lead(f"s{digit}", (-5, v), (-2.4, v), (-2.4, inner), (-1.7, inner))
        pen.text(-2.7, v * 1.26, digit)
    pen.circle(2.4, 0, 0.45, fill="black")
    pen.lead("out", (2.4, 0), (5, 0))
    tip = {"s2": (-1.7, 2.2), "off": (-2.2, 0.0), "open": (-2.2, 0.0)}.get(pen.pose, (-1.7, -2.2))
    pen.lead("out", (2.4, 0), tip)
    earth = 7.6 * pen.side
    pen.line((-5, earth), (5, earth), weight=PE_PT / pen.lw)
    pen.text(2.7, 5.8 * pen.side, "PE")


def inlet(pen: Pen) -> None:
    """Appliance inlet: pins inside a socket."""
    pen.line((-3, 0), (-2.2, 0))
    pen.half_circle(0.5, 0, 2.7)
    pen.box(-1.6, -0.6, 1.6, 0.6, fill="black")
    pen.line((1.6, 0), (3, 0))


def joint(pen: Pen) -> None:
    """A terminal."""
    pen.circle(0, 0, 0.6)
