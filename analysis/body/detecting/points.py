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
_MOST_WAITING: Final = 60  # frames, where the athlete is lost for long
_LEAST_OF_BODY: Final = 0.6
# The second network is asked in one of so many frames that are looked at. What the two disagree
# about is a bias that changes slowly: it is interpolated between.
SECOND_EVERY: Final = 3
_BODY: Final = len(ROWS["left"])


@dataclass(frozen=True, eq=False)
class DetectedFrame:
    """What was found in one frame; K points in the order of `POINTS`, handle and seat unknown.

    Attributes
    ----------
    time_s : of the frame, seconds of the film
    xy_px : (K, 2) pixels of the upright picture; NaN where not found or outside of it
    sd_px : (K,) standard deviation of each coordinate, pixels; NaN where not found
    doubt : (K,) how far two networks disagree, in shares of stature, interpolated between the
        frames in which both were asked; NaN where there is one only
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


@dataclass(frozen=True, eq=False)
class _Doubt:
    """How far the networks disagree on each point of one frame, shares of stature: (K,)."""

    time_s: float
    gap: FloatArray


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
    not giving them. Points are given as they are found, the first once the near side is known and
    the others some frames later, when the second network was asked again.

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
    last: _Doubt | None = None
    alone = SECOND_EVERY  # frames since the second network was asked
    for time_s, image in _due_only(frames, rate_hz):
        if cancelled():
            return
        seen = tracker.look(time_s, image, alone + 1 >= SECOND_EVERY)
        both = seen is not None and seen.second is not None
        alone = 0 if both else alone + 1
        waiting.append(_Looked(time_s, seen, image.shape[1], image.shape[0]))
        progress(time_s)
        side = side or _decided(waiting, _VOTES)
        if side is not None and (both or models.second is None or len(waiting) > _MOST_WAITING):
            found, last = _found(waiting, side, last)
            yield from found
            waiting.clear()
    yield from _found(waiting, side or _decided(waiting, 1) or "left", last)[0]


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


def _found(
    waiting: Sequence[_Looked], side: Side, last: _Doubt | None
) -> tuple[list[DetectedFrame], _Doubt | None]:
    """Put the points of one side into the order of `POINTS`, with what both networks left open.

    Parameters
    ----------
    last : where both were asked last before these frames

    Returns
    -------
    The frames, and where both were asked last now.
    """
    rows = list(ROWS[side])
    asked = [] if last is None else [last]
    for one in waiting:
        if one.seen is not None and one.seen.second is not None:
            points = one.seen.points.xy_px[rows]
            gap = doubt_of(points, one.seen.second.xy_px[rows], _stature_px(one.seen, points))
            asked.append(_Doubt(one.time_s, gap))
    found = [_frame(one, rows, _between(asked, one.time_s)) for one in waiting]
    return found, asked[-1] if asked else None


def _between(asked: Sequence[_Doubt], time_s: float) -> FloatArray:
    """How far the networks disagree at a moment, by the moments around it."""
    if not asked:
        return np.full(_BODY, np.nan)
    at_s = [one.time_s for one in asked]
    return np.array([np.interp(time_s, at_s, gaps) for gaps in np.array([a.gap for a in asked]).T])


def _stature_px(seen: Seen, points: FloatArray) -> float:
    # Limbs that point at the camera look short, and would make everything look sure.
    return max(stature_px(points), _LEAST_OF_BODY * seen.region.body_px)


def _frame(looked: _Looked, rows: list[int], gap: FloatArray) -> DetectedFrame:
    xy_px = np.full((len(POINTS), 2), np.nan)
    sd_px, doubt = np.full(len(POINTS), np.nan), np.full(len(POINTS), np.nan)
    seen = looked.seen
    if seen is None:
        return DetectedFrame(looked.time_s, xy_px, sd_px, doubt, None)
    points = seen.points.xy_px[rows]
    last = (looked.width - 1, looked.height - 1)
    outside: NDArray[np.bool_] = np.any((points < 0.0) | (points > last), axis=1)
    xy_px[:_BODY] = np.where(outside[:, None], np.nan, points)
    sd_px[:_BODY] = np.where(outside, np.nan, sd_of(gap, _stature_px(seen, points)))
    doubt[:_BODY] = np.where(outside, np.nan, gap)
    return DetectedFrame(looked.time_s, xy_px, sd_px, doubt, seen.region)
