"""Curves read from pictures that other plotters drew, against the numbers they were given.

`tests/benchmarks/reading_pictures.py` reads many more of the same kinds; docs/reading-pictures.md
has its table.
"""

from __future__ import annotations

import numpy as np
import pytest

from analysis.reading_pictures.corners import find_corners
from tests.benchmarks.reading_pictures import kinds, read_all, scores
from tests.helpers.pictured_curves import by_matplotlib, by_pillow, photographed

TRIED = (
    "plotted, light, three",
    "drawn, dark, thick",
    "plotted, light, thick, photographed",
    "plotted, dark, three, photographed",
    "drawn, light, two, photographed",
)


def test_the_median_error_is_below_one_percent_and_the_band_holds() -> None:
    held, read = [], []
    for number, name in enumerate(TRIED):
        rng = np.random.default_rng([99, number])
        seen = kinds()[name](rng)
        readings, _corners = read_all(seen, rng)
        errors, inside, share = scores(seen, readings)
        assert np.median(errors) < 0.01, name
        # Where lines cross in a photograph a stretch can be left out; it stays a gap.
        assert share > 0.7, f"{name}: of the line only {share:.2f} was read"
        held.append(inside)
        read.append(share)
    assert np.mean(read) > 0.9
    # Each picture has one pair of clicks, so that of a few this is wider than the 93-97 of many.
    assert 0.85 < np.mean(np.concatenate(held)) < 0.999


@pytest.mark.parametrize("dark", [False, True])
def test_the_corners_of_a_screen_are_found_to_a_pixel(dark: bool) -> None:
    rng = np.random.default_rng(5 + dark)
    seen = photographed(rng, by_matplotlib(rng, dark, 2, 2.0))
    found = find_corners(seen.pixels)
    assert found is not None and seen.corners is not None
    assert np.abs(found - seen.corners).max() < 1.5


def test_a_screen_shot_has_no_corners() -> None:
    assert find_corners(by_pillow(np.random.default_rng(1), False, 1, 3).pixels) is None
