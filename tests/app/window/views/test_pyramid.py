"""Thinning that never loses a spike."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from app.window.views.pyramid import FACTOR, SMALLEST, Pyramid


@given(
    st.integers(1, 60_000),
    st.integers(0, 59_999),
    st.floats(0, 1),
    st.floats(0, 1),
    st.integers(50, 2000),
)
def test_extremes_of_the_view_are_drawn(
    count: int, spike: int, a: float, b: float, columns: int
) -> None:
    x = np.arange(count, dtype=float)
    y = np.zeros(count)
    y[spike % count] = 7.0
    left, right = sorted((a * count, b * count))
    shown_x, shown_y = Pyramid(x, y).view(left, right, columns)
    assert len(shown_x) == len(shown_y) <= max(8 * columns, 2 * FACTOR * SMALLEST) + 8
    assert np.all(np.diff(shown_x) >= 0)
    if left <= spike % count <= right:
        assert shown_y.max() == 7.0


def test_few_samples_are_drawn_as_they_are() -> None:
    x = np.arange(100.0)
    shown_x, shown_y = Pyramid(x, x**2).view(10.0, 20.0, 500)
    assert np.array_equal(shown_y, shown_x**2)
    assert shown_x[0] <= 10.0
    assert shown_x[-1] >= 20.0
