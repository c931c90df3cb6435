"""Numbers as the trade writes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asfitted.numbers import NBSP, figures, quantity


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.03, "A", "30 mA"),
        (16, "A", "16 A"),
        (6000, "A", "6 kA"),
        (1600, "W", "1600 W"),
        (12_000, "W", "12 kW"),
        (25.6, "V", "25.6 V"),
        (0.004, "ohm", "4 mΩ"),
        (0.42, "s", "0.42 s"),
        (0.06, "s", "60 ms"),
        (5400, "s", "1.5 h"),
        (None, "A", "–"),
        (3.257, "%", "3.3 %"),
    ],
)
def test_quantities_are_written_as_they_are_read(value: float | None, unit: str, shown: str) -> None:
    assert quantity(value, unit) == shown.replace(" ", NBSP)


@given(st.floats(min_value=1e-3, max_value=1e6))
def test_three_figures_hold_the_value(value: float) -> None:
    text = figures(value)
    assert float(text) == pytest.approx(value, rel=5.1e-3)
    assert "e" not in text
    assert not (text.endswith("0") and "." in text)
