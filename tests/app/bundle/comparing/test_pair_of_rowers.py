"""Two films of one rower, from file to clip, read back from the pixels."""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.comparison_end_to_end import clicked, in_the_clip
from tests.helpers.filmed_rowers import Filmed, film_rower
from tests.helpers.pair_read import PairsApart, pairs_apart


@pytest.fixture(scope="module")
def films(tmp_path_factory: pytest.TempPathFactory) -> tuple[Filmed, Filmed]:
    """One rower at 18 a minute, and at 32 mirrored, at 0.6 of the size and shifted."""
    folder = tmp_path_factory.mktemp("rowers")
    slow = film_rower(folder, 18.0, strokes=3, which=0, width=640)
    return slow, film_rower(folder, 32.0, strokes=3, which=0, second=True, width=640)


@pytest.fixture(scope="module")
def apart(films: tuple[Filmed, Filmed], tmp_path_factory: pytest.TempPathFactory) -> PairsApart:
    comparison = clicked(*films, slip_px=0.0, seed=1)
    out = tmp_path_factory.mktemp("clip") / "pair.mp4"
    return pairs_apart(*films, in_the_clip(*films, comparison, out))


def test_the_frames_shown_are_half_a_frame_apart_at_most(apart: PairsApart) -> None:
    assert len(apart.frames) > 90
    # Whole frames leave half of one; the events are found on a noisy force of 100 samples a second.
    assert np.abs(apart.frames).max() <= 0.5 + 0.2
    assert np.percentile(np.abs(apart.frames), 95) <= 0.5
    assert np.abs(apart.floor).max() <= 0.5


def test_the_bodies_lie_where_they_were(apart: PairsApart) -> None:
    for name, laid in apart.laid_px.items():
        assert laid.max() <= 1.5, name
    assert apart.apart_px["stretcher"].max() <= 1.0
