"""Size of a picture on paper, and pictures that carry their own letters for the browser."""

import base64
import re
from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO
from xml.etree.ElementTree import Element, fromstring

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from asfitted.publish.fonts import FAMILY, REGULAR, SEMIBOLD, font_file
from asfitted.publish.model import Asset
from asfitted.publish.paper import PT_PER_MM, Paper

_PT = {"": 0.75, "px": 0.75, "pt": 1.0, "mm": PT_PER_MM, "cm": 10 * PT_PER_MM, "in": 72.0}
_LENGTH = re.compile(r"\s*([0-9.]+)\s*(px|pt|mm|cm|in|)\s*")
_CAPTION_PT = 42  # height kept free for a caption of two lines
_TURN_BELOW = 0.8  # a picture that upright paper would shrink further than this is turned, if that helps
_TURN_GAIN = 1.2


@dataclass(frozen=True)
class Placed:
    """Width of a picture on paper in pt, and whether it stands on a sheet of its own, turned."""

    width_pt: float
    landscape: bool


def natural_size_pt(svg: bytes) -> tuple[float, float]:
    """Return width and height of an SVG in pt; a length without unit is a CSS pixel of 0.75 pt."""
    # The figures are our own output: no entity can be declared by a stranger.
    root = fromstring(svg)  # noqa: S314
    box = [float(number) for number in root.get("viewBox", "0 0 400 300").replace(",", " ").split()]
    return _length_pt(root, "width", box[2]), _length_pt(root, "height", box[3])


def _length_pt(root: Element, name: str, fallback: float) -> float:
    match = _LENGTH.fullmatch(root.get(name, ""))
    return float(match[1]) * _PT[match[2]] if match else fallback * _PT[""]


def place(asset: Asset, paper: Paper, turned: bool) -> Placed:
    """Return how large `asset` stands on `paper`: never enlarged, upright unless turning gains a good deal.

    `turned` says that the sheet is turned already. A photo fills the width.
    """
    if not asset.path.endswith(".svg"):
        return Placed(min(paper.text_width_pt(turned), paper.text_height_pt(turned)), landscape=False)
    width, height = natural_size_pt(asset.data)
    here = _scale(width, height, paper, turned)
    across = _scale(width, height, paper, landscape=True)
    if not turned and here < _TURN_BELOW and across > here * _TURN_GAIN:
        return Placed(round(width * across, 1), landscape=True)
    return Placed(round(width * here, 1), landscape=False)


def _scale(width: float, height: float, paper: Paper, landscape: bool) -> float:
    room_pt = paper.text_height_pt(landscape) - _CAPTION_PT
    return min(1.0, paper.text_width_pt(landscape) / width, room_pt / height)


def self_contained(assets: Iterable[Asset]) -> dict[str, bytes]:
    """Return path and content of each asset, an SVG with a subset of the family inside.

    A browser that shows an SVG as a picture loads no font file for it: without the subset its labels would be
    set in whatever the reader's machine has, wider or narrower than the drawing leaves room for.
    """
    listed = tuple(assets)
    drawings = [asset.data.decode() for asset in listed if asset.path.endswith(".svg")]
    if not any(FAMILY in drawing for drawing in drawings):
        return {asset.path: asset.data for asset in listed}
    style = f"<style>{_font_faces(frozenset().union(*drawings))}</style>"
    return {asset.path: _with_style(asset, style) for asset in listed}


def _with_style(asset: Asset, style: str) -> bytes:
    if not asset.path.endswith(".svg") or FAMILY not in asset.data.decode():
        return asset.data
    return re.sub(r"(<svg\b[^>]*>)", lambda tag: tag[1] + style, asset.data.decode(), count=1).encode()


def _font_faces(marks: Iterable[str]) -> str:
    text = "".join(sorted(marks))
    return "".join(
        f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};"
        f"src:url(data:font/woff;base64,{base64.b64encode(_subset(name, text)).decode()})}}"
        for name, weight in ((REGULAR, "400"), (SEMIBOLD, "600 700"))
    )


def _subset(name: str, text: str) -> bytes:
    font = TTFont(font_file(name), recalcTimestamp=False)
    subsetter = Subsetter(Options(layout_features=["kern", "tnum"], hinting=False, notdef_outline=True))
    subsetter.populate(text=text)
    subsetter.subset(font)
    font.flavor = "woff"
    out = BytesIO()
    font.save(out)
    return out.getvalue()
