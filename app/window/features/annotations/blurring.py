"""Hiding faces: the selected region, what is done to it, and the job that follows it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPointF, QRectF

from app.review.parts.blur import BlurKey, BlurRegion, gaps, hand_key, new_region, region_at
from app.review.parts.blurs import AddBlur, FollowBlur, PlaceBlur, RemoveBlur, SpanBlur
from app.review.parts.state import ReviewState
from app.window.features.annotations.drawing import STEP_SHARE
from app.window.features.annotations.pen import Pen
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer
from app.window.views.picture import PictureView

if TYPE_CHECKING:
    from app.window.features.annotations.blur_follow import Followed

USUAL_SHARE = 0.11  # of the picture's height: a face in footage that shows a whole rower
NO_FOOTAGE = "Open footage first; a face is marked on its picture."
NONE_HERE = (
    "There is no blurred face on this frame; drag around one, or choose Blur at the pointer."
)


class Blurring(Pen):
    """Turns what a hand marks into changes of the review, and has faces followed."""

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        picture: PictureView,
        jobs: Jobs,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(session, messages, parent)
        self._playhead = playhead
        self._picture = picture
        self._jobs = jobs
        self._gesture = ""
        self._job: Job | None = None
        session.state_changed.connect(self._take_state)

    @property
    def regions(self) -> tuple[BlurRegion, ...]:
        """The faces the review hides."""
        return self._session.state.blurs

    @property
    def selected(self) -> BlurRegion | None:
        """The region chosen; the only one without choosing."""
        regions = self.regions
        chosen = next((r for r in regions if r.id == self._chosen), None)
        return chosen or (regions[0] if regions else None)

    def moment(self) -> float | None:
        """Video seconds of the frame on screen."""
        footage, frame = self._session.footage, self._picture.frame
        if footage is None or frame is None or frame.index >= len(footage.index):
            return None
        return float(footage.index.time_s[frame.index])

    def toggle(self) -> None:
        """Begin to mark faces with the mouse, or leave it."""
        if self._on:
            self.stop()
        elif self.moment() is None or self._session.review is None:
            self._messages.warn(NO_FOOTAGE)
        else:
            self._turn(True)
            self._messages.say("Drag around a face. It is followed; drag it where it is wrong.")

    def choose_next(self) -> None:
        """Select the next region."""
        regions, now = self.regions, self.selected
        if now is None:
            self._messages.say(NONE_HERE)
            return
        if len(regions) == 1:
            self._messages.say("This is the only blurred face.")
        self.choose(regions[(regions.index(now) + 1) % len(regions)].id)

    def mark(self, x_px: float, y_px: float, w_px: float, h_px: float) -> None:
        """Hide one more face, marked on the frame on screen, and follow it."""
        now_s = self.moment()
        if now_s is None:
            self._messages.warn(NO_FOOTAGE)
            return
        region = new_region(now_s, x_px, y_px, w_px, h_px)
        self._session.do(AddBlur(region))
        self.choose(region.id)
        self.follow()

    def place_here(self) -> None:
        """Put the selected region at the pointer, or a new one where there is none."""
        size, view = self._picture.source_size, self._picture
        if self.moment() is None or size is None:
            self._messages.warn(NO_FOOTAGE)
            return
        pointer = QPointF(view.mapFromGlobal(view.cursor().pos()))
        inside = QRectF(view.rect()).contains(pointer) and view.picture_rect().contains(pointer)
        x, y = view.to_video(pointer if inside else QPointF(view.rect().center()))
        key = self.here()
        if key is not None:
            self.begin_drag()
            self.place(x, y, key.w_px, key.h_px)
            self.follow()
            return
        high = USUAL_SHARE * size.height()
        self.mark(x, y, 0.8 * high, high)

    def here(self) -> BlurKey | None:
        """Where the selected region is on the frame on screen."""
        region, now_s = self.selected, self.moment()
        return None if region is None or now_s is None else region_at(region, now_s)

    def begin_drag(self, gesture: str = "") -> None:
        """The next places are one drag, and one undo step; so are those of one `gesture`."""
        super().begin_drag()
        self._gesture = gesture or f"drag {self._drags}"
        if self._job is not None:
            self._job.cancel()  # it follows from places that are being changed
            self._job = None

    def place(self, x_px: float, y_px: float, w_px: float, h_px: float) -> None:
        """Put the selected region elsewhere on this frame; `follow` when the hand lets go."""
        region, now_s = self.selected, self.moment()
        if region is None or now_s is None:
            return
        key = hand_key(now_s, x_px, y_px, w_px, h_px)
        self._session.do(PlaceBlur(region.id, key, self._gesture))

    def nudge(self, dx: int, dy: int) -> None:
        """Move the selected region a little, to the side as seen."""
        size = self._picture.source_size
        self._renew(dx, dy, 1.0, 0.0 if size is None else STEP_SHARE * size.height())

    def resize(self, by: float) -> None:
        """Make the selected region larger or smaller on this frame."""
        self._renew(0, 0, by, 0.0)

    def _renew(self, dx: int, dy: int, by: float, step_px: float) -> None:
        key = self.here()
        if key is None:
            self._messages.say(NONE_HERE)
            return
        x, y = self._picture.step_in_video(dx, dy)
        self.begin_drag(f"nudge {self.moment()}")
        self.place(
            key.x_px + x * step_px,
            key.y_px + y * step_px,
            key.w_px * by,
            key.h_px * by,
        )
        self.follow()

    def span_from(self) -> None:
        """Hide the selected face from this frame on."""
        region, now_s = self.selected, self.moment()
        if region is not None and now_s is not None:
            end = region.end_s if region.end_s is not None and region.end_s >= now_s else None
            self._span(region, now_s, end)

    def span_to(self) -> None:
        """Hide the selected face up to this frame."""
        region, now_s = self.selected, self.moment()
        if region is not None and now_s is not None:
            start = (
                region.start_s if region.start_s is not None and region.start_s <= now_s else None
            )
            self._span(region, start, now_s)

    def span_whole(self) -> None:
        """Hide the selected face through the whole film."""
        region = self.selected
        if region is not None:
            self._span(region, None, None)

    def _span(self, region: BlurRegion, start_s: float | None, end_s: float | None) -> None:
        self._session.do(SpanBlur(region.id, start_s, end_s))
        self._messages.say("Outside of this span the face is shown to whoever gets the bundle.")
        self.follow()

    def remove(self) -> None:
        """Take the selected blur away."""
        region = self.selected
        if region is None:
            self._messages.say(NONE_HERE)
            return
        self.begin_drag()
        self._session.do(RemoveBlur(region.id))
        self._messages.say("The face is shown again; undo brings the blur back.")

    def next_lost(self) -> None:
        """Go to the next moment at which a face was not recognised."""
        spans = sorted((a, r.id) for r in self.regions for a, _ in r.unsure)
        if not spans:
            self._messages.say(
                "The blurred faces were recognised on every frame they were followed."
            )
            return
        now_s = self.moment() or 0.0
        at_s, region_id = next((s for s in spans if s[0] > now_s + 1e-3), spans[0])
        self.choose(region_id)
        self._playhead.seek(at_s)

    def follow(self, asked: bool = False) -> None:
        """Follow the faces where nobody did yet, off the window's thread.

        Parameters
        ----------
        asked : the coach asked for it, and is told when there is nothing to do
        """
        footage, state = self._session.footage, self._session.state
        if footage is None:
            self._messages.warn(NO_FOOTAGE)
            return
        if self._job is not None:
            self._job.cancel()
            self._job = None
        last_s = float(footage.index.time_s[-1])
        regions = [r for r in state.blurs if gaps(r, last_s)]
        if not regions:
            if asked:
                self._messages.say("Every blurred face is followed to its end.")
            return
        films = footage.reel

        def work(progress: Progress, cancelled: Cancelled) -> object:
            from app.window.features.annotations.blur_follow import follow_regions

            return follow_regions(films, regions, progress, cancelled)

        self._job = self._jobs.run("Following the face", work, self._take, self._refuse)

    def _take(self, found: list[Followed]) -> None:
        self._job = None
        there = {r.id: r.by_hand for r in self.regions}
        for f in found:
            if there.get(f.region_id) == f.hand:
                self._session.do(FollowBlur(f.region_id, f.hand, f.keys, f.unsure))
        lost = sum(len(r.unsure) for r in self.regions)
        if lost:
            times = "once" if lost == 1 else f"{lost} times"
            self._messages.warn(
                f"The face was lost {times}; the blur is wider there. Look, and put it right.",
                Offer("Go there", self.next_lost),
            )
        elif found:
            self._messages.say("The face was followed and recognised on every frame.")
        self.changed.emit()

    def _refuse(self, error: Exception) -> None:
        self._job = None
        self._messages.warn(str(error))

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.blurs != before.blurs:
            self.changed.emit()
