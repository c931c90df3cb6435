"""The best of several pages: three orientations, two directions of flow, a few orders of equal cost."""

from __future__ import annotations

from functools import lru_cache

from ..graph import Diagram
from .arrange import Arrangement
from .crossings import bends, crossings
from .links import Orientation
from .measure import NOMINAL_PT
from .page import Flow, Page, Paper

LEAST_PT = 6.0
MOST_PT = 7.5

COMFORTABLE_PT = 7.0

Merit = tuple[bool, int, bool, bool, bool, int, float, float]


def fit(page: Page, paper: Paper) -> Page:
    """Scale a page to its paper; the text grows to 7.5 pt at most, so that small figures do not shout."""
    largest = min(paper.width_mm / page.width, paper.height_mm / page.height)
    return page.scaled(min(largest, MOST_PT / page.size_pt))


def lay_out_sheet(diagram: Diagram, paper: Paper) -> Page:
    """Return the best page that holds the whole diagram; its text may be too small (`size_pt` tells)."""
    manners: list[Orientation] = ["power"]
    if {wire.kind for wire in diagram.wires} >= {"ac", "dc"}:
        manners = ["bands", "columns", "power"]
    arrangements = [_arrangement(diagram, manner) for manner in manners]
    best: tuple[Merit, Page] | None = None
    # Flow to the right and uneven columns only compete if flow down with even ones does not fit well.
    styles: tuple[tuple[Flow, bool], ...] = (
        ("down", True),
        ("down", False),
        ("right", True),
        ("right", False),
    )
    for flow, even in styles:
        for arrangement in arrangements:
            if best is not None and _too_large(arrangement.least_size(flow), paper):
                continue
            for made in arrangement.pages(flow, even):
                page = fit(made, paper)
                merit = _merit(page, flow, even)
                if best is None or merit < best[0]:
                    best = merit, page
        if best is not None and best[0] < (False, 0, False, True):
            break
    assert best is not None  # noqa: S101 - there is always at least one candidate
    return best[1]


@lru_cache(maxsize=12)
def _arrangement(diagram: Diagram, manner: Orientation) -> Arrangement:
    """Return an arrangement: papers are tried one after another, and it depends on none of them."""
    return Arrangement(diagram, manner)


def _too_large(least: tuple[float, float], paper: Paper) -> bool:
    return min(paper.width_mm / least[0], paper.height_mm / least[1]) * NOMINAL_PT < LEAST_PT


def _merit(page: Page, flow: Flow, even: bool) -> Merit:
    return (
        page.size_pt < LEAST_PT,
        crossings(page),
        page.size_pt < COMFORTABLE_PT,
        flow == "right",
        not even,
        bends(page),
        -round(page.size_pt, 2),
        round(page.width * page.height, 0),
    )
