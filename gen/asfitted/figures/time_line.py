"""The time line of a changeover: events as uprights in their order, one bar for each thing that is on or closed."""

from __future__ import annotations

from dataclasses import dataclass

from asfitted import words
from asfitted.network.model import Network
from asfitted.numbers import quantity
from asfitted.studies.transfer.order import Dimension, Lane, Span, TimeLine

from .figure import Figure
from .layout.measure import text_width_mm, wrap
from .sheet import Sheet

_LANE_MM, _BAR_MM, _HEAD_MM, _FOOT_MM, _MARGIN_MM = 7.6, 3.6, 13.0, 7.0, 1.0
_LABEL_MM, _FATE_MM = 36.0, 30.0
_THIN_PT, _EDGE_PT = 0.5, 0.9
_HATCH_MM = 1.3


@dataclass(frozen=True)
class Bar:
    """One span as a box in mm: left, right, middle line."""

    x0: float
    x1: float
    y: float
    look: str


@dataclass(frozen=True)
class Grid:
    """Where everything stands, in mm: the uprights of the events, the middle lines of the lanes, the edges of
    the lanes, the whole.
    """

    events: tuple[float, ...]
    lanes: tuple[float, ...]
    left: float
    right: float
    width: float
    height: float

    def x(self, moment: int) -> float:
        """Return where a moment stands; −1 is the left edge, one past the last the right edge."""
        return (self.left, *self.events, self.right)[moment + 1]

    def bar(self, lane: int, span: Span) -> Bar:
        """Return the box of a span."""
        return Bar(self.x(span.from_), self.x(span.to), self.lanes[lane], span.look)


def grid(line: TimeLine, width_mm: float) -> Grid:
    """Return the geometry of a time line `width_mm` wide: stretches between events are equally long."""
    left, right = _MARGIN_MM + _LABEL_MM, width_mm - _MARGIN_MM - _FATE_MM
    pitch = (right - left) / (len(line.events) + 1)
    events = tuple(left + pitch * (n + 1) for n in range(len(line.events)))
    lanes = tuple(_HEAD_MM + _LANE_MM * (n + 0.5) for n in range(len(line.lanes)))
    height = _HEAD_MM + _LANE_MM * len(line.lanes) + _FOOT_MM * len(line.dimensions) + _MARGIN_MM
    return Grid(events, lanes, left, right, width_mm, height)


def time_line(network: Network, line: TimeLine, number: int, width_mm: float) -> Figure:
    """Return the figure of a time line; in black and white: filled is on, hatched runs on without voltage, an empty
    box is closed without feeding.
    """
    place = grid(line, width_mm)
    key = "goes" if line.lost else "returns"
    names = {
        "switch": _name(network, line.switch),
        "from_": _name(network, line.from_),
        "to": _name(network, line.to),
    }
    title = words.text("time_line", f"title.{key}", **names)
    lines = _in_words(network, line)
    alternative = words.text("time_line", "alternative", order="; ".join(lines[0:1]))
    sheet = Sheet(width_mm, place.height, title, alternative)
    bottom = place.lanes[-1] + _LANE_MM / 2
    for x, event in zip(place.events, line.events, strict=True):
        sheet.line(((x, _HEAD_MM - 1), (x, bottom + _FOOT_MM * len(line.dimensions))), _THIN_PT, dashed=True)
        width = (place.right - place.left) / (len(line.events) + 1)
        said = wrap(_event(network, line, event), width_mm=width - 1.5)
        sheet.text(x, _HEAD_MM / 2 - 0.5, said)
    for n, lane in enumerate(line.lanes):
        y = place.lanes[n]
        sheet.text(_MARGIN_MM, y, wrap(_lane(network, lane), width_mm=_LABEL_MM - 2)[:2], left=True)
        sheet.line(((place.left, y), (place.right, y)), _THIN_PT)
        for span in lane.spans:
            _bar(sheet, place.bar(n, span))
        if lane.fate:
            fate = wrap(words.text("time_line", f"fates.{lane.fate}"), width_mm=_FATE_MM - 1.5)[:2]
            sheet.text(place.right + 1.5, y, fate, left=True)
    for n, dimension in enumerate(line.dimensions):
        _dimension(sheet, place, dimension, bottom + _FOOT_MM * (n + 0.5))
    name = f"transfer-{number}-{key}"
    return Figure(name, sheet.bytes(), title, alternative, lines)


