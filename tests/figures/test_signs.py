"""Safety signs after ISO 3864-1 (from memory): shape and colour of each kind, share of the safety colour, contrast, and
that a grey print still tells the kinds apart.
"""

import io
from functools import cache
from xml.etree.ElementTree import fromstring

import numpy as np
import pytest
import typst
from PIL import Image

from asfitted import words
from asfitted.resources import site_src

SIGNS = sorted(words.catalogue("signs")["meanings"])
YELLOW, RED, BLUE, GREEN = "#f9a800", "#9b2423", "#005387", "#237f52"
#: letter of the number -> element of the shape, safety colour, least share of the sign's area (ISO 3864-1, from memory)
KINDS = {
    "W": ("path", YELLOW, 0.5),
    "P": ("circle", RED, 0.35),
    "M": ("circle", BLUE, 0.5),
    "E": ("rect", GREEN, 0.5),
    "F": ("rect", RED, 0.5),
}


@cache
def pixels(name: str) -> np.ndarray:
    folder = site_src() / "signs"
    page = f'#set page(width: auto, height: auto, margin: 0pt, fill: none)\n#image("{name.lower()}.svg", width: 200pt)'
    png = typst.compile(page.encode(), root=folder, format="png", ppi=72)
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"), dtype=float)


def luminance(colour: str) -> float:
    """Relative luminance of WCAG 2.2."""
    channels = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    dark, light = sorted((luminance(a), luminance(b)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("name", SIGNS)
def test_shape_and_colour_of_its_kind(name):
    shape, colour, least = KINDS[name[0]]
    root = fromstring((site_src() / "signs" / f"{name.lower()}.svg").read_text())  # noqa: S314  (our own drawing)
    assert root.get("role") == "img"
    children = [child for child in root if not child.tag.endswith("title")]
    assert children[0].tag.endswith(shape)
    found = pixels(name)
    opaque = found[..., 3] > 128
    safety = np.array([int(colour[n : n + 2], 16) for n in (1, 3, 5)], dtype=float)
    coloured = opaque & (np.abs(found[..., :3] - safety).max(axis=2) < 24)
    assert coloured.sum() / opaque.sum() >= least


@pytest.mark.parametrize(
    ("a", "b"), [("#000000", YELLOW), ("#ffffff", RED), ("#ffffff", BLUE), ("#ffffff", GREEN)]
)
def test_pictogram_stands_out(a, b):
    """WCAG 2.2 SC 1.4.11 asks 3 : 1 of what is drawn; text-like signs deserve 4.5."""
    assert contrast(a, b) >= 4.5


def test_grey_prints_differ():
    """No two signs become the same picture without colour."""
    grey = {
        name: Image.fromarray(pixels(name).astype("uint8")).convert("LA").resize((64, 64)) for name in SIGNS
    }
    flat = {}
    for name, image in grey.items():
        light, alpha = (np.asarray(band, dtype=float) for band in image.split())
        flat[name] = np.where(alpha > 128, light, 255.0)
    for a in SIGNS:
        for b in SIGNS:
            if a < b:
                assert np.abs(flat[a] - flat[b]).mean() > 4, (a, b)


def test_each_drawing_is_used_by_name_and_has_words():
    drawn = {path.stem.upper() for path in (site_src() / "signs").glob("*.svg")}
    assert drawn == set(SIGNS)
