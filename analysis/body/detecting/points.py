"""The athlete's body points in the frames of a film, ten times a second."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.detecting.models import BodyModels
from analysis.body.detecting.region import Image, Region
from analysis.body.detecting.side import ROWS, Side, doubt_of, near_side, sd_of, stature_px
from analysis.body.detecting.tracking import PersonTracker, Seen
from analysis.body.track import POINTS, Click
from analysis.signals.signal import FloatArray

# The networks' error is a bias that stays from frame to frame: more frames do not lessen it.
RATE_HZ: Final = 10.0
# So many frames with the athlete in them say which side is the near one.
_VOTES: Final = 10
_LEAST_OF_BODY: Final = 0.6
_BODY: Final = len(ROWS["left"])


@dataclass(frozen=True, eq=False)
class DetectedFrame:
    """What was found in one frame; K points in the order of `POINTS`, handle and seat unknown.

    Attributes
    ----------
    time_s : of the frame, seconds of the film
    xy_px : (K, 2) pixels of the upright picture; NaN where not found or outside of it
    sd_px : (K,) standard deviation of each coordinate, pixels; NaN where not found
    doubt : (K,) how far two networks disagree, in shares of stature; NaN where only one was asked
    region : where the person was looked for; None where nobody was found
    """

    time_s: float
    xy_px: FloatArray
    sd_px: FloatArray
    doubt: FloatArray
    region: Region | None


@dataclass(frozen=True, eq=False)
class _Looked:
    """A frame that was looked at: what was seen, and the picture's size in pixels."""

    time_s: float
    seen: Seen | None
    width: int
    height: int


def due(time_s: Sequence[float] | FloatArray, rate_hz: float = RATE_HZ) -> NDArray[np.bool_]:
    """Tell which of a film's frames are to be looked at: the first of each tenth of a second.

    Parameters
    ----------
    time_s : (N,) seconds, ascending
    """
    step = np.floor(np.asarray(time_s, dtype=float) * rate_hz + 1e-6)
    return np.diff(step, prepend=-np.inf) > 0.0


def detect_points(
    frames: Iterable[tuple[float, Image]],
    models: BodyModels,
    clicks: Sequence[Click] = (),
    side: Side | None = None,
    rate_hz: float = RATE_HZ,
    cancelled: Callable[[], bool] = lambda: False,
    progress: Callable[[float], None] = lambda time_s: None,
) -> Iterator[DetectedFrame]:
    """Find the athlete's near side in the frames of a film.

    Frames between those that are `due` are passed over; a caller saves the decoding of them by
    not giving them. Points are given as they are found, the first once the near side is known.

    Parameters
    ----------
    frames : seconds of the film, ascending, and upright pictures, red green blue bytes
    clicks : a hip and a head of one frame say who the athlete is; without them the surest person
        of the first frame is followed
    side : the athlete's side that faces the camera; None finds out
    cancelled : asked before each frame; what was found until then has been given
    progress : told the time of each frame that is done, seconds
    """
    tracker = PersonTracker(models, clicks)
    waiting: list[_Looked] = []
    for time_s, image in _due_only(frames, rate_hz):
        if cancelled():
            return
        waiting.append(_Looked(time_s, tracker.look(time_s, image), image.shape[1], image.shape[0]))
        progress(time_s)
        side = side or _decided(waiting, _VOTES)
        if side is not None:
            for one in waiting:
                yield _found(one, side)
            waiting.clear()
    side = side or _decided(waiting, 1) or "left"
    for one in waiting:
        yield _found(one, side)


def _due_only(
    frames: Iterable[tuple[float, Image]], rate_hz: float
) -> Iterator[tuple[float, Image]]:
    last = -np.inf
    for time_s, image in frames:
        step = np.floor(time_s * rate_hz + 1e-6)
        if step > last:
            last = step
            yield time_s, image


def _decided(looked: Sequence[_Looked], least: int) -> Side | None:
    found = [one.seen.points for one in looked if one.seen is not None]
    return near_side(found) if len(found) >= least else None


def _found(looked: _Looked, side: Side) -> DetectedFrame:
    """Put the points of one side into the order of `POINTS`."""
    xy_px = np.full((len(POINTS), 2), np.nan)
    sd_px, doubt = np.full(len(POINTS), np.nan), np.full(len(POINTS), np.nan)
    seen = looked.seen
    if seen is None:
        return DetectedFrame(looked.time_s, xy_px, sd_px, doubt, None)
    rows = list(ROWS[side])
    points = seen.points.xy_px[rows]
    # Limbs that point at the camera look short, and would make everything look sure.
    stature = max(stature_px(points), _LEAST_OF_BODY * seen.region.body_px)
    gap = doubt_of(points, None if seen.second is None else seen.second.xy_px[rows], stature)
    last = (looked.width - 1, looked.height - 1)
    outside: NDArray[np.bool_] = np.any((points < 0.0) | (points > last), axis=1)
    xy_px[:_BODY] = np.where(outside[:, None], np.nan, points)
    sd_px[:_BODY] = np.where(outside, np.nan, sd_of(gap, stature))
    doubt[:_BODY] = np.where(outside, np.nan, gap)
    return DetectedFrame(looked.time_s, xy_px, sd_px, doubt, seen.region)
