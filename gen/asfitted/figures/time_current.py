"""Time–current curves of the devices in a chain, of the cable behind it, and of what the source can drive.

Both axes logarithmic. A device is a band from its fastest to its slowest curve; the heat that the cable withstands
is k²S² = I²t as long as no heat leaves it (5 s), its capacity an upright; what no line claims is between the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import cycle, pairwise
from math import inf, log10

import numpy as np

from asfitted import words
from asfitted.description.kinds import AcSupply, Breaker, Inverter
from asfitted.network.model import Network
from asfitted.numbers import NBSP, figures, quantity
from asfitted.studies.adiabatic import LONGEST_S, heat_constant
from asfitted.studies.chains import Chain, opens_first_a, pair
from asfitted.studies.demand_ac import ac_limit_a
from asfitted.studies.faults.curves import Curve, Pair
from asfitted.studies.sizing import Sizing

from .canvas import DASHES, THIN_PT, Canvas, Point
from .figure import Figure
from .flags import flag_rows
from .layout.measure import text_width_mm
from .sheet_words import capital

_FASTEST_S, _SLOWEST_S = 1e-3, 4 * 3600.0
_TIMES_S = (1e-3, 1e-2, 0.1, 1.0, 10.0, 60.0, 600.0, 3600.0)
_PLOT_MM, _LEFT_MM, _RIGHT_MM, _ROW_MM, _AXIS_MM, _EDGE_MM = 84.0, 13.0, 24.0, 3.4, 4.6, 1.5
_WIDEST_MM = 150.0
_TONE, _OPACITY = "#808080", 0.28
_CABLE_PT, _SOURCE_PT, _SOURCE_DASH, _OPEN_DASH, _CURRENT_DASH = 2.2, 2.2, "0.8,2", "2,2", "4,1.6"


@dataclass(frozen=True)
class Mark:
    """A flag: the current at which it stands, its text, and whether it stands above the plot or below the axis."""

    current_a: float
    text: str
    above: bool


@dataclass(frozen=True)
class Plot:
    """The logarithmic plot, in mm on its sheet."""

    x0: float
    x1: float
    y0: float
    y1: float
    least_a: float
    greatest_a: float

    def x(self, current_a: float) -> float:
        """Return where a current stands; beyond the plot at its edge."""
        share = log10(max(current_a, 1e-9) / self.least_a) / log10(self.greatest_a / self.least_a)
        return self.x0 + min(max(share, 0.0), 1.0) * (self.x1 - self.x0)

    def y(self, time_s: float) -> float:
        """Return where a time stands; beyond the plot at its edge."""
        share = log10(max(time_s, 1e-9) / _FASTEST_S) / log10(_SLOWEST_S / _FASTEST_S)
        return self.y1 - min(max(share, 0.0), 1.0) * (self.y1 - self.y0)

    def curve(self, curve: Curve) -> list[Point]:
        """Return a curve from the top edge to the right edge."""
        first = curve.points[0][0]
        inside = [(i, t) for i, t in curve.points if i < self.greatest_a]
        end = float(curve.time_s(np.array([self.greatest_a]))[0])
        rest = [(self.greatest_a, end)] if first < self.greatest_a else []
        return [self.at(first, _SLOWEST_S), *(self.at(i, t) for i, t in (*inside, *rest))]

    def at(self, current_a: float, time_s: float) -> Point:
        """Return the point of a current and a time."""
        return self.x(current_a), self.y(time_s)


def time_current(network: Network, sizing: Sizing, chain: Chain, number_: int, width_mm: float) -> Figure:
    """Return the figure of a chain, with who opens first in words."""
    width_mm = min(width_mm, _WIDEST_MM)
    pairs = {device: pair(network, device, chain.direct) for device in chain.devices}
    marks = _marks(network, sizing, chain, pairs)
    span = _span(network, sizing, chain, pairs)
    fields = {"chain": _chain_name(network, chain), "source": network.items[chain.source].name}
    title = words.text("time_current", "title", **fields)
    conclusion = in_words(network, chain)
    alternative = words.text("time_current", "alternative", conclusion=" ".join(conclusion), **fields)
    plot = Plot(_LEFT_MM, width_mm - _RIGHT_MM, 0.0, _PLOT_MM, *span)
    above, below = (_placed(plot, [m for m in marks if m.above is side]) for side in (True, False))
    top = _EDGE_MM + _ROW_MM * _count(above)
    plot = Plot(plot.x0, plot.x1, top, top + _PLOT_MM, *span)
    height = plot.y1 + _AXIS_MM + _ROW_MM * _count(below) + _EDGE_MM
    canvas = Canvas(width_mm, height, title, alternative)
    _grid(canvas, plot)
    for (curves, _), dash in zip(_alike(pairs), cycle(DASHES), strict=False):
        _band(canvas, plot, curves, dash)
    _cable(canvas, plot, sizing, network, chain)
    _source(canvas, plot, network, chain)
    for mark, row in above:
        _flag(canvas, plot.x(mark.current_a), plot.y0, plot.y0 - _ROW_MM * (row + 0.5), mark.text)
    for mark, row in below:
        x, base = plot.x(mark.current_a), plot.y1 + _AXIS_MM
        canvas.line([(x, plot.y0), (x, plot.y1)], 0.9, _CURRENT_DASH)
        _flag(canvas, x, plot.y1, base + _ROW_MM * (row + 0.5), mark.text)
    return Figure(f"time-current-{number_}", canvas.svg(), title, alternative, tuple(conclusion))


def _chain_name(network: Network, chain: Chain) -> str:
    """Return the devices of a chain from its source on, those at the end as one."""
    before = [network.items[id_].name for id_ in chain.devices[:-1]]
    return " – ".join((*before, ", ".join(network.items[id_].name for id_ in chain.last)))


def in_words(network: Network, chain: Chain) -> list[str]:
    """Return the conclusion: who opens first at which currents, what the least fault and the source do."""

    def said(key: str, **fields: object) -> str:
        return words.text("time_current", f"told.{key}", **fields)

    limit = chain.source_limits(network)
    pairs = [(id_, pair(network, id_, chain.direct)) for id_ in chain.devices]
    last = pairs[-1][1]
    if limit is not None:
        time = float(last.slow.time_s(np.array([limit[0]]))[0])
        fields = {"current": quantity(limit[0], "A"), "time": quantity(limit[1], "s")}
        key = "source opens" if time <= limit[1] else "source shuts down"
        source = capital(network.items[chain.source].name)
        return [said(key, source=source, last=_last(network, chain), **fields)]
    lines = [] if chain.greatest_a is not None else [said("unknown")]
    for (up_id, up), (down_id, down) in pairwise(pairs):
        names = {"up": _device(network, chain, up_id), "down": capital(_device(network, chain, down_id))}
        lines.append(_who_first(chain, up, down, names))
    if chain.residual:
        of_site = chain.residual not in network.items or chain.residual == chain.source
        key = "residual of site" if of_site else "residual"
        device = "" if of_site else network.items[chain.residual].name
        lines.append(said(key, current=_in_brackets(chain.least_a), device=device))
    elif chain.least_a is not None:
        time = float(last.slow.time_s(np.array([chain.least_a]))[0])
        fields = {"current": quantity(chain.least_a, "A"), "time": quantity(time, "s")}
        lines.append(said("least" if time < inf else "least carried", last=_last(network, chain), **fields))
    return lines


def _in_brackets(current_a: float | None) -> str:
    return f" ({quantity(current_a, 'A')})" if current_a is not None else ""


def _who_first(chain: Chain, up: Pair, down: Pair, names: dict[str, str]) -> str:
    most = chain.greatest_a if chain.greatest_a is not None else up.slow.points[-1][0]
    ranges = [
        (_rough(low, up=True), _rough(high), high >= most * (1 - 1e-9))
        for low, high in opens_first_a(down, up, most)
    ]
    if not ranges:
        return words.text("time_current", "told.either", **names)
    if len(ranges) == 1 and ranges[0][2] and chain.greatest_a is not None:
        return words.text("time_current", "told.always", low=ranges[0][0], high=ranges[0][1], **names)
    said = [words.text("time_current", "told.range", low=low, high=high) for low, high, _ in ranges]
    listed = said[0]
    for more in said[1:]:
        listed = words.text("time_current", "told.and", first=listed, second=more)
    return words.text("time_current", "told.ranges", ranges=listed, **names)


def _rough(current_a: float, up: bool = False) -> str:
    """Return a bound with two figures, rounded so that the range only shrinks."""
    step = 10.0 ** (np.floor(np.log10(current_a)) - 1)
    bound = (np.ceil if up else np.floor)(round(current_a / step, 6)) * step
    return quantity(float(bound), "A", 2)


def _device(network: Network, chain: Chain, id_: str) -> str:
    if id_ == chain.devices[-1]:
        return _last(network, chain)
    name = network.items[id_].name
    return words.text("time_current", "site", supply=name) if id_ == chain.source else name


def _last(network: Network, chain: Chain) -> str:
    """Return the devices at the end, one of which is meant."""
    first, *more = (network.items[id_].name for id_ in chain.last)
    if not more:
        return first
    return words.text("time_current", "or", first=", ".join((first, *more[:-1])), last=more[-1])


def _rated(network: Network, id_: str) -> str:
    spec = network.items[id_].spec
    known = spec.upstream if isinstance(spec, AcSupply) else spec
    rating_a = float(getattr(known, "rating_a"))  # noqa: B009  (both kinds have it)
    curve = getattr(known, "curve", None) if isinstance(spec, AcSupply | Breaker) else None
    return f"{curve}{figures(rating_a)}" if curve else quantity(rating_a, "A")


def _marks(network: Network, sizing: Sizing, chain: Chain, pairs: dict[str, Pair]) -> list[Mark]:
    def said(key: str, **fields: object) -> str:
        return words.text("time_current", f"mark.{key}", **fields)

    marks = []
    for curves, alike in _alike(pairs):
        start = float(np.sqrt(curves.slow.points[0][0] * curves.fast.points[0][0]))
        named = [
            _short(network, chain) if id_ == chain.devices[-1] else _device(network, chain, id_)
            for id_ in alike
        ]
        marks.append(
            Mark(start, said("device", name=", ".join(named), rated=_rated(network, alike[0])), True)
        )
    if chain.cable:
        size = sizing.sizes[chain.cable].designation
        capacity = sizing.cables[chain.cable].capacity_a
        marks.append(Mark(capacity, said("cable", cable=chain.cable, size=size), True))
    limit = chain.source_limits(network)
    if limit is not None:
        marks.append(
            Mark(
                limit[0], said("limit", current=quantity(limit[0], "A"), time=quantity(limit[1], "s")), False
            )
        )
        return marks
    for key, current in (("least", chain.least_a), ("greatest", chain.greatest_a)):
        if current:
            marks.append(Mark(current, said(key, current=quantity(current, "A")), False))
    return marks


def _alike(pairs: dict[str, Pair]) -> list[tuple[Pair, list[str]]]:
    """Return each pair of curves once, with the devices that have it."""
    found: list[tuple[Pair, list[str]]] = []
    for id_, curves in pairs.items():
        known = next((ids for other, ids in found if other == curves), None)
        if known is None:
            found.append((curves, [id_]))
        else:
            known.append(id_)
    return found


def _short(network: Network, chain: Chain) -> str:
    """Return the last devices of a chain in the room of a label: the first and the last of many."""
    names = [network.items[id_].name for id_ in chain.last]
    return ", ".join(names) if len(names) < 3 else f"{names[0]} … {names[-1]}"


def _span(network: Network, sizing: Sizing, chain: Chain, pairs: dict[str, Pair]) -> tuple[float, float]:
    """Return the currents at the edges of the plot: from below the smallest device to above the greatest fault."""
    known = [curves.fast.points[0][0] for curves in pairs.values()]
    limit = chain.source_limits(network)
    known += [
        current for current in (chain.least_a, chain.greatest_a, limit[0] if limit else None) if current
    ]
    known += [sizing.cables[chain.cable].capacity_a] if chain.cable else []
    known += [ac_limit_a(network, chain.source)] if limit else []
    known += [1.2 * curves.slow.points[-1][0] for curves in pairs.values() if curves.magnetic]
    return 0.7 * min(known), 1.6 * max(known)


def _placed(plot: Plot, marks: Sequence[Mark]) -> list[tuple[Mark, int]]:
    rows = flag_rows([(plot.x(mark.current_a), mark.text) for mark in marks])
    return list(zip(marks, rows, strict=True))


def _count(placed: Sequence[tuple[Mark, int]]) -> int:
    return 1 + max((row for _, row in placed), default=-1)


def _grid(canvas: Canvas, plot: Plot) -> None:
    for time in _TIMES_S:
        y = plot.y(time)
        canvas.line([(plot.x0, y), (plot.x1, y)], 0.25)
        canvas.text(plot.x0 - 1, y, quantity(time, "s") if time != 60 else f"1{NBSP}min", "end")
    decade = 10.0 ** np.floor(log10(plot.least_a))
    last = -inf
    while decade < plot.greatest_a:
        for step in range(1, 10):
            current = step * decade
            if not plot.least_a <= current <= plot.greatest_a:
                continue
            x = plot.x(current)
            canvas.line([(x, plot.y0), (x, plot.y1)], 0.35 if step == 1 else 0.12)
            label = quantity(current, "A")
            half = text_width_mm(label) / 2
            if step in (1, 2, 5) and x - half > last + 1:
                canvas.text(x, plot.y1 + _AXIS_MM / 2, label, "middle")
                last = x + half
        decade *= 10
    corners = [
        (plot.x0, plot.y0),
        (plot.x1, plot.y0),
        (plot.x1, plot.y1),
        (plot.x0, plot.y1),
        (plot.x0, plot.y0),
    ]
    canvas.line(corners, THIN_PT)


def _band(canvas: Canvas, plot: Plot, curves: Pair, dash: str) -> None:
    fast, slow = plot.curve(curves.fast), plot.curve(curves.slow)
    canvas.area([*fast, *reversed(slow)], _TONE, _OPACITY)
    canvas.line(fast, 1.0, dash)
    canvas.line(slow, 1.0, dash)


def _cable(canvas: Canvas, plot: Plot, sizing: Sizing, network: Network, chain: Chain) -> None:
    """Draw what the cable withstands: its capacity for good, I²t = k²S² for short; between them nothing is claimed."""
    if not chain.cable:
        return
    cable = network.cables[chain.cable]
    heat = heat_constant("live", cable.insulation.split()[0], cable.conductor_temp_c).value
    energy = (heat * sizing.sizes[cable.id].mm2) ** 2
    capacity = sizing.cables[cable.id].capacity_a
    knee = float(np.sqrt(energy / LONGEST_S))
    lasting = energy / capacity**2
    canvas.line([plot.at(capacity, _SLOWEST_S), plot.at(capacity, max(lasting, 3600.0))], _CABLE_PT)
    canvas.line(
        [plot.at(capacity, max(lasting, 3600.0)), plot.at(capacity, lasting), plot.at(knee, LONGEST_S)],
        1.2,
        _OPEN_DASH,
    )
    end = min(plot.greatest_a, float(np.sqrt(energy / _FASTEST_S)))
    if knee < end:
        canvas.line([plot.at(knee, LONGEST_S), plot.at(end, energy / end**2)], _CABLE_PT)


def _source(canvas: Canvas, plot: Plot, network: Network, chain: Chain) -> None:
    """Draw what a source that limits its current can drive for how long."""
    limit = chain.source_limits(network)
    if limit is None:
        return
    spec = network.items[chain.source].spec
    rated = ac_limit_a(network, chain.source)
    steps = [(limit[0], _FASTEST_S), (limit[0], limit[1])]
    surge = getattr(spec, "surge", None)
    if surge and isinstance(spec, Inverter):
        more = rated * surge.power_w / spec.power_w
        if rated < more < limit[0] and surge.duration_s > limit[1]:
            steps += [(more, limit[1]), (more, surge.duration_s)]
    steps += [(rated, steps[-1][1]), (rated, _SLOWEST_S)]
    canvas.line([plot.at(*step) for step in steps], _SOURCE_PT, _SOURCE_DASH)


def _flag(canvas: Canvas, x: float, from_y: float, to_y: float, text: str) -> None:
    canvas.line([(x, from_y), (x, to_y)], THIN_PT)
    canvas.text(x + 0.8, to_y, text, bold=False)
