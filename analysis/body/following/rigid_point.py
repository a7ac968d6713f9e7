"""A feature of the machine, clicked in one frame or more, in all frames of a film."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from analysis.body.following.frames import FrameReader, Image, frame_at, walk
from analysis.body.following.observed import Observed
from analysis.body.following.rigid import Match, RigidFollower, Template, cut_template
from analysis.body.track import POINTS, Click, Source
from analysis.signals.signal import FloatArray

# Half the side of a template and how far up and down it is looked for, shares of picture height.
_RADIUS = {"handle": 1 / 60, "seat": 1 / 30}
_ROOM = {"handle": 0.15, "seat": 0.05}
_FIXED_RADIUS, _FIXED_ROOM = 1 / 40, 0.06  # of what does not move but with the camera
_REACH = 0.03  # of the picture's width, from where it is expected in the next frame
_BACK_S = 1.0  # followed backwards at once; only a strip of each frame is kept


class RigidPoint:
    """One feature of the machine, with the clicks it is known from."""

    def __init__(
        self, name: str, clicks: list[tuple[float, Click]], follower: RigidFollower, room_px: int
    ) -> None:
        self.name, self.room_px = name, room_px
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
                for t, image in walk(read, (begin_s, end_s), cancelled, lambda _share: None)
            ]
            for time_s, strip in reversed(strips):
                match = follower.step(-time_s, strip)
                if match is not None:
                    self.before[time_s] = replace(match, y_px=match.y_px + top)
            end_s = begin_s

    def step(self, time_s: float, image: Image) -> None:
        """Find it in the next frame."""
        for k, (at_s, click) in enumerate(self.clicks):
            if at_s == time_s:
                self.follower.put(time_s, click.x_px, click.y_px, k)
        found = self.follower.step(time_s, image)
        self.found.append(found if found is not None else self.before.get(time_s))

    def write(self, observed: Observed) -> None:
        """Put what was found of handle or seat into the observations, in place."""
        point = POINTS.index(self.name)
        for frame, match in enumerate(self.found):
            if match is not None:
                observed.xy_px[frame, point] = (match.x_px, match.y_px)
                observed.sd_px[frame, point] = match.sd_px
                observed.source[frame, point] = Source.FLOW

    @property
    def places_px(self) -> FloatArray:
        """(T, 2) where it was found, in each frame's own pixels; NaN where it was not."""
        nowhere = (np.nan, np.nan)
        return np.array([nowhere if m is None else (m.x_px, m.y_px) for m in self.found]).reshape(
            -1, 2
        )


def rigid_point(read: FrameReader, clicks: Sequence[Click], name: str) -> RigidPoint | None:
    """Give what follows one feature; None where it was not clicked, or shows nothing to follow."""
    kept: list[tuple[float, Click]] = []
    share_r, share_y = _RADIUS.get(name, _FIXED_RADIUS), _ROOM.get(name, _FIXED_ROOM)
    templates: list[Template] = []
    width, height = 0, 0
    for click in clicks:
        if click.point != name:
            continue
        frame = frame_at(read, click.time_s)
        if frame is None:
            continue
        height, width = frame[1].shape
        radius, room = round(height * share_r), height * share_y
        template = cut_template(frame[1], click.x_px, click.y_px, radius, room)
        if template is not None:
            kept.append((frame[0], click))
            templates.append(template)
    if not templates:
        return None
    y = np.array([click.y_px for _, click in kept])
    room = height * share_y
    home = (0.0, float(y.min()) - room, width - 1.0, float(y.max()) + room)
    return RigidPoint(name, kept, RigidFollower(templates, _REACH * width, home), round(room) + 40)
