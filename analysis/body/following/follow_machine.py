"""Handle, seat and what stands still, followed in a film whose athlete was followed before."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from analysis.body.following.frames import FrameReader, Image, walk
from analysis.body.following.observed import FollowingError, Observed
from analysis.body.following.rigid_point import RigidPoint, rigid_point
from analysis.body.following.standing_still import held_still
from analysis.body.track import FIXED_POINTS, POINTS, Click, Source

MOVING = ("handle", "seat")
MACHINE_POINTS = (*MOVING, *FIXED_POINTS)
OTHER_FRAMES = (
    "This film shows other frames than the one in which the body was followed; follow it again."
)


def follow_machine(
    read: FrameReader,
    observed: Observed,
    clicks: Sequence[Click],
    *,
    cancelled: Callable[[], bool],
    progress: Callable[[float], None],
) -> Observed:
    """Follow the clicked points of the machine through the frames that were read before.

    Handle and seat get readings of their own. Points that do not move tell what is left of the
    camera's motion, which is taken out of all. What was not clicked stays as it was.

    Raises
    ------
    FollowingCancelledError
        `cancelled` said so.
    FollowingError
        These are not the frames that were read before.
    """
    points = [p for p in (rigid_point(read, clicks, n) for n in MACHINE_POINTS) if p is not None]
    if not points or len(observed.time_s) == 0:
        return observed
    first_s = float(observed.time_s[0])
    for point in points:
        if not any(t.only_one for t in point.follower.templates):
            point.look_back(read, first_s, cancelled)
    walked = _Walk(observed, points)
    end_s = float(observed.time_s[-1]) + 1e-6
    for time_s, image in walk(read, (first_s, end_s), cancelled, progress):
        walked.step(time_s, image)
    progress(1.0)
    return walked.observed()


class _Walk:
    """One walk through the frames that were read before."""

    def __init__(self, observed: Observed, points: list[RigidPoint]) -> None:
        self._before, self.points = observed, points
        self._time_s: list[float] = []
        self._size = (0, 0)

    def step(self, time_s: float, image: Image) -> None:
        """Find every point in the next frame."""
        self._time_s.append(time_s)
        self._size = (image.shape[1], image.shape[0])
        for point in self.points:
            point.step(time_s, image)

    def observed(self) -> Observed:
        """Give the readings with those of the machine."""
        before = self._before
        read_s = np.array(self._time_s)
        same = len(read_s) == len(before.time_s) and np.allclose(read_s, before.time_s, atol=1e-6)
        if not same:
            raise FollowingError(OTHER_FRAMES)
        after = replace(
            before,
            xy_px=before.xy_px.copy(), sd_px=before.sd_px.copy(), source=before.source.copy(),
            picture_px=self._size,
        )  # fmt: skip
        for point in self.points:
            if point.name in MOVING:
                at = POINTS.index(point.name)
                after.xy_px[:, at], after.sd_px[:, at] = np.nan, np.nan
                after.source[:, at] = Source.UNKNOWN
                point.write(after)
        still = {p.name: p.places_px for p in self.points if p.name in FIXED_POINTS}
        return replace(after, steady=held_still(before.time_s, before.steady, still, self._size[0]))
