"""The stroke strip in the picture's place: one stroke, frame by frame, over its curve."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QPixmap

from app.files import atomic
from app.review.parts.comparisons import PairLook
from app.review.parts.curve_marks import on_curve
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import STRIP
from app.window.features.stroke_strip.strip_view import EMPTY, StripView
from app.window.session.footage import Footage
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages
from app.window.views.stage import Shown, Stage
from app.window.views.stroke_panel import StrokeView

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.signals.stroke import Stroke
    from app.bundle.pictures.strip import StrokeStrip
    from app.media.video import VideoFile

NO_FILM = "There is neither force nor footage of this stroke to lay out."
SETTLE_MS = 200
SAVED_WIDTH_PX = 2000
# Parts of the review that are seen on a strip.
_SHOWN = (
    "alignment",
    "turn",
    "target",
    "marks",
    "metres_per_px",
    "curve_marks",
    "blurs",
    "films",
    "shown_signals",
)


class Strips(QObject):
    """Makes the strip of the stroke under the playhead, off the window's thread."""

    on_stage = Signal()
    what = STRIP

    def __init__(
        self,
        session: ReviewSession,
        view: StrokeView,
        selection: Selection,
        jobs: Jobs,
        messages: Messages,
        stage: Stage,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._view = view
        self._selection = selection
        self._jobs = jobs
        self._messages = messages
        self._stage = stage
        self.view = StripView()
        stage.addWidget(self.view)
        self._job: Job | None = None
        # Strokes pass quickly while playing; a strip is made when one stays.
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(SETTLE_MS)
        self._settle.timeout.connect(self._make)
        self.view.resized.connect(self._settle.start)
        view.stroke_changed.connect(self._later)
        selection.finding_chosen.connect(self._later)
        session.state_changed.connect(self._take_state)
        session.body_changed.connect(self._later)

    @property
    def is_shown(self) -> bool:
        """Whether the strip stands in the picture's place."""
        return self._stage.currentWidget() is self.view

    def toggle(self) -> None:
        """Show the strip in the picture's place, or the picture again."""
        self.show("" if self.is_shown else "here")

    def shown(self) -> Shown | None:
        """The strip and its stroke, while it stands there."""
        stroke = self._view.stroke
        return Shown(STRIP, str(stroke.index)) if self.is_shown and stroke is not None else None

    def show(self, ref: str) -> None:
        """Come; "" gives the picture its place again."""
        if ref:
            self._stage.setCurrentWidget(self.view)
        elif self.is_shown:
            self._stage.go_home()
        self._later()

    def lay_instead(self, look: PairLook | None) -> None:
        """A strip is laid one way only."""

    def save(self) -> None:
        """Write the strip beside the review, as PNG and as SVG."""
        review, stroke = self._session.review, self._view.stroke
        if review is None or review.path is None or stroke is None:
            self._messages.warn(EMPTY)
            return
        place = review.path.with_name(f"{review.path.stem}-stroke-{stroke.index + 1}")
        make = self._maker(stroke)
        state, review_path, footage = review.state, review.path, self._session.footage

        def work(progress: Progress, cancelled: Cancelled) -> Path:
            from app.bundle.pictures.strip import paint_strip, strip_svg
            from app.window.session.known_recordings import confirm_footage

            if footage is not None:
                confirm_footage(state, review_path, footage.path)
            strip = make()
            atomic.write(place.with_suffix(".svg"), strip_svg(strip).encode())
            png = paint_strip(strip, SAVED_WIDTH_PX, scale=2.0)
            atomic.write(place.with_suffix(".png"), png)
            return place

        self._jobs.run(
            "Writing the stroke strip",
            work,
            lambda path: self._messages.say(f"Written: {path}.png and {path.name}.svg."),
            self._session.refuse,
            is_wanted=True,
        )

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        plan, old = state.sending, before.sending
        sent = (plan.skeleton, plan.second_view) != (old.skeleton, old.second_view)
        if sent or any(getattr(state, part) != getattr(before, part) for part in _SHOWN):
            self._later()

    def _later(self, *_changed: object) -> None:
        if self.is_shown:
            self._settle.start()

    def _make(self) -> None:
        stroke = self._view.stroke
        if not self.is_shown:
            return
        if stroke is None or self._session.submission.rowed is None:
            self.view.setPixmap(QPixmap())
            self.view.setText(EMPTY)
            return
        if self._job is not None:
            self._job.cancel()
        make = self._maker(stroke)
        ratio = self.view.devicePixelRatioF()
        width = max(round((self.view.width() - 8) * ratio), 320)

        def work(progress: Progress, cancelled: Cancelled) -> bytes:
            from app.bundle.pictures.strip import paint_strip

            return paint_strip(make(), width, dark=True, scale=ratio)

        self._job = self._jobs.run("Laying out the stroke", work, self._show, self._refuse)

    def _maker(self, stroke: Stroke):  # type: ignore[no-untyped-def]
        """What makes the strip; reads everything it needs now, on the window's thread."""
        submission, footage = self._session.submission, self._session.footage
        finding, state, piece = self._selection.finding, submission.state, submission.piece
        body = submission.body if state.sending.skeleton else None
        track = None if body is None else body.track

        def make() -> StrokeStrip:
            from app.bundle.pictures.second_film import with_second_view
            from app.bundle.pictures.strip import StripError, make_strip, picture_strip
            from app.bundle.pictures.strips import turn_words
            from app.bundle.wording.signal_words import named_signals
            from app.bundle.wording.words import ENGLISH

            named = named_signals(submission, ENGLISH)
            if piece is None:
                with _film(footage, state) as film:
                    if film is None:
                        raise StripError(NO_FILM)
                    strip = picture_strip(film, stroke, turn_words(ENGLISH), state, named, track)
                strip = with_second_view(strip, stroke, submission, state, ENGLISH)
                return replace(strip, span=_span(finding, stroke))
            target = state.target if state.target and state.target.axis == "time" else None
            span = _span(finding, stroke)
            with _film(footage, state) as film:
                strip = make_strip(
                    film, piece, stroke.index, submission.clock, state.turn, target,
                    span, state=state, signals=named, track=track,
                )  # fmt: skip
            strip = with_second_view(strip, stroke, submission, state, ENGLISH)
            return replace(strip, marks=on_curve(state.curve_marks, "time", stroke.index))

        return make

    def _show(self, png: bytes) -> None:
        self._job = None
        pixmap = QPixmap()
        pixmap.loadFromData(png)
        pixmap.setDevicePixelRatio(self.view.devicePixelRatioF())
        self.view.setPixmap(pixmap)

    def _refuse(self, error: Exception) -> None:
        self._job = None
        self._messages.warn(str(error))


def _film(footage: Footage | None, state: ReviewState) -> AbstractContextManager[VideoFile | None]:
    """Open the footage as the athlete gets it: what is saved from here may be sent."""
    from app.bundle.sources.film import open_film

    if footage is None:
        return nullcontext()
    return open_film(footage.reel, state)


def _span(finding: Finding | None, stroke: Stroke):  # type: ignore[no-untyped-def]
    """What to shade: the evidence of the selected finding, where this stroke shows it."""
    from app.bundle.pictures.strip import StripSpan

    if finding is None or stroke.index not in finding.strokes:
        return None
    e = finding.evidence
    if e.percent_from is None or e.percent_to is None:
        return None
    return StripSpan(e.percent_from, e.percent_to, finding.title)
