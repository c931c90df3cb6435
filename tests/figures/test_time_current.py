"""Time–current curves: geometry, words, and a cable whose line lies where the formula puts it."""

from math import log10

import pytest

from asfitted.figures.flags import flag_rows
from asfitted.figures.time_current import time_current
from tests.studies.builds import studied

from .plots import plot_faults, uprights

WIDTHS_MM = (166.0, 120.0)


def figures(width_mm):
    s = studied()
    return [time_current(s.network, s.sizing, c, n, width_mm) for n, c in enumerate(s.sizing.chains, 1)]


@pytest.mark.parametrize("width_mm", WIDTHS_MM)
def test_no_fault_of_geometry_and_the_same_bytes_twice(width_mm):
    drawn = figures(width_mm)
    assert len(drawn) > 5
    for figure in drawn:
        assert list(plot_faults(figure.svg)) == [], figure.title
        assert figure.description
        assert all(line in figure.alternative for line in figure.description)
    assert [f.svg for f in figures(width_mm)] == [f.svg for f in drawn]


def test_an_upright_stands_at_the_capacity_of_the_cable():
    s = studied()
    chain = next(c for c in s.sizing.chains if "F28" in c.last)
    svg = time_current(s.network, s.sizing, chain, 1, 166.0).svg
    marks = dict.fromkeys(round(x, 1) for x, _, _ in uprights(svg))
    # three marks that must stand in logarithmic proportion: capacity, least and greatest fault
    known = [s.sizing.cables[chain.cable].capacity_a, chain.least_a, chain.greatest_a]
    share = log10(known[1] / known[0]) / log10(known[2] / known[0])
    assert any(
        abs((b - a) / (c - a) - share) < 0.004 for a in marks for b in marks for c in marks if a < b < c
    )


def test_the_inverter_shuts_down_before_the_breaker_opens():
    told = [f.alternative for f in figures(166.0) if "from inverter" in f.title]
    assert told
    assert all("gives no more than 18 A, for 60 ms" in text.replace("\u00a0", " ") for text in told)


def test_the_earth_fault_at_the_weakest_site_is_left_to_the_residual_current_release():
    told = next(f.alternative for f in figures(166.0) if "from site" in f.title)
    assert "residual current release of QF1" in told


def test_flags_never_cross_a_pole():
    flags = [(10.0, "a long text here"), (12.0, "another"), (14.0, "x"), (60.0, "far away")]
    rows = flag_rows(flags)
    assert rows[0] > rows[1] > rows[2] == rows[3] == 0
    assert flag_rows([(10.0, "a"), (10.0, "b")]) in ([0, 1], [1, 0])
