"""The athlete's body points in the frames of a film, fifteen times a second."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.detecting.landmarks import Landmarks
from analysis.body.detecting.models import BodyModels
from analysis.body.detecting.region import Image, Region
from analysis.body.detecting.side import ROWS, Side, doubt_of, near_side, sd_of, stature_px
from analysis.body.detecting.tracking import PersonTracker, Seen
from analysis.body.track import POINTS, Click
from analysis.signals.signal import FloatArray

# The networks' error is a bias that stays from frame to frame: more frames do not lessen it, but
# they say better when the hands turn.
RATE_HZ: Final = 15.0
# So many frames with the athlete in them say which side is the near one.
_VOTES: Final = 10
_MOST_WAITING: Final = 60  # frames, where the athlete is lost for long
_LEAST_OF_BODY: Final = 0.6
# Both networks are asked in one of so many frames that are looked at, the quick one alone in the
# others. What the two disagree about is a bias that changes slowly: how sure a point is runs
# between, and a quick reading is put right by the median of the differences nearest to it.
BEST_EVERY: Final = 3
# In a film of a few strokes nothing averages out, and all looks by both networks cost little.
SHORT_S: Final = 20.0
_DIFFERENCES: Final = 4
_OF_QUICK: Final = 2.0  # a quick reading counts as one of so many times the deviation
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
class _Asked:
    """What two networks said of the points of one frame.

    Attributes
    ----------
    gap : (K,) how far they disagree, shares of stature
    more_px : (K, 2) from where the quick one puts a point to where the best one does
    """

    time_s: float
    gap: FloatArray
    more_px: FloatArray


def due(time_s: Sequence[float] | FloatArray, rate_hz: float = RATE_HZ) -> NDArray[np.bool_]:
    """Tell which of a film's frames are to be looked at: the first of each fifteenth of a second.

    Parameters
    ----------
    time_s : (N,) seconds, ascending
    """
    step = np.floor(np.asarray(time_s, dtype=float) * rate_hz + 1e-6)
    return np.diff(step, prepend=-np.inf) > 0.0


def best_every(film_s: float) -> int:
    """In which of the looks at a film of so many seconds both networks are asked: every n-th."""
    return 1 if film_s <= SHORT_S else BEST_EVERY


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
    the others some frames later, when both networks were asked again.

    Parameters
    ----------
    frames : seconds of the film, ascending, and upright pictures, red green blue bytes
    clicks, side : as of `PointFinder`
    cancelled : asked before each frame; what was found until then has been given
    progress : told the time of each frame that is done, seconds
    """
    finder = PointFinder(models, clicks, side)
    for time_s, image in _due_only(frames, rate_hz):
        if cancelled():
            return
        finder.look(time_s, image)
        progress(time_s)
        yield from finder.taken()
    finder.end()
    yield from finder.taken()


class PointFinder:
    """Finds the athlete's near side in the frames it is handed, in their order.

    Parameters
    ----------
    clicks : a hip and a head of one frame say who the athlete is; without them the surest person
        of the first frame is followed
    side : the athlete's side that faces the camera; None finds out
    every : both networks are asked in one of so many looks; see `best_every`
    """

    def __init__(
        self,
        models: BodyModels,
        clicks: Sequence[Click] = (),
        side: Side | None = None,
        every: int = BEST_EVERY,
    ) -> None:
        self._tracker = PersonTracker(models, clicks)
        self._two = models.second is not None
        self._side = side
        self._waiting: list[_Looked] = []
        self._asked: list[_Asked] = []
        self._found: list[DetectedFrame] = []
        self._every = every
        self._quick = every  # frames since the best network was asked

    def look(self, time_s: float, image: Image) -> None:
        """Look at a frame that is `due`: seconds of the film, red green blue bytes."""
        best = not self._two or self._quick + 1 >= self._every
        seen = self._tracker.look(time_s, image, best)
        asked = seen is not None and seen.of_best
        self._quick = 0 if asked else self._quick + 1
        self._waiting.append(_Looked(time_s, seen, image.shape[1], image.shape[0]))
        self._side = self._side or _decided(self._waiting, _VOTES)
        if self._side is not None and (asked or len(self._waiting) > _MOST_WAITING):
            self._finish(self._side, not self._two or len(self._waiting) > _MOST_WAITING)

    def end(self) -> None:
        """Say that no more frames come."""
        self._finish(self._side or _decided(self._waiting, 1) or "left", True)

    def taken(self) -> list[DetectedFrame]:
        """Give what was found and not given before."""
        found, self._found = self._found, []
        return found

    def _finish(self, side: Side, all_of_them: bool) -> None:
        """Put in order the frames that lie among enough differences; the others go on waiting."""
        rows = list(ROWS[side])
        told = self._asked[-1].time_s if self._asked else -np.inf
        for one in self._waiting:
            if one.time_s > told and one.seen is not None and one.seen.second is not None:
                self._asked.append(_asked_of(one.time_s, one.seen, one.seen.second, rows))
        enough = len(self._asked) >= _DIFFERENCES
        until = self._asked[-_DIFFERENCES // 2].time_s if enough else -np.inf
        ready = [one for one in self._waiting if all_of_them or one.time_s < until]
        self._found += [_frame(one, rows, self._asked) for one in ready]
        self._waiting = self._waiting[len(ready) :]
        self._asked = self._asked[-2 * _DIFFERENCES :]


def _asked_of(time_s: float, seen: Seen, second: Landmarks, rows: list[int]) -> _Asked:
    points, other = seen.points.xy_px[rows], second.xy_px[rows]
    return _Asked(time_s, doubt_of(points, other, _stature_px(seen, points)), points - other)


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


def _stature_px(seen: Seen, points: FloatArray) -> float:
    # Limbs that point at the camera look short, and would make everything look sure.
    return max(stature_px(points), _LEAST_OF_BODY * seen.region.body_px)


def _frame(looked: _Looked, rows: list[int], asked: Sequence[_Asked]) -> DetectedFrame:
    xy_px = np.full((len(POINTS), 2), np.nan)
    sd_px, doubt = np.full(len(POINTS), np.nan), np.full(len(POINTS), np.nan)
    seen = looked.seen
    if seen is None:
        return DetectedFrame(looked.time_s, xy_px, sd_px, doubt, None)
    points, gap = seen.points.xy_px[rows], np.full(_BODY, np.nan)
    if asked:
        at_s = np.array([one.time_s for one in asked])
        gaps = np.array([one.gap for one in asked])
        gap = np.array([np.interp(looked.time_s, at_s, row) for row in gaps.T])
    times = 1.0
    if asked and not seen.of_best:
        near = np.argsort(np.abs(at_s - looked.time_s), kind="stable")[:_DIFFERENCES]
        points = points + np.median([asked[i].more_px for i in near], axis=0)
        times = _OF_QUICK
    last = (looked.width - 1, looked.height - 1)
    outside: NDArray[np.bool_] = np.any((points < 0.0) | (points > last), axis=1)
    xy_px[:_BODY] = np.where(outside[:, None], np.nan, points)
    sd_px[:_BODY] = np.where(outside, np.nan, times * sd_of(gap, _stature_px(seen, points)))
    doubt[:_BODY] = np.where(outside, np.nan, gap)
    return DetectedFrame(looked.time_s, xy_px, sd_px, doubt, seen.region)
