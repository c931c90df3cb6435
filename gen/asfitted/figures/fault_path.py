"""The way of a fault current as one round: out along the top, the fault at the right, back along the bottom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from asfitted import words
from asfitted.network.labels import kind_word
from asfitted.network.model import Network
from asfitted.numbers import quantity
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.faults.route import Route, Step

from .figure import Figure
from .layout.measure import text_width_mm, wrap
from .sheet import BOX_MM, Sheet

_HEAVY_PT = 2.1
_ROW_MM, _TOP_MM, _FAULT_MM = 24.0, 9.0, 16.0
_GAP_MM = 11.0  # the least room for the name of a cable between two boxes
_MARGIN_MM = 1.0
_WORD_MM = 7.4  # from the middle of a mark to its word


@dataclass(frozen=True)
class Row:
    """One side of the round: its boxes from left to right, and the cables between them and at both ends."""

    boxes: tuple[Step, ...]
    cables: tuple[tuple[Step, ...], ...]


def fault_path(
    network: Network, found: Route, result: FaultResult, state: str, number_: int, width_mm: float
) -> Figure:
    """Return the figure of a route, as wide as `width_mm`; what carries the fault current is heavy."""
    middle = next(
        n for n, s in enumerate(found.steps) if s.part == "fault" or (s.part == "person" and _no_fault(found))
    )
    out, back = row(found.steps[1:middle]), row(tuple(reversed(found.steps[middle + 1 :])))
    title = words.text(
        "fault_path",
        "title",
        kind=words.text("faults", f"kinds.{result.kind}"),
        at=_at(network, result),
        state=state,
    )
    alternative = words.text(
        "fault_path",
        "alternative",
        source=_name(network, found.steps[0]),
        out=_listed(network, found.steps[1:middle]),
        back=_listed(network, found.steps[middle + 1 :]),
    )
    svg = _draw(network, found, out, back, found.steps[middle], title, alternative, width_mm)
    return Figure(f"fault-path-{number_}", svg, title, alternative, (alternative,))


def _no_fault(found: Route) -> bool:
    return all(step.part != "fault" for step in found.steps)


def row(steps: Sequence[Step]) -> Row:
    """Divide one side of a round into boxes and the cables before, between and behind them."""
    boxes: list[Step] = []
    cables: list[list[Step]] = [[]]
    for step in steps:
        if step.part == "cable":
            cables[-1].append(step)
        else:
            boxes.append(step)
            cables.append([])
    return Row(tuple(boxes), tuple(tuple(group) for group in cables))


def _at(network: Network, result: FaultResult) -> str:
    id_ = result.where[0] if result.where else result.at
    return network.items[id_].name if id_ in network.items else id_


def _name(network: Network, step: Step) -> str:
    item = network.items[step.of].name if step.of in network.items else step.of
    return item if step.part == "cable" else words.text("fault_path", step.part, item=item)


def _listed(network: Network, steps: Sequence[Step]) -> str:
    return ", ".join(_name(network, step) for step in steps) or words.text("fault_path", "nothing")


def _draw(
    network: Network,
    found: Route,
    out: Row,
    back: Row,
    end: Step,
    title: str,
    description: str,
    width_mm: float,
) -> bytes:
    sheet = Sheet(width_mm, _TOP_MM + _ROW_MM + BOX_MM + _WORD_MM / 2, title, description)
    top, bottom = _TOP_MM, _TOP_MM + _ROW_MM
    source_mm = 24.0
    left, right = _MARGIN_MM + source_mm / 2, width_mm - _MARGIN_MM - _FAULT_MM / 2
    sheet.line(((left, top), (right, top), (right, bottom), (left, bottom), (left, top)), _HEAVY_PT)
    inner = (left + source_mm / 2, right - (_FAULT_MM / 2 if back.boxes else 0))
    for side, y in ((out, top), (back, bottom)):
        _row(sheet, network, side, y, inner)
    middle = (top + bottom) / 2
    name, kind = _name(network, found.steps[0]), kind_word(network.items[found.steps[0].of])
    source = [line for text in dict.fromkeys((name, kind)) for line in wrap(text, width_mm=source_mm - 2)]
    sheet.box(left, middle, source_mm, source, _ROW_MM * 0.62)
    _mark(sheet, right, middle, end, down=True)
    key = "current through a person" if found.person else "current"
    said = words.text("fault_path", key, current=quantity(found.current_a, "A"))
    sheet.text((left + right) / 2, middle, [said], bold=True)
    return sheet.bytes()


def _row(sheet: Sheet, network: Network, side: Row, y: float, inner: tuple[float, float]) -> None:
    """Draw one side: boxes evenly spaced, the names of cables above the line between them."""
    pitch = (inner[1] - inner[0]) / (len(side.boxes) + 1)
    width = max(8.0, min(24.0, pitch - _GAP_MM if len(side.boxes) > 1 else 24.0))
    places = [inner[0] + pitch * n for n in range(len(side.boxes) + 2)]
    for n, cables in enumerate(side.cables):
        names = [_name(network, step) for step in cables]
        sheet.text((places[n] + places[n + 1]) / 2, y - 2.2, wrap(", ".join(names), width_mm=pitch - 1)[:1])
    for step, x in zip(side.boxes, places[1:-1], strict=True):
        if step.part == "person":
            _mark(sheet, x, y, step, down=False)
        else:
            sheet.box(x, y, width, wrap(_name(network, step), width_mm=width - 1)[:3])


def _mark(sheet: Sheet, x: float, y: float, step: Step, down: bool) -> None:
    """Draw the fault as a flash, a person as a figure, each with its word."""
    sheet.shape(((x - 4, y - 5.5), (x + 4, y - 5.5), (x + 4, y + 5.5), (x - 4, y + 5.5)), "white")
    if step.part == "person":
        sheet.shape([(x + dx, y - 2.6 + dy) for dx, dy in _ROUND], "black")
        sheet.line(((x, y - 1.5), (x, y + 1.6)), 1.6)
        sheet.line(((x - 2.2, y - 0.9), (x, y - 0.2), (x + 2.2, y - 0.9)), 1.6)
        sheet.line(((x - 1.5, y + 4.6), (x, y + 1.5), (x + 1.5, y + 4.6)), 1.6)
    else:
        flash = ((0.9, -4.5), (-1.9, 0.6), (-0.2, 0.6), (-0.9, 4.5), (1.9, -0.9), (0.2, -0.9))
        sheet.shape([(x + dx, y + dy) for dx, dy in flash], "black")
    word = words.text("fault_path", step.part)
    # beside the mark where the line runs down, below it where the line runs across
    beside = x - 5 - text_width_mm(word) / 2
    sheet.text(*((beside, y) if down else (x, y + _WORD_MM)), [word])


_ROUND = tuple(
    (1.2 * dx, 1.2 * dy)
    for dx, dy in ((1, 0), (0.7, 0.7), (0, 1), (-0.7, 0.7), (-1, 0), (-0.7, -0.7), (0, -1), (0.7, -0.7))
)
