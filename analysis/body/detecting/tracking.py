"""Staying with one person from frame to frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.body.detecting.landmarks import Landmarker, Landmarks, seen_in
from analysis.body.detecting.models import BodyModels
from analysis.body.detecting.region import Image, Region, checked, clicked_regions
from analysis.body.track import Click

# Below that the network says nobody is there.
_LEAST_PRESENCE: Final = 0.5
# Nobody's hips move further within a step, in sides of their region; it is somebody else then.
_FURTHEST_STEP: Final = 0.4
_LONGEST_STEP_S: Final = 0.35
# For so long a lost person is looked for near where they were.
_WAIT_S: Final = 1.0
# A click counts for the frames so near to it.
_AT_CLICK_S: Final = 0.05
_LEAST_SIDE_PX: Final = 16.0


@dataclass(frozen=True, eq=False)
class Seen:
    """What the networks made of one frame.

    Attributes
    ----------
    points : of the best network, or of the quick one where that alone was asked
    second : the quick one's on the same pixels where both were asked
    region : where they looked
    of_best : whether `points` are the best network's
    """

    points: Landmarks
    second: Landmarks | None
    region: Region
    of_best: bool = True


class PersonTracker:
    """Looks for the points of one person in frames that follow each other.

    Where hip and head were clicked the region comes from them; then from the points of the frame
    before; where the person is lost, from the person nearest to where they were.
    """

    def __init__(self, models: BodyModels, clicks: Sequence[Click] = ()) -> None:
        self._models = models
        self._clicked = clicked_regions(clicks)
        self._next: Region | None = None
        self._last: Region | None = None
        self._last_s = -np.inf
        self._cut: tuple[Region | None, NDArray[np.float32]] = (None, np.zeros(0, np.float32))

    def look(self, time_s: float, image: Image, best: bool = True) -> Seen | None:
        """Find the person in the frame at `time_s`; None where they are not found.

        Parameters
        ----------
        best : whether to ask both networks; else the quick one alone is asked, where there is one
            and the person was there in the frame before
        """
        seen = None if best else self._quickly(time_s, image)
        if seen is not None:
            return seen
        seen = self._looked(time_s, image)
        other = self._models.second
        if seen is None or other is None:
            return seen
        # On the very pixels the first network saw.
        region, cut = self._cut
        if region is not seen.region:
            cut = seen_in(checked(image), seen.region)
        return replace(seen, second=other.find_in(cut, seen.region))

    def _quickly(self, time_s: float, image: Image) -> Seen | None:
        """Ask the quick network where the person must be; None where that says nothing."""
        quick = self._models.second
        if quick is None or self._next is None or self._clicked_at(time_s) is not None:
            return None
        seen = self._seen(checked(image), self._next, quick)
        if seen is None or self._jumped(time_s, seen.points.region):
            return None
        return self._keep(time_s, replace(seen, of_best=False))

    def _looked(self, time_s: float, image: Image) -> Seen | None:
        image = checked(image)
        clicked = self._clicked_at(time_s)
        if clicked is None and self._next is not None:
            seen = self._seen(image, self._next)
            if seen is not None and not self._jumped(time_s, seen.points.region):
                return self._keep(time_s, seen)
        region = clicked or self._found_again(time_s, image)
        if region is None and self._clicked:
            region = min(self._clicked, key=lambda pair: abs(pair[0] - time_s))[1]
        seen = None if region is None else self._seen(image, region)
        if seen is not None and self._clicked and seen.points.region is not None:
            # A click says roughly how large somebody is; their own points say it better.
            seen = self._seen(image, seen.points.region) or seen
        if seen is None or (clicked is None and self._jumped(time_s, seen.points.region)):
            self._next = None
            return None
        return self._keep(time_s, seen)

    def _keep(self, time_s: float, seen: Seen) -> Seen:
        self._next, self._last_s = seen.points.region, time_s
        self._last = seen.points.region or seen.region
        return seen

    def _clicked_at(self, time_s: float) -> Region | None:
        near = [pair for pair in self._clicked if abs(pair[0] - time_s) <= _AT_CLICK_S]
        return min(near, key=lambda pair: abs(pair[0] - time_s))[1] if near else None

    def _found_again(self, time_s: float, image: Image) -> Region | None:
        """Where the person may be, without the points of the frame before."""
        if self._last is None and self._clicked:
            return None  # the click knows who it is
        people = self._models.people.people(image)
        last = self._last
        if last is None or (not self._clicked and time_s - self._last_s > _WAIT_S):
            return people[0].region if people else None
        away = [(_apart(last, one.region), one.region) for one in people]
        near = [pair for pair in away if pair[0] <= last.side_px * _FURTHEST_STEP]
        return min(near, key=lambda pair: pair[0])[1] if near else None

    def _seen(self, image: Image, region: Region, by: Landmarker | None = None) -> Seen | None:
        """Ask a network, the best one if none is named; None where nobody is there."""
        if not _within(region, image):
            return None
        cut = seen_in(image, region)
        self._cut = region, cut
        points = (by or self._models.points).find_in(cut, region)
        if not points.presence > _LEAST_PRESENCE or not np.isfinite(points.xy_px).all():
            return None
        return Seen(points, None, region)

    def _jumped(self, time_s: float, region: Region | None) -> bool:
        if region is None or self._last is None or time_s - self._last_s > _LONGEST_STEP_S:
            return False
        return _apart(self._last, region) > _FURTHEST_STEP * self._last.side_px


def _apart(one: Region, other: Region) -> float:
    return float(np.hypot(one.x_px - other.x_px, one.y_px - other.y_px))


def _within(region: Region, image: Image) -> bool:
    """Whether a region's centre is in the picture, and its size one that a person can have."""
    height, width = image.shape[:2]
    inside = 0.0 <= region.x_px <= width and 0.0 <= region.y_px <= height
    return inside and _LEAST_SIDE_PX <= region.side_px <= 8.0 * max(width, height)
