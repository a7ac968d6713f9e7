from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.comparing.picture_fit import (
    PictureFit,
    PictureFitError,
    fit_pictures,
    place,
)

SIZE = (1280.0, 720.0)
THINGS = ((300.0, 500.0), (900.0, 560.0))
fits = st.builds(
    PictureFit, st.booleans(), st.floats(0.2, 5.0), st.floats(-900, 900), st.floats(-900, 900)
)


@given(fits)
def test_two_clicks_give_back_the_mirror_the_scale_and_the_shift(fit: PictureFit) -> None:
    left = [place(fit, thing, SIZE) for thing in THINGS]
    found = fit_pictures(left, THINGS, SIZE)
    assert found.fit.mirrored == fit.mirrored
    assert found.fit.scale == pytest.approx(fit.scale)
    assert found.fit.shift_x_px == pytest.approx(fit.shift_x_px, abs=1e-6)
    assert found.fit.shift_y_px == pytest.approx(fit.shift_y_px, abs=1e-6)
    assert found.residual_px == pytest.approx(0.0, abs=1e-6)


def test_it_is_the_least_squares_solution_numpy_finds() -> None:
    rng = np.random.default_rng(4)
    right = rng.uniform(0.0, 700.0, (6, 2))
    left = 0.7 * right + np.array([40.0, -12.0]) + rng.normal(0.0, 5.0, (6, 2))
    # Unknowns: scale, shift x, shift y; two equations a point.
    a = np.zeros((12, 3))
    a[:, 0] = right.ravel()
    a[0::2, 1] = 1.0
    a[1::2, 2] = 1.0
    (scale, x, y), residues, _rank, _values = np.linalg.lstsq(a, left.ravel())
    fitted = fit_pictures(left.tolist(), right.tolist(), SIZE, mirrored=False)
    assert fitted.fit.scale == pytest.approx(scale)
    assert (fitted.fit.shift_x_px, fitted.fit.shift_y_px) == pytest.approx((x, y))
    assert fitted.residual_px == pytest.approx(math.sqrt(float(residues[0]) / 6))


@pytest.mark.parametrize(
    ("left", "right", "mirrored", "words"),
    [
        (THINGS[:1], THINGS[:1], None, "same two things"),
        (THINGS, ((5.0, 5.0), (6.0, 6.0)), None, "farther apart"),
        (THINGS, THINGS[::-1], False, "other way round"),
        (((0.0, 0.0), (1200.0, 0.0)), ((0.0, 0.0), (11.0, 0.0)), False, "ten times"),
        (((math.nan, 0.0), (1200.0, 0.0)), THINGS, None, "click again"),
    ],
)
def test_clicks_that_lay_nothing_over_anything_are_refused_in_words(
    left: tuple[tuple[float, float], ...],
    right: tuple[tuple[float, float], ...],
    mirrored: bool | None,
    words: str,
) -> None:
    with pytest.raises(PictureFitError, match=words):
        fit_pictures(left, right, SIZE, mirrored)
