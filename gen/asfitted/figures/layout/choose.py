"""The best of several pages: three orientations, two directions of flow, a few orders of equal cost."""

from __future__ import annotations

from ..graph import Diagram
from .compose import Arrangement
from .crossings import bends, crossings
from .links import Orientation
from .page import Flow, Page, Paper

LEAST_PT = 6.0
MOST_PT = 8.5

COMFORTABLE_PT = 7.0

Merit = tuple[bool, int, bool, bool, int, float, float]


def fit(page: Page, paper: Paper) -> Page:
    """Scale a page to its paper; the text grows to 8.5 pt at most, so that small figures do not shout."""
    largest = min(paper.width_mm / page.width, paper.height_mm / page.height)
    return page.scaled(min(largest, MOST_PT / page.size_pt))


def lay_out_sheet(diagram: Diagram, paper: Paper) -> Page:
    """Return the best page that holds the whole diagram; its text may be too small (`size_pt` tells)."""
    manners: list[Orientation] = ["power"]
    if {wire.kind for wire in diagram.wires} >= {"ac", "dc"}:
        manners = ["bands", "columns", "power"]
    best: tuple[Merit, Page] | None = None
    arrangements = []
    flows: tuple[Flow, ...] = ("down", "right")
    for flow in flows:
        for number, manner in enumerate(manners):
            if len(arrangements) <= number:
                arrangements.append(Arrangement(diagram, manner))
            for made in arrangements[number].pages(flow):
                page = fit(made, paper)
                merit = _merit(page, flow)
                if best is None or merit < best[0]:
                    best = merit, page
        if best is not None and not best[0][0] and best[0][1] == 0:
            break  # Flow to the right only competes if flow down does not fit or has crossings.
    assert best is not None  # noqa: S101 - there is always at least one candidate
    return best[1]


def _merit(page: Page, flow: Flow) -> Merit:
    small = page.size_pt < LEAST_PT
    area = round(page.width * page.height, 0)
    return (small, crossings(page), page.size_pt < COMFORTABLE_PT, flow == "right", bends(page), -round(page.size_pt, 2), area)
