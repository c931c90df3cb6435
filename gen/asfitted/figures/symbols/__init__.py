"""Symbols after IEC 60617 as schemdraw elements, in millimetres and in true size.

schemdraw itself draws the IEEE breaker, and has no residual-current device, isolator, converter, inlet,
encircled earth or changeover with protective conductor; its FuseIEC is not the fuse of IEC 60617. Hence a
complete set here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from schemdraw.elements import Element

from ..layout import Box
from . import contacts, loads, sources
from .pen import FONT, Dash, Lettering, Pen, Pose

DRAW: dict[str, Callable[[Pen], None]] = {
    function.__name__: function
    for function in (
        contacts.breaker,
        contacts.rcd,
        contacts.rcbo,
        contacts.isolator,
        contacts.switch,
        contacts.contactor,
        contacts.fuse,
        contacts.transfer,
        contacts.inlet,
        contacts.joint,
        sources.source,
        sources.generator,
        sources.alternator,
        sources.battery,
        sources.solar,
        sources.inverter,
        sources.charger,
        sources.dc_dc,
        sources.inverter_charger,
        sources.transformer,
        sources.galvanic_isolator,
        sources.shunt,
        sources.meter,
        loads.socket,
        loads.load,
        loads.lamp,
        loads.motor,
        loads.earth,
        loads.protective_earth,
        loads.structure,
        loads.electrode,
        loads.exposed,
        loads.bond,
        loads.neutral,
        loads.negative,
        loads.off_sheet,
    )
}
"""Symbol name -> its drawing; the names are those of `layout.shapes.SHAPES` without the bars."""


class Symbol(Element):  # type: ignore[no-untyped-call]
    """A placed symbol; `lw` in points, `dash` for outlines of planned parts, `pose` of its contacts, `leads`
    the widths of the wires at its ports.
    """

    def __init__(
        self,
        box: Box,
        scale: float,
        lw: float,
        dash: Dash = None,
        pose: Pose = "",
        leads: Mapping[str, float] | None = None,
    ) -> None:
        super().__init__()
        along = -1 if box.turned else 1
        side = -1 if box.mirrored else 1
        pen = Pen(box.x, box.y, box.flow == "down", scale, lw, dash, side, along, pose, leads or {})
        DRAW[box.symbol](pen)
        self.segments.extend(pen.segments)


class Link(Element):  # type: ignore[no-untyped-call]
    """The link from neutral to earth beside a symbol."""

    def __init__(self, box: Box, scale: float, lw: float, pose: Pose) -> None:
        super().__init__()
        down, edge = box.flow == "down", box.link * box.width / 2
        x, y = (box.x + edge, box.y) if down else (box.x, box.y + edge)
        pen = Pen(x, y, down, scale, lw, side=box.link, pose=pose)
        loads.link_to_earth(pen)
        self.segments.extend(pen.segments)


__all__ = ["DRAW", "FONT", "Lettering", "Link", "Pen", "Pose", "Symbol"]
