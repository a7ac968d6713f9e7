"""A region followed from frame to frame by what it looks like, with a word on how sure that is.

Corners inside it are followed by pyramidal optical flow and back again (Bouguet 2001; the check
there and back: Kalal, Mikolajczyk, Matas 2010, ICPR); the place they point to is held against
pictures of the region taken earlier. What fails either check is not believed.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.media.opencv import opencv

Grey = NDArray[np.uint8]

# All by trial on a published clip (tests/benchmarks/region_tracking.py), no source.
_ALIKE = 0.62  # correlation with an earlier picture from which the region is believed
_SURELY = 0.82  # correlation needed to find it again after it was lost
_SCENERY = 0.85  # a place that looked so much like this before is a piece of the wall
_ANEW = 0.85  # a picture less alike than this to all others is kept as one more
_PICTURES = 6
_CORNERS = 40
_FEWEST = 6
_THERE_AND_BACK_PX = 0.8
_LOOK_BACK = 15  # frames from which a speed is taken
_LEAST_SPEED = 0.08  # of the region's size a frame: what it may do unseen at least
_HOME = 0.35  # of its size: how near to where it began the way back has to end
_FLAT = 2.0  # grey levels of contrast below which a picture tells nothing
_NARROW = 0.8  # the inner part, which holds little of what stands behind


@dataclass(frozen=True)
class Spot:
    """Where a region is on one frame.

    Attributes
    ----------
    x_px, y_px : its middle, pixels of the frame it is given in
    w_px, h_px : its size
    reach_px : how much further it may be on every side; 0 where it is sure
    sure : whether what is there was recognised
    """

    x_px: float
    y_px: float
    w_px: float
    h_px: float
    reach_px: float = 0.0
    sure: bool = True

    def scaled(self, by: float) -> Spot:
        """The same in pixels of another size."""
        return Spot(
            self.x_px * by, self.y_px * by, self.w_px * by, self.h_px * by, self.reach_px * by,
            self.sure,
        )  # fmt: skip


class Follower:
    """Follows a region from the frame where a hand put it, through others in order.

    Parameters
    ----------
    frame : (h, w) uint8, where the hand put it
    start : where that is, in its pixels
    """

    def __init__(self, frame: Grey, start: Spot) -> None:
        self._chain = _Chain(frame, start)
        self._last = frame

    @property
    def spot(self) -> Spot:
        """Where it is on the last frame."""
        return self._chain.at

    def through(self, frames: Sequence[Grey]) -> list[Spot]:
        """Where the region is on each of the next frames, forwards or backwards in time.

        While it is not recognised its reach grows with every frame by how fast it has been seen to
        move. Then the way is gone back from the last frame: where that ends elsewhere than it
        began, something else was followed, and all of it becomes unsure.
        """
        begin, first = self._chain.at, self._last
        spots = []
        for frame in frames:
            spots.append(self._chain.step(self._last, frame))
            self._last = frame
        if not spots or not spots[-1].sure or not begin.sure:
            return spots
        back = [spots[-1]]
        chain = _Chain(frames[-1], spots[-1])
        whole = [first, *frames]
        for k in range(len(frames) - 1, -1, -1):
            back.append(chain.step(whole[k + 1], whole[k]))
        miss = _apart(back[-1], begin)
        if back[-1].sure and miss <= _HOME * max(begin.w_px, begin.h_px):
            return spots
        return self._doubted(spots, back)

    def _doubted(self, spots: list[Spot], back: list[Spot]) -> list[Spot]:
        """The spots with a reach that covers where the way back went."""
        doubted = []
        for spot, other in zip(spots, reversed(back[:-1]), strict=True):
            reach = max(spot.reach_px, _apart(spot, other) + other.reach_px)
            doubted.append(replace(spot, reach_px=reach, sure=False))
        self._chain.doubt(max(d.reach_px for d in doubted))
        return doubted


def _apart(one: Spot, other: Spot) -> float:
    return float(np.hypot(one.x_px - other.x_px, one.y_px - other.y_px))


class _Chain:
    """What is known of the region so far."""

    def __init__(self, frame: Grey, start: Spot) -> None:
        self._cv2: Any = opencv()
        self.at = start
        self._first = _look(frame, start)
        self._begun = (frame, start)
        self._seen = self._begun  # the last frame it was sure on, and where
        self._pictures: deque[_Look] = deque(maxlen=_PICTURES)
        self._speeds: deque[float] = deque(maxlen=_LOOK_BACK)
        self._size = max(start.w_px, start.h_px)

    def doubt(self, reach_px: float) -> None:
        """What was followed may be something else: only the first picture counts from here."""
        self._pictures.clear()
        self._seen = self._begun
        self.at = replace(self.at, reach_px=reach_px, sure=False)

    def step(self, before: Grey, frame: Grey) -> Spot:
        """Say where the region is on the next frame."""
        at = self.at
        moved = self._flow(before, frame, at) if at.sure else None
        if moved is not None:
            guess = replace(at, x_px=at.x_px + moved[0], y_px=at.y_px + moved[1])
            spot, alike = self._match(frame, guess, 0.12 * self._size, self._bank)
            if alike >= _ALIKE:
                return self._believe(frame, spot, alike)
        around = at.reach_px + 2.0 * self._speed
        spot, alike = self._match(frame, at, around, self._bank)
        if alike >= _SURELY and not self._is_scenery(frame, spot):
            return self._believe(frame, spot, alike)
        reach = min(at.reach_px + self._speed, float(max(frame.shape)))
        self.at = replace(at, reach_px=reach, sure=False)
        return self.at

    def _is_scenery(self, frame: Grey, spot: Spot) -> bool:
        """Whether a place looked the same while the region was seen elsewhere."""
        before, there = self._seen
        if _apart(spot, there) < 0.6 * self._size:
            return False
        now = _look(frame, spot)
        _, alike = self._match(before, spot, 2.0, (now,))
        return alike >= _SCENERY

    @property
    def _bank(self) -> tuple[_Look, ...]:
        return (self._first, *self._pictures)

    @property
    def _speed(self) -> float:
        """Pixels a frame the region may move unseen."""
        seen = max(self._speeds, default=0.0)
        return max(1.5 * seen, _LEAST_SPEED * self._size)

    def _believe(self, frame: Grey, spot: Spot, alike: float) -> Spot:
        if self.at.sure:
            self._speeds.append(_apart(spot, self.at))
        self.at = spot
        self._seen = (frame, spot)
        if _ALIKE + 0.1 <= alike < _ANEW:
            self._pictures.append(_look(frame, spot))
        return spot

    def _flow(self, before: Grey, frame: Grey, at: Spot) -> tuple[float, float] | None:
        """How far the corners of the region moved; None where too few agree there and back."""
        left, top, right, bottom = _window(before, at, 3.0 * self._size)
        one, other = before[top:bottom, left:right], frame[top:bottom, left:right]
        if min(one.shape) < 16:
            return None
        mask = np.zeros(one.shape, np.uint8)
        axes = (max(2, round(0.5 * _NARROW * at.w_px)), max(2, round(0.5 * _NARROW * at.h_px)))
        middle = (round(at.x_px - left), round(at.y_px - top))
        self._cv2.ellipse(mask, middle, axes, 0.0, 0.0, 360.0, 255, -1)
        corners = self._cv2.goodFeaturesToTrack(one, _CORNERS, 0.01, 2, mask=mask)
        if corners is None or len(corners) < _FEWEST:
            return None
        setting = {"winSize": (15, 15), "maxLevel": 3}
        there, found, _ = self._cv2.calcOpticalFlowPyrLK(one, other, corners, None, **setting)
        back, found_back, _ = self._cv2.calcOpticalFlowPyrLK(other, one, there, None, **setting)
        miss = np.linalg.norm((back - corners).reshape(-1, 2), axis=1)
        good = (found.ravel() == 1) & (found_back.ravel() == 1) & (miss < _THERE_AND_BACK_PX)
        moved = (there - corners).reshape(-1, 2)[good]
        if len(moved) < max(_FEWEST, 0.3 * len(corners)):
            return None
        middle_move = np.median(moved, axis=0)
        apart = np.linalg.norm(moved - middle_move, axis=1)
        agree = apart < 1.5 + 0.15 * float(np.linalg.norm(middle_move))
        if agree.sum() < max(_FEWEST, 0.5 * len(moved)):
            return None
        x, y = moved[agree].mean(axis=0)
        return float(x), float(y)

    def _match(
        self, frame: Grey, guess: Spot, around_px: float, looks: tuple[_Look, ...]
    ) -> tuple[Spot, float]:
        """The place around a guess that looks most like one of the pictures, and how alike."""
        best, where = -1.0, guess
        for look in looks:
            high, wide = look.picture.shape
            x0, y0 = guess.x_px - look.dx, guess.y_px - look.dy
            left, top = max(0, round(x0 - around_px)), max(0, round(y0 - around_px))
            right, bottom = round(x0 + wide + around_px) + 1, round(y0 + high + around_px) + 1
            area = frame[top : max(top, bottom), left : max(left, right)]
            if look.flat or area.shape[0] < high or area.shape[1] < wide:
                continue
            score = self._cv2.matchTemplate(area, look.picture, self._cv2.TM_CCOEFF_NORMED)
            _, most, _, (x, y) = self._cv2.minMaxLoc(score)
            if np.isfinite(most) and most > best:
                best = float(most)
                where = replace(
                    guess, x_px=left + x + look.dx, y_px=top + y + look.dy, reach_px=0.0, sure=True
                )
        return where, best


@dataclass(frozen=True)
class _Look:
    """What a region looked like once: its inner part, and where in that its middle is."""

    picture: Grey
    dx: float
    dy: float
    flat: bool


def _look(frame: Grey, spot: Spot) -> _Look:
    height, width = frame.shape
    across, down = max(4.0, _NARROW * spot.w_px), max(4.0, _NARROW * spot.h_px)
    left = min(max(0, round(spot.x_px - 0.5 * across)), width)
    top = min(max(0, round(spot.y_px - 0.5 * down)), height)
    right = min(max(left, round(spot.x_px + 0.5 * across)), width)
    bottom = min(max(top, round(spot.y_px + 0.5 * down)), height)
    picture = frame[top:bottom, left:right].copy()
    flat = picture.size == 0 or float(picture.std()) < _FLAT
    return _Look(picture, spot.x_px - left, spot.y_px - top, flat)


def _window(frame: Grey, at: Spot, side: float) -> tuple[int, int, int, int]:
    height, width = frame.shape
    left = min(max(0, round(at.x_px - 0.5 * side)), width)
    top = min(max(0, round(at.y_px - 0.5 * side)), height)
    right = min(max(left, round(at.x_px + 0.5 * side)), width)
    return left, top, right, min(max(top, round(at.y_px + 0.5 * side)), height)
