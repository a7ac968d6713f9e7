"""The way in: from frames, clicks and detections to a track of the body."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.body.following.carrying import carry
from analysis.body.following.coarse import Thumbnails, phase_of_thumbnails
from analysis.body.following.estimate import Settings, estimate
from analysis.body.following.frames import FrameReader, Image, walk
from analysis.body.following.observed import (
    BODY_POINTS,
    Detections,
    Observed,
    known_places,
    nothing_observed,
    put_detections,
)
from analysis.body.following.rigid_point import rigid_point
from analysis.body.following.steadying import Steadier
from analysis.body.following.turns import phase_of_points
from analysis.body.track import POINTS, BodyTrack, Click

MACHINE = ("handle", "seat")
_MARGIN = 0.12  # of its size, around all that is known of the athlete
_FIRST_PASS = 0.6  # of the work, where there is a second one


def never() -> bool:
    """Nobody wants the work stopped."""
    return False


def silent(share: float) -> None:
    """Nobody wants to know how far the work is."""


@dataclass(frozen=True, eq=False)
class Followed:
    """A track, and what it was made of: `refine` needs that after a further click."""

    track: BodyTrack
    observed: Observed


def follow(
    read: FrameReader,
    span_s: tuple[float, float],
    clicks: Sequence[Click],
    detections: Detections | None = None,
    *,
    all_found: Callable[[], Detections] | None = None,
    cancelled: Callable[[], bool] = never,
    progress: Callable[[float], None] = silent,
) -> Followed:
    """Follow athlete, handle and seat through a stretch of film.

    Parameters
    ----------
    read : gives frames; called several times, and never keeps more than a few frames
    span_s : the stretch, seconds of the film
    clicks : placed by hand; handle and seat are only followed where they were clicked
    detections : of body points, or None where there is no detector
    all_found : gives all of them once the last frame was read, where `detections` are only the
        first ones

    Raises
    ------
    FollowingCancelledError
        `cancelled` said so.
    FollowingError
        The stretch has no frames.
    """
    observed = observe(
        read, span_s, clicks, detections,
        all_found=all_found, cancelled=cancelled, progress=progress,
    )  # fmt: skip
    return Followed(estimate(observed, clicks), observed)


def refine(
    observed: Observed, clicks: Sequence[Click], settings: Settings | None = None
) -> BodyTrack:
    """Estimate anew after a click, from what was read before; no picture is needed."""
    return estimate(observed, clicks, settings)


def observe(
    read: FrameReader,
    span_s: tuple[float, float],
    clicks: Sequence[Click],
    detections: Detections | None = None,
    *,
    all_found: Callable[[], Detections] | None = None,
    cancelled: Callable[[], bool] = never,
    progress: Callable[[float], None] = silent,
) -> Observed:
    """Read from the pictures all that `estimate` needs; see `follow`."""
    by_hand = all_found is None and (detections is None or len(detections.time_s) == 0)
    share = _FIRST_PASS if by_hand else 1.0
    reader = _FirstPass(read, clicks, detections)
    reader.look_back(read, span_s[0], cancelled)
    for time_s, image in walk(read, span_s, cancelled, lambda s: progress(share * s)):
        reader.step(time_s, image)
    observed = reader.observed(detections if all_found is None else all_found())
    if by_hand:
        observed = carry(
            read, observed, clicks, cancelled, lambda s: progress(share + (1.0 - share) * s)
        )
    progress(1.0)
    return observed


class _FirstPass:
    """What one walk through the frames gives: the camera's motion, handle and seat, the phase."""

    def __init__(
        self, read: FrameReader, clicks: Sequence[Click], detections: Detections | None
    ) -> None:
        self.clicks = clicks
        self.steadier = Steadier(_moving(clicks, detections))
        self.time_s: list[float] = []
        self.thumbnails = Thumbnails()
        self.rigid = [
            r for r in (rigid_point(read, clicks, name) for name in MACHINE) if r is not None
        ]
        self.size = (0, 0)

    def look_back(self, read: FrameReader, start_s: float, cancelled: Callable[[], bool]) -> None:
        for one in self.rigid:
            if not any(t.only_one for t in one.follower.templates):
                one.look_back(read, start_s, cancelled)

    def step(self, time_s: float, image: Image) -> None:
        self.size = (image.shape[1], image.shape[0])
        self.time_s.append(time_s)
        self.steadier.step(image)
        self.thumbnails.add(image)
        for one in self.rigid:
            one.step(time_s, image)

    def observed(self, detections: Detections | None) -> Observed:
        observed = nothing_observed(np.array(self.time_s))
        if detections is not None:
            put_detections(observed, detections)
        for one in self.rigid:
            one.write(observed)
        observed = replace(
            observed,
            steady=self.steadier.result().matrices(*self.size),
            picture_px=self.size,
        )
        phase = phase_of_points(observed.time_s, observed.steadied_px)
        if not np.isfinite(phase).any():
            phase = phase_of_thumbnails(observed.time_s, self.thumbnails, self.clicks)
        return replace(observed, phase=phase)


def _moving(
    clicks: Sequence[Click], detections: Detections | None
) -> tuple[tuple[float, float, float, float], ...]:
    """Box around all that is known of the athlete, in pixels; () where too little is."""
    places = [np.array([(c.x_px, c.y_px) for c in clicks if c.point in POINTS]).reshape(-1, 2)]
    if detections is not None:
        found = detections.xy_px.reshape(-1, 2)
        found = found[known_places(found)]
        if len(found):
            # A few detections may be anywhere.
            places.append(np.percentile(found, (1.0, 99.0), axis=0))
    at = np.vstack(places)
    if len(at) < BODY_POINTS // 2:
        return ()
    low, high = at.min(axis=0), at.max(axis=0)
    room = _MARGIN * float((high - low).max())
    return ((float(low[0] - room), float(low[1] - room),
             float(high[0] + room), float(high[1] + room)),)  # fmt: skip
