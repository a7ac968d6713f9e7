"""What was read from the pictures of a film: all that a further click does not change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.body.track import FIXED_POINTS, POINTS, Click, Source
from analysis.signals.signal import FloatArray

BODY_POINTS = 7  # the first of `POINTS`; handle and seat follow
NO_FRAMES = "The film has no frames to follow the body in; choose another stretch of it."


class FollowingError(ValueError):
    """The body cannot be followed. The message is one sentence for the user."""


class FollowingCancelledError(Exception):
    """The user stopped the work; nothing of it was kept."""


@dataclass(frozen=True, eq=False)
class Detections:
    """Points a detector found in some frames; K points in the order of `POINTS`.

    Attributes
    ----------
    time_s : (N,) seconds of the film, ascending
    xy_px : (N, K, 2) upright picture; NaN where not found
    sd_px : (N, K) standard deviation of each coordinate, NaN where not found
    """

    time_s: FloatArray
    xy_px: FloatArray
    sd_px: FloatArray


@dataclass(frozen=True, eq=False)
class Observed:
    """Readings of each point in each of T frames, before anything is made of them.

    Attributes
    ----------
    time_s : (T,) seconds of the film, strictly ascending
    xy_px : (T, K, 2) in each frame's own pixels; NaN where nothing was read
    sd_px : (T, K) of each coordinate as the reader states it; NaN where nothing was read
    source : (T, K) uint8, `Source` of each reading
    phase : (T,) strokes since the first turn; NaN before the first and after the last turn
    steady : (T, 2, 3) to the pixels of the first frame, or None where the camera stood still
    picture_px : width and height of the upright picture; None where it was not noted
    """

    time_s: FloatArray
    xy_px: FloatArray
    sd_px: FloatArray
    source: NDArray[np.uint8]
    phase: FloatArray
    steady: FloatArray | None = None
    picture_px: tuple[int, int] | None = None

    @property
    def steadied_px(self) -> FloatArray:
        """(T, K, 2) the readings in pixels of the first frame."""
        return steadied(self.xy_px, self.steady)


def known_places(xy_px: FloatArray) -> NDArray[np.bool_]:
    """Where both coordinates of places (..., 2) are known: (...,)."""
    return np.asarray(np.isfinite(xy_px).all(axis=-1), dtype=np.bool_)


def nothing_observed(time_s: FloatArray) -> Observed:
    """Give the observations of frames in which nothing was read yet."""
    if len(time_s) == 0:
        raise FollowingError(NO_FRAMES)
    shape = (len(time_s), len(POINTS))
    return Observed(
        np.asarray(time_s, dtype=np.float64),
        np.full((*shape, 2), np.nan),
        np.full(shape, np.nan),
        np.zeros(shape, np.uint8),
        np.full(len(time_s), np.nan),
    )


def put_detections(observed: Observed, detections: Detections) -> None:
    """Write detections of body points into the frames they were made in, in place."""
    at = nearest_frames(observed.time_s, detections.time_s)
    body = slice(0, BODY_POINTS)
    for row, frame in zip(range(len(detections.time_s)), at, strict=True):
        if frame < 0:
            continue
        found = np.isfinite(detections.xy_px[row, body]).all(axis=-1)
        found &= np.isfinite(detections.sd_px[row, body])
        points = np.flatnonzero(found)
        observed.xy_px[frame, points] = detections.xy_px[row, points]
        observed.sd_px[frame, points] = detections.sd_px[row, points]
        observed.source[frame, points] = Source.DETECTOR


def nearest_frames(time_s: FloatArray, wanted_s: FloatArray) -> NDArray[np.intp]:
    """Frame nearest to each wanted time, -1 where none is within three quarters of a frame."""
    wanted_s = np.asarray(wanted_s, dtype=np.float64)
    right = np.clip(np.searchsorted(time_s, wanted_s), 0, len(time_s) - 1)
    left = np.maximum(right - 1, 0)
    at = np.where(wanted_s - time_s[left] < time_s[right] - wanted_s, left, right)
    step = float(np.median(np.diff(time_s))) if len(time_s) > 1 else 0.04
    return np.where(np.abs(time_s[at] - wanted_s) <= 0.75 * step, at, -1)


def steadied(xy_px: FloatArray, steady: FloatArray | None) -> FloatArray:
    """Take points (T, K, 2) of T frames to the pixels of the first frame."""
    if steady is None:
        return xy_px
    turned: FloatArray = np.einsum("tij,tkj->tki", steady[:, :, :2], xy_px)
    return turned + steady[:, None, :, 2]


def unsteadied(xy_px: FloatArray, steady: FloatArray | None) -> FloatArray:
    """Take points (T, K, 2) in pixels of the first frame back to those of T frames."""
    if steady is None:
        return xy_px
    back = np.linalg.inv(steady[:, :, :2])
    moved: FloatArray = np.einsum("tij,tkj->tki", back, xy_px - steady[:, None, :, 2])
    return moved


def click_rows(
    time_s: FloatArray, clicks: Sequence[Click]
) -> tuple[NDArray[np.intp], NDArray[np.intp], FloatArray]:
    """Give frame (C,), point (C,) and place (C, 2) px of the clicks on moving points.

    Clicks on no frame of the film are left out; of two in one place the last counts.
    """
    kept: dict[tuple[int, int], tuple[float, float]] = {}
    frames = nearest_frames(time_s, np.array([c.time_s for c in clicks]))
    for click, frame in zip(clicks, frames, strict=True):
        if frame >= 0 and click.point not in FIXED_POINTS:
            kept[int(frame), POINTS.index(click.point)] = (click.x_px, click.y_px)
    at = np.array(list(kept), dtype=np.intp).reshape(-1, 2)
    return at[:, 0], at[:, 1], np.array(list(kept.values())).reshape(-1, 2)
