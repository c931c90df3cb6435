"""Where everything stands on the wiring diagram of a board, in mm: pure geometry.

What feeds the bars hangs above them, each way in a column of its own; circuits hang below. A strand is the cores
of one cable side by side. A protective conductor never passes a device: it runs beside it to where it truly lands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from asfitted.network.model import Bond, Network

from .board import Board, Branch

Point = tuple[float, float]
Rect = tuple[float, float, float, float]
PITCH = 5.6
_OFFSET: dict[str, int] = {"L": 0, "L1": 0, "plus": 0, "N": 1, "minus": 1, "L2": 1, "PE": 2}
_SPLIT: dict[str, int] = {"L1": 0, "L2": 1, "N": 2, "PE": 3}
_TEXT_MM, _MARGIN, _BAR_NAME_MM = 18.2, 2.0, 19.0
_END_MM, _CABLE_MM, _DEVICE_MM, _TRUNK_MM, _BAR_PITCH, _GAP = 14.4, 13.4, 10.0, 7.0, 5.0, 4.6
_HALF = 2.4


@dataclass(frozen=True)
class Core:
    """A conductor from corner to corner; `cable` is empty inside equipment."""

    cable: str
    conductor: str
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Device:
    """A device as a box, with the x of each conductor that passes through it, its text at `text_x`.

    A changeover has one box for each `position`; the name stands beside the last.
    """

    item: str
    rect: Rect
    poles: tuple[tuple[str, float], ...]
    text_x: float
    position: str = ""
    last: bool = True


@dataclass(frozen=True)
class End:
    """Equipment outside the board at the end of a cable, with its terminals at the edge towards the board."""

    item: str
    cable: str
    rect: Rect
    terminals: tuple[tuple[str, float], ...]
    up: bool


@dataclass(frozen=True)
class Bar:
    """A bar of the board."""

    item: str
    y: float
    x0: float
    x1: float


@dataclass(frozen=True)
class Label:
    """The room for the label of a cable: its upper left corner, and the x of each of its cores."""

    cable: str
    x: float
    y: float
    cores: tuple[tuple[str, float], ...]


@dataclass
class Plan:
    """A sheet in the making; lists are in the order of drawing."""

    width: float = 0.0
    height: float = 0.0
    cores: list[Core] = field(default_factory=list)
    devices: list[Device] = field(default_factory=list)
    ends: list[End] = field(default_factory=list)
    bars: list[Bar] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    dots: list[Point] = field(default_factory=list)
    links: list[tuple[Point, Point]] = field(default_factory=list)


def plans(network: Network, board: Board, width_mm: float) -> list[Plan]:
    """Return the sheets of a board: feeds on the first, circuits from left to right over as many as it takes."""
    column = column_mm(network, board)
    room = max(2, int((width_mm - 2 * _MARGIN - _BAR_NAME_MM) // column))
    above = sum(_leaves(branch) for branch in board.above)
    below = list(board.below)
    first = max(room - len(board.beside), above, 1)
    sheets = [below[:first]] + [below[n : n + room] for n in range(first, len(below), room)]
    return [
        _Planner(network, board, column).plan(
            board.above if n == 0 else (), part, board.beside if n == 0 else ()
        )
        for n, part in enumerate(sheets)
    ]


def column_mm(network: Network, board: Board) -> float:
    """Return the width of a column: its widest strand and the text beside it."""
    return max((_offset(network, c) for c in _conductors(network, board)), default=0) * PITCH + _TEXT_MM


def _conductors(network: Network, board: Board) -> list[str]:
    def cables(branches: Sequence[Branch]) -> list[str]:
        found = []
        for branch in branches:
            found += [branch.cable] if branch.cable else []
            found += cables([feed for _, feed in branch.feeds])
        return found

    return [
        core.conductor
        for id_ in cables((*board.above, *board.below, *board.beside))
        for core in network.cables[id_].cores
    ]


def _offset(network: Network, conductor: str) -> int:
    if conductor not in _OFFSET:
        return 0  # a conductor from bar to bar
    split = any(core.conductor == "L2" for core in network.cores.values())
    return (_SPLIT if split else _OFFSET).get(conductor, _OFFSET[conductor])


def tie(network: Network, item: str, cable: str) -> Bond | None:
    """Return the link from neutral to earth inside equipment at the end of a cable, if it lands there."""
    ends = {end for core in network.cables[cable].cores for end in (core.a, core.b)}
    for bond in network.bonds:
        if bond.equipment == item and bond.neutral in ends and bond.earth.startswith(f"{item}."):
            return bond
    return None


def _leaves(branch: Branch) -> int:
    return max(1, sum(_leaves(feed) for _, feed in branch.feeds))


def _depth(branch: Branch) -> int:
    return (1 if branch.device else 0) + max((_depth(feed) for _, feed in branch.feeds), default=0)


class _Planner:
    """Places one sheet from its bars outwards."""

    def __init__(self, network: Network, board: Board, column: float) -> None:
        self.network, self.board, self.column = network, board, column
        self.out = Plan()
        self.taps: dict[str, list[float]] = {}
        self.next_x = _MARGIN + _BAR_NAME_MM

    def plan(self, above: Sequence[Branch], below: Sequence[Branch], beside: Sequence[Branch]) -> Plan:
        """Return the sheet."""
        depth = max((_depth(branch) for branch in above), default=0)
        changes = any(len(branch.feeds) > 1 for branch in above)
        top = _MARGIN + _END_MM if above or beside else _MARGIN
        self.level_mm = _DEVICE_MM + _CABLE_MM + (_TRUNK_MM if changes else 0.0)
        bars_y = top + (_CABLE_MM if above or beside else 0.0) + depth * self.level_mm
        self.depth, self.top = depth, top
        self.bar_y = {bar: bars_y + _BAR_PITCH * n for n, bar in enumerate(self.board.bars)}
        last = bars_y + _BAR_PITCH * max(0, len(self.board.bars) - 1)
        self.row_y = last + _GAP
        self.earth_y = self.row_y + _DEVICE_MM + _GAP
        self.bottom_y = self.earth_y + _CABLE_MM
        start = self.next_x
        for branch in above:
            self._above(branch, 1, {})
        ends_above, self.next_x = self.next_x, start
        for branch in below:
            self._below(branch)
        self.next_x = max(ends_above, self.next_x)
        for cable in self.board.ties if above or below else ():
            self._tie(cable)
        for branch in beside:
            self._beside(branch)
        for bar, y in (*self.bar_y.items(), (self.board.earth_bar, self.earth_y)):
            xs = self.taps.get(bar, [])
            if xs:
                left = _MARGIN + _BAR_NAME_MM - 2.5
                self.out.bars.append(Bar(bar, y, left, max(xs) + 2.0))
        self.out.width = self.next_x + _MARGIN - 1.0
        self.out.height = self.bottom_y + _END_MM + _MARGIN if below or beside else self.earth_y + _MARGIN
        return self.out

    def _x(self, x: float, conductor: str) -> float:
        return x + PITCH * _offset(self.network, conductor)

    def _cores(self, cable: str) -> list[str]:
        return [core.conductor for core in self.network.cables[cable].cores] if cable else []

    def _landing(self, cable: str, conductor: str) -> str:
        """Return the bar of the board on which a core lands, or an empty text."""
        for core in self.network.cables[cable].cores if cable else ():
            if core.conductor == conductor:
                for end in (core.a, core.b):
                    if end in self.bar_y or end == self.board.earth_bar:
                        return end
        return ""

    def _bar_at(self, bar: str, x: float) -> float:
        self.taps.setdefault(bar, []).append(x)
        y = self.earth_y if bar == self.board.earth_bar else self.bar_y[bar]
        self.out.dots.append((x, y))
        return y

    def _draw(self, cable: str, conductor: str, *points: Point) -> None:
        self.out.cores.append(Core(cable, conductor, points))

    def _bar_for(self, cable: str, item: str, port: str, conductor: str) -> str:
        """Return the bar that a port of a device meets, through its cable or bolted to it."""
        if cable and (found := self._landing(cable, conductor)):
            return found
        terminal = f"{item}.{port}.{conductor}"
        for join in self.network.joins:
            for one, other in ((join.a, join.b), (join.b, join.a)):
                if one == terminal and other in self.bar_y:
                    return other
        return ""

    def _poles(self, item: str, port: str) -> list[str]:
        prefix = f"{item}.{port}."
        order: list[str] = ["L", "L1", "plus", "L2", "N", "minus"]
        terminals = self.network.items[item].terminals
        return [c for c in order if f"{prefix}{c}" in terminals]

    def _above(self, branch: Branch, level: int, aim: dict[str, float]) -> None:
        """Place a branch above y of its lower ends (`aim`; bars where it has none)."""
        if not branch.device:
            x = self._new_column()
            self._strand(branch, x, self.top, aim)
            self._end(branch, x, up=True)
            return
        y1 = self.bar_y_of_level(level)
        y0 = y1 - _DEVICE_MM
        changes = len(branch.feeds) > 1
        for number, (port, feed) in enumerate(branch.feeds):
            x = self.next_x
            poles = self._poles(branch.device, "out")
            at = tuple((c, self._x(x, c)) for c in poles)
            rect = (at[0][1] - _HALF, y0, at[-1][1] + _HALF, y1)
            self.out.devices.append(
                Device(
                    branch.device,
                    rect,
                    at,
                    self._label_x(x),
                    port[-1] if changes else "",
                    number == len(branch.feeds) - 1,
                )
            )
            if number == 0:
                first = at
                for c, px in at:
                    self._down(branch, c, px, y1, aim)
                if branch.cable:
                    skip = _TRUNK_MM if changes else 0.0
                    self._label(branch.cable, x, y1 + skip)
            else:
                for n, ((c, px), (_, home)) in enumerate(zip(at, first, strict=True)):
                    turn = y1 + 2.0 + 2.6 * n
                    self._draw(branch.cable, c, (px, y1), (px, turn), (home, turn))
                    self.out.dots.append((home, turn))
            self._above(feed, level + 1, dict.fromkeys(poles, y0))
        if changes:
            boxes = [d.rect for d in self.out.devices if d.item == branch.device]
            y = (y0 + y1) / 2
            self.out.links += [((a[2], y), (b[0], y)) for a, b in pairwise(boxes)]

    def bar_y_of_level(self, level: int) -> float:
        """Return the lower edge of the devices of a level; level 1 is nearest to the bars."""
        changes = self.level_mm - _DEVICE_MM - _CABLE_MM
        return (
            min(self.bar_y.values(), default=self.row_y) - (level - 1) * self.level_mm - _CABLE_MM - changes
        )

    def _down(self, branch: Branch, c: str, x: float, y: float, aim: dict[str, float]) -> None:
        if c in aim:
            self._draw(branch.cable, c, (x, y), (x, aim[c]))
        elif bar := self._bar_for(branch.cable, branch.device, "out", c):
            self._draw(branch.cable, c, (x, y), (x, self._bar_at(bar, x)))

    def _strand(self, branch: Branch, x: float, y: float, aim: dict[str, float]) -> None:
        for c in self._cores(branch.cable):
            px = self._x(x, c)
            if bar := self._landing(branch.cable, c):
                self._draw(branch.cable, c, (px, y), (px, self._bar_at(bar, px)))
            elif c in aim:
                self._draw(branch.cable, c, (px, y), (px, aim[c]))
        self._label(branch.cable, x, y)

    def _label(self, cable: str, x: float, y: float) -> None:
        cores = tuple((c, self._x(x, c)) for c in self._cores(cable))
        self.out.labels.append(Label(cable, self._label_x(x), y, cores))

    def _label_x(self, x: float) -> float:
        """Return where labels of a column begin: right of its last strand."""
        return x + self.column - _TEXT_MM + 1.2

    def _new_column(self) -> float:
        x = self.next_x
        self.next_x += self.column
        return x

    def _end(self, branch: Branch, x: float, up: bool) -> None:
        terminals = [(c, self._x(x, c)) for c in self._cores(branch.cable)]
        tied = tie(self.network, branch.outside, branch.cable)
        if tied and "PE" not in dict(terminals):
            terminals.append(("PE", self._x(x, "PE")))
        right = max(self.column - 3.0, terminals[-1][1] - x + _HALF)
        y0 = self.top - _END_MM if up else self.bottom_y
        rect = (x - _HALF, y0, x + right - _HALF, y0 + _END_MM)
        self.out.ends.append(End(branch.outside, branch.cable, rect, tuple(terminals), up))

    def _below(self, branch: Branch) -> None:
        x = self._new_column()
        poles = self._poles(branch.device, "in") if branch.device else []
        for c in poles:
            px = self._x(x, c)
            if bar := self._bar_for("", branch.device, "in", c):
                self._draw("", c, (px, self._bar_at(bar, px)), (px, self.row_y))
        if poles:
            at = tuple((c, self._x(x, c)) for c in poles)
            rect = (at[0][1] - _HALF, self.row_y, at[-1][1] + _HALF, self.row_y + _DEVICE_MM)
            self.out.devices.append(Device(branch.device, rect, at, self._label_x(x)))
        for c in self._cores(branch.cable):
            px = self._x(x, c)
            bar = self._landing(branch.cable, c)
            if bar:
                self._draw(branch.cable, c, (px, self._bar_at(bar, px)), (px, self.bottom_y))
            elif c in poles:
                self._draw(branch.cable, c, (px, self.row_y + _DEVICE_MM), (px, self.bottom_y))
        self._label(branch.cable, x, self.earth_y + 0.6)
        self._end(branch, x, up=False)

    def _tie(self, cable: str) -> None:
        """Place a conductor from bar to bar within the board."""
        x = self._new_column()
        core = self.network.cables[cable].cores[0]
        upper, lower = sorted((core.a, core.b), key=lambda bar: self.bar_y.get(bar, self.earth_y))
        self._draw(cable, core.conductor, (x, self._bar_at(upper, x)), (x, self._bar_at(lower, x)))
        self.out.labels.append(Label(cable, x + 1.2, self.row_y - 0.4, ((core.conductor, x),)))

    def _beside(self, branch: Branch) -> None:
        """Place a device between two cables that only passes through the board, its far side below."""
        x = self._new_column()
        (_, feed), *_ = branch.feeds
        y1 = self.bar_y_of_level(1)
        y0 = y1 - _DEVICE_MM
        poles = self._poles(branch.device, "in")
        at = tuple((c, self._x(x, c)) for c in poles)
        self.out.devices.append(
            Device(branch.device, (at[0][1] - _HALF, y0, at[-1][1] + _HALF, y1), at, self._label_x(x))
        )
        self._strand(feed, x, self.top, dict.fromkeys(poles, y0))
        self._end(feed, x, up=True)
        for c, px in at:
            self._draw(branch.cable, c, (px, y1), (px, self.bottom_y))
        for c in self._cores(branch.cable):
            if c not in poles and (bar := self._landing(branch.cable, c)):
                px = self._x(x, c)
                self._draw(branch.cable, c, (px, self._bar_at(bar, px)), (px, self.bottom_y))
        self._label(branch.cable, x, self.earth_y + 0.6)
        self._end(branch, x, up=False)
