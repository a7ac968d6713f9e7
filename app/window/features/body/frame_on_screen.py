"""The frame on screen, and where the points of the body are on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from analysis.body.track import FIXED_POINTS, POINTS, Source
from app.review.parts.body import SAME_MOMENT_S, BodyClick
from app.scene.skeleton import SHOWN, Joint, joints_at
from app.submission.body import placed_clicks
from app.window.session.review_session import ReviewSession
from app.window.views.picture import PictureView

if TYPE_CHECKING:
    from analysis.body.track import BodyTrack

MOVING = ("handle", "seat")
MACHINE = (*MOVING, *FIXED_POINTS)


class FrameOnScreen:
    """Which moment is seen, and the joints there: as followed, or as they were placed."""

    def __init__(self, session: ReviewSession, picture: PictureView) -> None:
        self._session, self._picture = session, picture

    def moment(self) -> float | None:
        """Video seconds of the frame on screen."""
        footage, frame = self._session.footage, self._picture.frame
        if footage is None or frame is None or frame.index >= len(footage.index):
            return None
        return float(footage.index.time_s[frame.index])

    def placed(self) -> dict[str, BodyClick]:
        """The points that were placed on this frame, by name."""
        now_s = self.moment()
        if now_s is None:
            return {}
        return {
            click.point: click
            for click in self._session.state.body_clicks
            if not click.pointed and abs(click.video_s - now_s) < SAME_MOMENT_S
        }

    def joints(self) -> dict[str, Joint]:
        """The joints of this frame that are known."""
        now_s, body = self.moment(), self._session.submission.body
        if now_s is None or body is None:
            return {}
        found = joints_at(body.track, now_s)
        for name, click in self.placed().items():
            if name in SHOWN:  # at once where the hand put it, before all is worked out anew
                found[name] = Joint(click.x_px, click.y_px, 0.0, by_hand=True)
        return found

    def machine(self) -> dict[str, Joint]:
        """The points of the machine in this frame that are known."""
        now_s, body = self.moment(), self._session.submission.body
        if now_s is None or body is None:
            return {}
        placed = placed_clicks(self._session.state)
        found = machine_at(body.track, now_s, placed)
        for name, click in self.placed().items():
            if name in MACHINE:
                found[name] = Joint(click.x_px, click.y_px, 0.0, by_hand=True)
        return found


def machine_at(track: BodyTrack, time_s: float, clicks: Sequence[BodyClick]) -> dict[str, Joint]:
    """Handle and seat at a moment as followed, and what stands still as the camera shows it."""
    from analysis.body.following.observed import unsteadied
    from analysis.body.following.view_from import fixed_places
    from analysis.body.track import Click

    at = int(np.argmin(np.abs(track.time_s - time_s)))
    found: dict[str, Joint] = {}
    for name in MOVING:
        (x, y), sd = track.of(name)[at], track.sd_px[at, POINTS.index(name)]
        if np.isfinite((x, y, sd)).all():
            by_hand = track.source[at, POINTS.index(name)] == Source.HAND
            found[name] = Joint(float(x), float(y), float(sd), bool(by_hand))
    placed = [Click(c.video_s, c.point, c.x_px, c.y_px) for c in clicks]
    still = None if track.steady is None else track.steady[at : at + 1]
    for name, place in fixed_places(track, placed).items():
        x, y = unsteadied(np.array([[place]]), still)[0, 0]
        found[name] = Joint(float(x), float(y), 0.0)
    return found
