"""The way in: from frames, clicks and detections to a track of the body."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.body.following.carrying import carry
from analysis.body.following.coarse import Thumbnails, phase_of_thumbnails
from analysis.body.following.estimate import Settings, estimate
from analysis.body.following.frames import FrameReader, Image, frame_at, walk
from analysis.body.following.observed import (
    BODY_POINTS,
    Detections,
    Observed,
    known_places,
    nothing_observed,
    put_detections,
)
from analysis.body.following.rigid import Match, RigidFollower, Template, cut_template
from analysis.body.following.steadying import Steadier
from analysis.body.following.turns import phase_of_points
from analysis.body.track import POINTS, BodyTrack, Click, Source

MACHINE = ("handle", "seat")
# Half the side of a template and how far up and down it is looked for, shares of picture height.
_RADIUS = {"handle": 1 / 60, "seat": 1 / 30}
_ROOM = {"handle": 0.15, "seat": 0.05}
_REACH = 0.03  # of the picture's width, from where it is expected in the next frame
_MARGIN = 0.12  # of its size, around all that is known of the athlete
_BACK_S = 1.0  # followed backwards at once; only a strip of each frame is kept
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

    Raises
    ------
    FollowingCancelledError
        `cancelled` said so.
    FollowingError
        The stretch has no frames.
    """
    observed = observe(read, span_s, clicks, detections, cancelled=cancelled, progress=progress)
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
    cancelled: Callable[[], bool] = never,
    progress: Callable[[float], None] = silent,
) -> Observed:
    """Read from the pictures all that `estimate` needs; see `follow`."""
    by_hand = detections is None or len(detections.time_s) == 0
    share = _FIRST_PASS if by_hand else 1.0
    reader = _FirstPass(read, clicks, detections)
    reader.look_back(read, span_s[0], cancelled)
    for time_s, image in walk(read, span_s, cancelled, lambda s: progress(share * s)):
        reader.step(time_s, image)
    observed = reader.observed()
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
        self.clicks, self.detections = clicks, detections
        self.steadier = Steadier(_moving(clicks, detections))
        self.time_s: list[float] = []
        self.thumbnails = Thumbnails()
        self.rigid = [r for r in (_rigid(read, clicks, name) for name in MACHINE) if r is not None]
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

    def observed(self) -> Observed:
        observed = nothing_observed(np.array(self.time_s))
        if self.detections is not None:
            put_detections(observed, self.detections)
        for one in self.rigid:
            one.write(observed)
        observed = replace(observed, steady=self.steadier.result().matrices(*self.size))
        phase = phase_of_points(observed.time_s, observed.steadied_px)
        if not np.isfinite(phase).any():
            phase = phase_of_thumbnails(observed.time_s, self.thumbnails, self.clicks)
        return replace(observed, phase=phase)


class _Rigid:
    """One feature of the machine, with the clicks it is known from."""

    def __init__(
        self, name: str, clicks: list[tuple[float, Click]], follower: RigidFollower, room_px: int
    ) -> None:
        self.point, self.room_px = POINTS.index(name), room_px
        self.clicks, self.follower = clicks, follower
        self.found: list[Match | None] = []
        self.before: dict[float, Match] = {}

    def look_back(self, read: FrameReader, start_s: float, cancelled: Callable[[], bool]) -> None:
        """Follow it from its first click backwards, some frames at a time.

        What has doubles cannot be found before it was clicked in any other way.
        """
        first_s, click = min(self.clicks, key=lambda c: c[0])
        follower = RigidFollower(self.follower.templates, self.follower.reach_px)
        top = max(round(click.y_px) - self.room_px, 0)
        follower.put(-first_s, click.x_px, click.y_px - top, self.clicks.index((first_s, click)))
        end_s = first_s
        while end_s > start_s:
            begin_s = max(end_s - _BACK_S, start_s)
            bottom = round(click.y_px) + self.room_px
            strips = [
                (t, image[top:bottom].copy())
                for t, image in walk(read, (begin_s, end_s), cancelled, silent)
            ]
            for time_s, strip in reversed(strips):
                match = follower.step(-time_s, strip)
                if match is not None:
                    self.before[time_s] = replace(match, y_px=match.y_px + top)
            end_s = begin_s

    def step(self, time_s: float, image: Image) -> None:
        for k, (at_s, click) in enumerate(self.clicks):
            if at_s == time_s:
                self.follower.put(time_s, click.x_px, click.y_px, k)
        found = self.follower.step(time_s, image)
        self.found.append(found if found is not None else self.before.get(time_s))

    def write(self, observed: Observed) -> None:
        for frame, match in enumerate(self.found):
            if match is not None:
                observed.xy_px[frame, self.point] = (match.x_px, match.y_px)
                observed.sd_px[frame, self.point] = match.sd_px
                observed.source[frame, self.point] = Source.FLOW


def _rigid(read: FrameReader, clicks: Sequence[Click], name: str) -> _Rigid | None:
    kept: list[tuple[float, Click]] = []
    templates: list[Template] = []
    width, height = 0, 0
    for click in clicks:
        if click.point != name:
            continue
        frame = frame_at(read, click.time_s)
        if frame is None:
            continue
        height, width = frame[1].shape
        radius, room = round(height * _RADIUS[name]), height * _ROOM[name]
        template = cut_template(frame[1], click.x_px, click.y_px, radius, room)
        if template is not None:
            kept.append((frame[0], click))
            templates.append(template)
    if not templates:
        return None
    y = np.array([click.y_px for _, click in kept])
    room = height * _ROOM[name]
    home = (0.0, float(y.min()) - room, width - 1.0, float(y.max()) + room)
    return _Rigid(name, kept, RigidFollower(templates, _REACH * width, home), round(room) + 40)


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
