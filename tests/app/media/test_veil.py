"""What is hidden is gone from the numbers, and only there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from app.media.opencv import opencv
from app.media.veil import BLOCKS, Patch, veiled
from app.media.video import VideoFile
from tests.helpers.clips import needs_ffmpeg

PATCH = Patch(100.0, 60.0, 60.0, 48.0)


def noise(width: int = 200, height: int = 120, channels: int = 3) -> np.ndarray:
    return np.random.default_rng(3).integers(0, 256, (height, width, channels), dtype=np.uint8)


def away(width: int = 200, height: int = 120) -> np.ndarray:
    y, x = np.mgrid[0:height, 0:width] + 0.5
    return np.hypot((x - PATCH.x_px) / 30.0, (y - PATCH.y_px) / 24.0)


@pytest.mark.parametrize("channels", [3, 4])
def test_detail_is_destroyed_inside_and_nothing_changes_outside(channels: int) -> None:
    image = noise(channels=channels)
    hidden = veiled(image, (PATCH,), (200, 120))
    assert np.array_equal(hidden[away() > 1.21], image[away() > 1.21])
    inside = away() < 0.95
    change = np.abs(np.diff(hidden[..., 0].astype(int), axis=1))[:, :][inside[:, 1:]]
    assert change.max() <= 12, "no edge is left"
    plain = np.corrcoef(hidden[inside][:, 0], image[inside][:, 0])[0, 1]
    assert abs(plain) < 0.25


def test_no_more_is_left_than_a_few_blocks() -> None:
    """Two pictures whose blocks have the same means are hidden alike to a step of the levels."""
    y, x = np.mgrid[0:120, 0:200]
    fine = np.where((x + y) % 2, 200, 40).astype(np.uint8)
    flat = np.full_like(fine, 120)
    hide = [veiled(np.repeat(i[..., None], 3, 2), (PATCH,), (200, 120)) for i in (fine, flat)]
    inside = away() < 1.0
    assert np.abs(hide[0][inside].astype(int) - hide[1][inside]).max() <= 8
    assert BLOCKS <= 8


def test_shrunk_pictures_are_hidden_at_the_same_place() -> None:
    image = noise()
    small = opencv().resize(image, (100, 60), interpolation=opencv().INTER_AREA)
    hidden = veiled(small, (PATCH,), (200, 120))
    changed = np.abs(hidden.astype(int) - small).max(axis=2) > 8
    y, x = np.nonzero(changed)
    assert abs(x.mean() - 50) < 2 and abs(y.mean() - 30) < 2
    assert 24 <= np.ptp(x) <= 40


@pytest.mark.parametrize(
    "patch",
    [Patch(-500, -500, 10, 10), Patch(100, 60, 1e9, 1e9), Patch(0, 0, 30, 30), Patch(9, 9, 0.0, 1)],
)
def test_patches_beyond_the_picture_do_no_harm(patch: Patch) -> None:
    image = noise()
    hidden = veiled(image, (patch,), (200, 120))
    assert hidden.shape == image.shape
    if patch.w_px > 1000:
        assert hidden.std() < 20, "a patch larger than the picture hides all of it"


@needs_ffmpeg
def test_every_way_a_picture_leaves_a_film_is_hidden(clip: Callable[[str], Path]) -> None:
    path = clip("rot90")
    with VideoFile.open(path) as plain:
        size = (plain.width, plain.height)
    hide = Patch(size[0] / 2, size[1] / 2, 60.0, 60.0)
    with (
        VideoFile.open(path) as plain,
        VideoFile.open(path, veil=lambda t: (hide,) if t >= 0.5 else ()) as film,
        film.another() as twin,
    ):
        for i in (0, 20, 40):
            wanted = veiled(plain.frame_rgb(i), (hide,) if i >= 15 else (), size)
            assert np.array_equal(film.frame_rgb(i), wanted)
            assert np.array_equal(twin.frame_rgb(i), wanted)
            small = veiled(plain.frame_bgra(i, 90, 90), (hide,) if i >= 15 else (), size)
            assert np.array_equal(film.frame_bgra(i, 90, 90), small)
            assert np.array_equal(film.finish(film.small(i, 90, 90)), small)
