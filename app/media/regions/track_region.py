"""A region a hand marked on some frames of a film, followed through all of its frames."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from app.media.errors import MediaError
from app.media.opencv import opencv
from app.media.regions.follow import Follower, Grey, Spot
from app.media.video import VideoFile

# A face of this many pixels shows enough corners; larger only takes longer.
_LOOK_PX = 44.0
_LONGEST_SIDE_PX = 1280
_CHUNK = 45  # frames held at a time, and the length of a way there and back
_AGREE = 0.35  # of the region's size: ways from both sides that end so near to each other agree
_WIDE_S = 0.15  # before and after an unsure moment the region stays as wide as in it


def track_region(
    film: VideoFile,
    hand: Mapping[int, Spot],
    first: int,
    last: int,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> list[Spot]:
    """Follow a region through frames `first` to `last`, both included.

    From every frame a hand marked it is followed both ways. Between two of them the ways have to
    agree. Where it is not recognised, or they do not, the spot is not sure and its reach says how
    far away the region may be.

    Parameters
    ----------
    film : without a veil
    hand : frame number -> where the hand put the region, pixels of the upright film; at least one
    progress : called with a share from 0 to 1
    cancelled : asked at every frame; True stops with a MediaError

    Returns
    -------
    list of Spot
        One a frame.

    Raises
    ------
    MediaError
        The film cannot be read, or it was stopped.
    """
    tracker = _Tracker(film, hand, progress, cancelled)
    marked = sorted(i for i in hand if first <= i <= last) or [
        min(hand, key=lambda i: max(first - i, i - last))
    ]
    spots = {i: hand[i] for i in marked}
    low, high = min(first, marked[0]), max(last, marked[-1])
    tracker.plan(2 * (marked[-1] - marked[0]) + (marked[0] - low) + (high - marked[-1]))
    spots |= tracker.way(marked[0], low)
    for one, other in pairwise(marked):
        spots |= _joined(one, other, tracker.way(one, other), tracker.way(other, one), hand)
    spots |= tracker.way(marked[-1], high)
    return _widened([spots[i] for i in range(first, last + 1)], film.fps)


class _Tracker:
    """Ways through one film, at a size that is quick to look at."""

    def __init__(
        self,
        film: VideoFile,
        hand: Mapping[int, Spot],
        progress: Callable[[float], None] | None,
        cancelled: Callable[[], bool] | None,
    ) -> None:
        self._film, self._hand = film, hand
        self._progress, self._cancelled = progress, cancelled
        smallest = min(min(s.w_px, s.h_px) for s in hand.values())
        longest = max(film.width, film.height)
        scale = min(1.0, _LOOK_PX / max(smallest, 1.0), _LONGEST_SIDE_PX / longest)
        self._box = (max(16, round(film.width * scale)), max(16, round(film.height * scale)))
        self._scale = 1.0
        self._planned, self._done = 1, 0

    def plan(self, frames: int) -> None:
        """Say how many frames will be looked at, for the progress."""
        self._planned = max(1, frames)

    def way(self, begin: int, end: int) -> dict[int, Spot]:
        """Follow the region from a marked frame to another, that one included."""
        if begin == end:
            return {}
        frame = self._frame(begin)
        self._scale = frame.shape[1] / self._film.width
        follower = Follower(frame, self._hand[begin].scaled(self._scale))
        spots: dict[int, Spot] = {}
        for numbers in _chunks(begin, end):
            # Decoding runs forwards only, so a way back in time is read chunk by chunk.
            frames = {i: self._next(i) for i in sorted(numbers)}
            found = follower.through([frames[i] for i in numbers])
            spots |= {
                i: spot.scaled(1.0 / self._scale) for i, spot in zip(numbers, found, strict=True)
            }
        return spots

    def _next(self, i: int) -> Grey:
        if self._cancelled is not None and self._cancelled():
            raise MediaError("Following was stopped; nothing was changed.")
        self._done += 1
        if self._progress is not None and self._done % 10 == 0:
            self._progress(min(1.0, self._done / self._planned))
        return self._frame(i)

    def _frame(self, i: int) -> Grey:
        cv2 = opencv()
        grey = cv2.cvtColor(self._film.frame_bgra(i, *self._box), cv2.COLOR_BGRA2GRAY)
        return np.asarray(cv2.GaussianBlur(grey, (3, 3), 0), np.uint8)


def _chunks(begin: int, end: int) -> Iterator[Sequence[int]]:
    step = 1 if end > begin else -1
    numbers = range(begin + step, end + step, step)
    for k in range(0, len(numbers), _CHUNK):
        yield numbers[k : k + _CHUNK]


def _joined(
    one: int, other: int, there: dict[int, Spot], back: dict[int, Spot], hand: Mapping[int, Spot]
) -> dict[int, Spot]:
    """Make one way of two that run towards each other between two marked frames."""
    spots = {other: hand[other]}
    for i in range(one + 1, other):
        share = (i - one) / (other - one)
        w = hand[one].w_px + share * (hand[other].w_px - hand[one].w_px)
        h = hand[one].h_px + share * (hand[other].h_px - hand[one].h_px)
        spots[i] = replace(_agreed(there[i], back[i], share), w_px=w, h_px=h)
    return spots


def _agreed(a: Spot, b: Spot, share: float) -> Spot:
    apart = float(np.hypot(a.x_px - b.x_px, a.y_px - b.y_px))
    if a.sure != b.sure:
        return a if a.sure else b
    if not a.sure:
        return a if a.reach_px <= b.reach_px else b
    x, y = a.x_px + share * (b.x_px - a.x_px), a.y_px + share * (b.y_px - a.y_px)
    if apart <= _AGREE * max(a.w_px, a.h_px):
        return replace(a, x_px=x, y_px=y)
    return replace(a, x_px=x, y_px=y, reach_px=apart, sure=False)


def _widened(spots: list[Spot], fps: float) -> list[Spot]:
    """Let the reach of an unsure frame hold a little before and after it."""
    around = max(1, round(_WIDE_S * fps))
    reach = np.array([s.reach_px for s in spots])
    padded = np.pad(reach, around)
    wide = np.lib.stride_tricks.sliding_window_view(padded, 2 * around + 1).max(axis=1)
    return [replace(s, reach_px=float(r)) for s, r in zip(spots, wide, strict=True)]
