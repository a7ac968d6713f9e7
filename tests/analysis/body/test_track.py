"""Points of the body over time."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.body.track import POINTS, BodyTrack


def test_a_point_is_given_by_its_name() -> None:
    xy_px = np.arange(2 * len(POINTS) * 2, dtype=float).reshape(2, len(POINTS), 2)
    sd_px = np.ones((2, len(POINTS)))
    track = BodyTrack(np.array([0.0, 0.1]), xy_px, sd_px, np.zeros(sd_px.shape, np.uint8))
    assert track.of("knee").tolist() == [[2.0, 3.0], [20.0, 21.0]]


def test_rows_that_do_not_belong_together_are_refused() -> None:
    sd_px = np.ones((2, len(POINTS)))
    source = np.zeros(sd_px.shape, np.uint8)
    with pytest.raises(ValueError, match="one row a frame"):
        BodyTrack(np.array([0.0]), np.zeros((2, len(POINTS), 2)), sd_px, source)
    with pytest.raises(ValueError, match="uncertainty"):
        BodyTrack(np.zeros(2), np.zeros((2, len(POINTS), 2)), sd_px[:1], source)
