"""Curves of the state of charge: through some days of each kind, and through a year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from asfitted import words
from asfitted.numbers import NBSP
from asfitted.studies.energy.study import BankStudy
from asfitted.studies.energy.year import DAYS_IN_MONTH

from .canvas import DASHES, THIN_PT, Canvas, spread
from .figure import Figure
from .layout.measure import text_width_mm, wrap

_HEIGHT, _TOP, _BOTTOM, _LEFT = 62.0, 4.0, 9.0, 10.0
_LABEL_MM, _PITCH = 30.0, 3.2


@dataclass(frozen=True)
class Curve:
    """A curve by its shares of full (0 to 1), evenly spaced over the whole width."""

    name: str
    shares: NDArray[np.float64]


def charge_figures(study: BankStudy, width_mm: float) -> tuple[Figure, ...]:
    """Return the state of charge through three days of each kind, and through a year where the sun is known."""
    bank = study.bank.id.replace("_", " ")
    floor = 1 - study.bank.usable
    found = []
    days = [day for day in study.days if day.takes_wh > 0]
    if days:
        curves = [Curve(day.name, _thinned(day.first_days / day.full_wh, 15)) for day in days]
        ticks = [(hour / 72, _hour(hour)) for hour in range(0, 73, 12)]
        found.append(_figure("days", f"energy-days-{study.bank.id}", bank, floor, curves, ticks, width_mm))
    if study.years:
        curves = [Curve(year.day, year.lowest) for year in study.years]
        starts = np.concatenate(([0], np.cumsum(DAYS_IN_MONTH)[:-1]))
        months = words.catalogue("energy_figures")["months"]
        ticks = [(float(start) / 365, name) for start, name in zip(starts, months, strict=True)]
        found.append(_figure("year", f"energy-year-{study.bank.id}", bank, floor, curves, ticks, width_mm))
    return tuple(found)


def _hour(hour: int) -> str:
    day, rest = divmod(hour, 24)
    return words.text("energy_figures", "midnight", day=day + 1) if rest == 0 and hour < 72 else f"{rest}:00"


def _thinned(shares: NDArray[np.float64], every: int) -> NDArray[np.float64]:
    """Return every so-manieth value, the first and the last among them."""
    kept: NDArray[np.float64] = np.concatenate(([1.0], shares[every - 1 :: every]))
    return kept


def _figure(
    kind: str,
    name: str,
    bank: str,
    floor: float,
    curves: Sequence[Curve],
    ticks: Sequence[tuple[float, str]],
    width_mm: float,
) -> Figure:
    title = words.text("energy_figures", f"{kind}.title", bank=bank)
    description = tuple(_told(kind, curve, floor) for curve in curves)
    alternative = words.text("energy_figures", f"{kind}.alternative", bank=bank, floor=_percent(floor))
    canvas = Canvas(width_mm, _HEIGHT, title, " ".join((alternative, *description)))
    right, bottom = width_mm - _LABEL_MM, _HEIGHT - _BOTTOM

    def at(share: float) -> float:
        return bottom - share * (bottom - _TOP)

    for step in (0.0, 0.25, 0.5, 0.75, 1.0):
        canvas.line([(_LEFT, at(step)), (right, at(step))], 0.25)
        canvas.text(_LEFT - 1, at(step), _percent(step), "end")
    for share, label in ticks:
        x = _LEFT + share * (right - _LEFT)
        canvas.line([(x, bottom), (x, bottom + 1)], THIN_PT)
        canvas.text(
            x + (0.5 if kind == "year" else 0), bottom + 3, label, "start" if kind == "year" else "middle"
        )
    canvas.line([(_LEFT, _TOP), (_LEFT, bottom), (right, bottom)], THIN_PT)
    canvas.line([(_LEFT, at(floor)), (right, at(floor))], 0.8, "2,2")
    for number_, curve in enumerate(curves):
        xs = np.linspace(_LEFT, right, len(curve.shares))
        points = [(float(x), at(float(y))) for x, y in zip(xs, curve.shares, strict=True)]
        canvas.line(points, dash=DASHES[number_ % len(DASHES)])
    _labels(canvas, curves, floor, right, at)
    return Figure(name, canvas.svg(), title, alternative, description)


def _labels(canvas: Canvas, curves: Sequence[Curve], floor: float, right: float, at: object) -> None:
    """Write at the right end of each curve what it is, with a piece of its stroke; the floor has a word as well."""
    assert callable(at)  # noqa: S101  (the scale of the figure)
    names = [*(curve.name for curve in curves), words.text("energy_figures", "floor")]
    dashes = [*(DASHES[i % len(DASHES)] for i in range(len(curves))), "2,2"]
    wanted = [at(float(curve.shares[-1])) for curve in curves] + [at(floor)]
    for name, dash, y in zip(names, dashes, spread(wanted, _PITCH, _TOP, _HEIGHT - 2), strict=True):
        canvas.line([(right + 1, y), (right + 6, y)], 0.8 if dash == "2,2" else 1.2, dash)
        room = _LABEL_MM - 7.5
        shown = name if text_width_mm(name) <= room else wrap(name, width_mm=room - 2)[0] + "…"
        canvas.text(right + 7, y, shown)


def _told(kind: str, curve: Curve, floor: float) -> str:
    """Return in words what a curve shows, for who cannot see it."""
    return words.text(
        "energy_figures",
        f"{kind}.told",
        name=curve.name,
        lowest=_percent(float(curve.shares.min())),
        end=_percent(float(curve.shares[-1])),
        mean=_percent(float(curve.shares.mean())),
        floor=_percent(floor),
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f}{NBSP}%"
