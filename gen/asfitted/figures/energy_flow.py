"""Where the energy of a day comes from and where it goes: bands as wide as their share, met in one bar, the battery's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from asfitted import words
from asfitted.numbers import figures
from asfitted.studies.energy.days import DayResult
from asfitted.studies.energy.study import BankStudy

from .canvas import Canvas
from .charge import charge_figures
from .figure import Figure
from .layout.measure import text_width_mm, wrap

_BAND_MM, _PITCH, _GAP_MM, _TOP, _BAR_MM = 42.0, 3.4, 0.8, 2.0, 2.4
_SOURCE_TONE, _STORE_TONE, _USE_TONE, _LOSS_TONE = "#c8c8c8", "#8f8f8f", "#e9e9e9", "#ffffff"
_WIDEST_MM = 128.0  # wider only moves the labels apart
#: what is smaller than this share is told together as "other"
_SMALL = 0.02


@dataclass(frozen=True)
class Stream:
    """One source or sink, in Wh."""

    name: str
    wh: float
    tone: str


def energy_figures(study: BankStudy, width_mm: float) -> tuple[Figure, ...]:
    """Return all figures of a bank: the curves, then the flow of each kind of day."""
    days = (day for day in study.days if day.takes_wh > 0)
    flows = (flow_figure(study, day, number_, width_mm) for number_, day in enumerate(days, 1))
    return (*charge_figures(study, width_mm), *flows)


def flow_figure(study: BankStudy, day: DayResult, number_: int, width_mm: float) -> Figure:
    """Return the energy of one kind of day at the terminals of its battery."""
    came, went = streams(study, day)
    fields: dict[str, object] = {"day": day.name, "bank": day.bank.replace("_", " ")}
    title = words.text("energy_figures", "flow.title", **fields)
    lines = (
        words.text("energy_figures", "flow.came", list=_listed(came)),
        words.text("energy_figures", "flow.went", list=_listed(went)),
    )
    alternative = words.text("energy_figures", "flow.alternative", **fields)
    width_mm = min(width_mm, _WIDEST_MM)
    scale = _BAND_MM / max(sum(s.wh for s in came), 1e-9)
    height = max(_slots(side, scale) for side in (came, went)) + 2 * _TOP
    canvas = Canvas(width_mm, height, title, " ".join((alternative, *lines)))
    middle = width_mm / 2
    canvas.box(middle - _BAR_MM / 2, (height - _BAND_MM) / 2, _BAR_MM, _BAND_MM, "#000000")
    _side(canvas, came, scale, (2.0, middle - _BAR_MM / 2), height, left=True)
    _side(canvas, went, scale, (middle + _BAR_MM / 2, width_mm - 2.0), height, left=False)
    return Figure(f"energy-flow-{day.bank}-{number_}", canvas.svg(), title, alternative, lines)


def streams(study: BankStudy, day: DayResult) -> tuple[list[Stream], list[Stream]]:
    """Return what came and what went; both sides add up to the same."""
    ledger = day.typical

    def said(key: str) -> str:
        return words.text("energy_figures", f"streams.{key}")

    names = {a.id: a.name for a in study.house.appliances}
    served = 1 - float(ledger.unserved_wh.sum()) / max(float(ledger.load_wh.sum()), 1e-9)
    down = float((ledger.delivered_wh + ledger.rate_loss_wh).sum())
    up = float((ledger.accepted_wh - ledger.charging_loss_wh).sum())
    came = [Stream(part.id.replace("_", " "), part.wh, _SOURCE_TONE) for part in day.used]
    came.append(Stream(said("from the battery"), down, _STORE_TONE))
    went = [
        Stream(names[part.id], part.wh * served, _USE_TONE)
        if part.id in names
        else Stream(_loss_name(part.id, day.bank), part.wh * served, _LOSS_TONE)
        for part in day.takes
    ]
    went.append(Stream(said("charging"), float(ledger.charging_loss_wh.sum()), _LOSS_TONE))
    went.append(Stream(said("rate"), float(ledger.rate_loss_wh.sum()), _LOSS_TONE))
    went.append(Stream(said("into the battery"), up, _STORE_TONE))
    return _grouped(came, said("other")), _grouped(went, said("other"))


def _loss_name(id_: str, bank: str) -> str:
    key = "standing" if id_ == bank else "inverter"
    return words.text("energy_figures", f"streams.{key}", name=id_.replace("_", " "))


def _grouped(found: Sequence[Stream], other: str) -> list[Stream]:
    """Order by size, the battery last; what is very small is told together."""
    total = sum(stream.wh for stream in found)
    large = [s for s in found if s.wh >= _SMALL * total and s.wh > 0]
    small = sum(s.wh for s in found if s.wh < _SMALL * total)
    ordered = sorted(large, key=lambda s: (s.tone == _STORE_TONE, s.tone == _LOSS_TONE, -s.wh))
    return [*ordered, *([Stream(other, small, _LOSS_TONE)] if small > 0.5 else [])]


def _slots(found: Sequence[Stream], scale: float) -> float:
    """Return the height that a side needs: every band as wide as its energy, with room for a line of text."""
    return sum(max(stream.wh * scale + _GAP_MM, _PITCH) for stream in found)


def _side(
    canvas: Canvas,
    found: Sequence[Stream],
    scale: float,
    span: tuple[float, float],
    height: float,
    left: bool,
) -> None:
    """Draw the bands of one side: at the bar close together, at the edge apart so that each bears its label."""
    label_mm = (span[1] - span[0]) * 0.58
    edge = span[0] + label_mm if left else span[1] - label_mm
    at_bar = (height - _BAND_MM) / 2
    slot = (height - _slots(found, scale)) / 2
    for stream in found:
        thick = stream.wh * scale
        room = max(thick + _GAP_MM, _PITCH)
        outer = (edge, slot + (room - thick) / 2, slot + (room + thick) / 2)
        inner = (span[1] if left else span[0], at_bar, at_bar + thick)
        canvas.band(*((outer, inner) if left else (inner, outer)), stream.tone)
        text = f"{_short(stream.name, label_mm)} {_wh(stream.wh)}"
        canvas.text(edge + (-1 if left else 1), slot + room / 2, text, "end" if left else "start")
        at_bar += thick
        slot += room


def _short(name: str, width_mm: float) -> str:
    room = width_mm - text_width_mm("00 000 Wh") - 2
    return name if text_width_mm(name) <= room else wrap(name, width_mm=room - 2)[0] + "…"


def _wh(wh: float) -> str:
    return words.text("energy_figures", "wh", wh=figures(round(wh), 6))


def _listed(found: Sequence[Stream]) -> str:
    return ", ".join(f"{stream.name} {_wh(stream.wh)}" for stream in found)
