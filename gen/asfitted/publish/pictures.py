"""Size of a picture on paper, and pictures that carry their own letters for the browser."""

import base64
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from math import ceil
from typing import Literal
from xml.etree.ElementTree import Element, fromstring

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from asfitted.publish.fonts import BOLD, FAMILY, REGULAR, SEMIBOLD, font_file, text_width_em
from asfitted.publish.model import Asset
from asfitted.publish.paper import PT_PER_MM, Paper

_PT = {"": 0.75, "px": 0.75, "pt": 1.0, "mm": PT_PER_MM, "cm": 10 * PT_PER_MM, "in": 72.0}
_LENGTH = re.compile(r"\s*([0-9.]+)\s*(px|pt|mm|cm|in|)\s*")
_OWN_SHEET_BELOW = 0.85  # drawings are made at print size: shrunk further, their letters get too small
_FULL_SHEET, _FULL_SHEET_BELOW = 0.7, 0.97  # one that takes the sheet anyway may as well have its margins
_OWN_SHEET_GAIN = 1.05
_HEADING_LINES = 2.5  # a heading above a picture must find room on the same sheet
# File, weight, and what gives away that a drawing uses it.
_WEIGHTS = (
    (REGULAR, "400", FAMILY),
    (SEMIBOLD, "600", 'font-weight="600"'),
    (BOLD, "700", 'font-weight="bold"'),
)
_WIDE_PT = 300  # 400 CSS pixels: a drawing that a telephone must not shrink to its own width


@dataclass(frozen=True)
class Placed:
    """Width of a picture on paper in pt, and its place: in the text, or on a sheet of its own."""

    width_pt: float
    sheet: Literal["none", "upright", "turned"] = "none"


def natural_size_pt(svg: bytes) -> tuple[float, float]:
    """Return width and height of an SVG in pt; a length without unit is a CSS pixel of 0.75 pt."""
    # The figures are our own output: no entity can be declared by a stranger.
    root = fromstring(svg)  # noqa: S314
    box = [float(number) for number in root.get("viewBox", "0 0 400 300").replace(",", " ").split()]
    return _length_pt(root, "width", box[2]), _length_pt(root, "height", box[3])


def _length_pt(root: Element, name: str, fallback: float) -> float:
    match = _LENGTH.fullmatch(root.get(name, ""))
    return float(match[1]) * _PT[match[2]] if match else fallback * _PT[""]


def is_wide(asset: Asset) -> bool:
    """Return whether a narrow screen should scroll the picture rather than shrink it."""
    return asset.path.endswith(".svg") and natural_size_pt(asset.data)[0] > _WIDE_PT


def place(asset: Asset, paper: Paper, turned: bool, alone: bool, caption: str) -> Placed:
    """Return how large `asset` stands on `paper`: never enlarged, alone if that gains much.

    `turned` says that the text runs across the sheet already, `alone` that the picture may leave the text.
    A photo fills the width of the text.
    """
    text_room = (paper.text_width_pt(turned), paper.text_height_pt(turned))
    if not asset.path.endswith(".svg"):
        return Placed(min(text_room))
    size = natural_size_pt(asset.data)
    scale = _scale(size, text_room, caption, paper)
    best = Placed(round(size[0] * scale, 1))
    fills_the_sheet = size[1] * scale > _FULL_SHEET * text_room[1]
    if turned or not alone or scale >= (_FULL_SHEET_BELOW if fills_the_sheet else _OWN_SHEET_BELOW):
        return best
    for sheet in ("upright", "turned"):
        own = _scale(size, paper.figure_room_pt(sheet == "turned"), caption, paper)
        if own > scale * _OWN_SHEET_GAIN:
            scale, best = own, Placed(round(size[0] * own, 1), sheet)
    return best


def _scale(size: tuple[float, float], room: tuple[float, float], caption: str, paper: Paper) -> float:
    lines = ceil(text_width_em(caption) * paper.body_pt / room[0]) + 1 if caption else 0
    kept_free_pt = 1.3 * paper.body_pt * (lines + _HEADING_LINES)
    return min(1.0, room[0] / size[0], (room[1] - kept_free_pt) / size[1])


def self_contained(assets: Iterable[Asset]) -> dict[str, bytes]:
    """Return path and content of each asset, an SVG with a subset of the family inside.

    A browser that shows an SVG as a picture loads no font file for it: without the subset its labels would be
    set in whatever the reader's machine has, wider or narrower than the drawing leaves room for.
    """
    listed = tuple(assets)
    drawings = [asset.data.decode() for asset in listed if _has_letters(asset)]
    style = f"<style>{''.join(_font_faces(drawings))}</style>"
    return {asset.path: _with_style(asset, style) for asset in listed}


def _has_letters(asset: Asset) -> bool:
    return asset.path.endswith(".svg") and FAMILY.encode() in asset.data


def _with_style(asset: Asset, style: str) -> bytes:
    if not _has_letters(asset):
        return asset.data
    return re.sub(r"(<svg\b[^>]*>)", lambda tag: tag[1] + style, asset.data.decode(), count=1).encode()


def _font_faces(drawings: Sequence[str]) -> Iterator[str]:
    text = "".join(sorted(set().union(*drawings)))
    for name, weight, mark in _WEIGHTS:
        if any(mark in drawing for drawing in drawings):
            font = base64.b64encode(_subset(name, text)).decode()
            source = f"src:url(data:font/woff;base64,{font})"
            yield f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};{source}}}"


@cache
def _subset(name: str, text: str) -> bytes:
    font = TTFont(font_file(name), recalcTimestamp=False)
    subsetter = Subsetter(Options(layout_features=["kern", "tnum"], hinting=False, notdef_outline=True))
    subsetter.populate(text=text)
    subsetter.subset(font)
    font.flavor = "woff"
    out = BytesIO()
    font.save(out)
    return out.getvalue()
