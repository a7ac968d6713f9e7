"""The frame on screen, and where the points of the body are on it."""

from __future__ import annotations

from app.review.parts.body import SAME_MOMENT_S, BodyClick
from app.scene.skeleton import SHOWN, Joint, joints_at
from app.window.session.review_session import ReviewSession
from app.window.views.picture import PictureView


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