def _bar(sheet: Sheet, bar: Bar) -> None:
    top, bottom = bar.y - _BAR_MM / 2, bar.y + _BAR_MM / 2
    box = ((bar.x0, top), (bar.x1, top), (bar.x1, bottom), (bar.x0, bottom))
    sheet.shape(box, "black" if bar.look == "on" else "white")
    if bar.look == "held":
        for n in range(int((bar.x1 - bar.x0 - _BAR_MM) / _HATCH_MM) + 1):
            x = bar.x0 + n * _HATCH_MM
            sheet.line(((x, bottom), (x + _BAR_MM, top)), _EDGE_PT)


def _dimension(sheet: Sheet, place: Grid, dimension: Dimension, y: float) -> None:
    """Draw a length of time between two uprights, its figure beside it where there is room."""
    x0, x1 = place.x(dimension.from_), place.x(dimension.to)
    sheet.line(((x0, y), (x1, y)), _EDGE_PT)
    for x, way in ((x0, 1), (x1, -1)):
        sheet.shape(((x, y), (x + 1.6 * way, y - 0.7), (x + 1.6 * way, y + 0.7)), "black")
    said = _time(dimension)
    width = text_width_mm(said)
    inside = width + 5 < x1 - x0
    if inside:
        middle = (x0 + x1) / 2
        half = width / 2 + 0.8
        sheet.clear(
            (
                (middle - half, y - 1.6),
                (middle + half, y - 1.6),
                (middle + half, y + 1.6),
                (middle - half, y + 1.6),
            )
        )
        sheet.text(middle, y, [said])
    else:
        sheet.text(x1 + 1.5, y, [said], left=True)


def _time(dimension: Dimension) -> str:
    if dimension.time_s is None:
        return words.text("time_line", f"{dimension.what}.not said")
    return words.text(
        "time_line",
        f"{dimension.what}.said",
        time=quantity(dimension.time_s, "s"),
        basis=dimension.basis,
    ).strip()


def _name(network: Network, id_: str) -> str:
    return network.items[id_].name if id_ in network.items else id_


def _event(network: Network, line: TimeLine, event: str) -> str:
    return words.text(
        "time_line", f"events.{event}", from_=_name(network, line.from_), to=_name(network, line.to)
    )


def _lane(network: Network, lane: Lane) -> str:
    if lane.kind == "load":
        return lane.of.partition(".")[2]
    return words.text("time_line", f"lanes.{lane.kind}", of=_name(network, lane.of))


def _in_words(network: Network, line: TimeLine) -> tuple[str, ...]:
    """Return the events in their order on one line, then each lane with what becomes of it."""
    events = [_event(network, line, event) for event in line.events]
    rows = [words.text("time_line", "order", events="; ".join(events))]
    rows += [words.text("time_line", "time", time=_time(d)) for d in line.dimensions]
    for lane in line.lanes:
        if lane.fate:
            rows.append(f"{_lane(network, lane)}: {words.text('time_line', f'fates.{lane.fate}')}")
        else:
            spans = "; ".join(_stretch(events, lane, span) for span in lane.spans)
            rows.append(f"{_lane(network, lane)}: {spans}")
    return tuple(rows)


def _stretch(events: list[str], lane: Lane, span: Span) -> str:
    look = words.text("time_line", f"looks.{lane.kind if span.look == 'on' else span.look}")
    if span.from_ < 0:
        return (
            words.text("time_line", "until", look=look, event=events[span.to])
            if span.to < len(events)
            else look
        )
    key = "from" if span.to >= len(events) else "between"
    end = events[span.to] if span.to < len(events) else ""
    return words.text("time_line", key, look=look, event=events[span.from_], end=end)
