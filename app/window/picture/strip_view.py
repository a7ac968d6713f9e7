"""The stroke strip in the picture's place: one stroke, frame by frame, over its curve."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtGui import QPixmap, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QStackedWidget, QWidget

from app.files import atomic
from app.review.parts.curve_marks import on_curve
from app.review.state import ReviewState
from app.window.desk import Desk
from app.window.force.findings import Findings
from app.window.force.stroke_panel import StrokeView
from app.window.jobs import Cancelled, Job, Jobs, Progress
from app.window.material import Footage
from app.window.message_line import Messages

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.signals.stroke import Stroke
    from app.bundle.pictures.strip import StrokeStrip
    from app.media.video import VideoFile

SETTLE_MS = 200
EMPTY = "A stroke strip needs a stroke; add a force file, or go to one."
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
    "shown_signals",
)


class StripView(QLabel):
    """Shows a strip as wide as there is room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(EMPTY, parent)
        self.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.setAccessibleName("Stroke strip")
        self.resized: list[QTimer] = []

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Paint it anew for the new width, once the hand rests."""
        super().resizeEvent(event)
        for timer in self.resized:
            timer.start()


class Strips(QObject):
    """Makes the strip of the stroke under the playhead, off the window's thread."""

    def __init__(
        self,
        desk: Desk,
        view: StrokeView,
        findings: Findings,
        jobs: Jobs,
        messages: Messages,
        stack: QStackedWidget,
        shown: StripView,
    ) -> None:
        super().__init__(stack)
        self._desk = desk
        self._view = view
        self._findings = findings
        self._jobs = jobs
        self._messages = messages
        self._stack = stack
        self._shown = shown
        self._job: Job | None = None
        # Strokes pass quickly while playing; a strip is made when one stays.
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(SETTLE_MS)
        self._settle.timeout.connect(self._make)
        shown.resized.append(self._settle)
        view.stroke_changed.connect(self._later)
        findings.chosen.connect(self._later)
        desk.state_changed.connect(self._take_state)

    @property
    def is_shown(self) -> bool:
        """Whether the strip stands in the picture's place."""
        return self._stack.currentWidget() is self._shown

    def toggle(self) -> None:
        """Show the strip in the picture's place, or the picture again."""
        self._stack.setCurrentIndex(0 if self.is_shown else 1)
        self._later()

    def save(self) -> None:
        """Write the strip beside the review, as PNG and as SVG."""
        review, stroke = self._desk.review, self._view.stroke
        if review is None or review.path is None or stroke is None:
            self._messages.warn(EMPTY)
            return
        place = review.path.with_name(f"{review.path.stem}-stroke-{stroke.index + 1}")
        make = self._maker(stroke)
        state, review_path, footage = review.state, review.path, self._desk.material.footage

        def work(progress: Progress, cancelled: Cancelled) -> Path:
            from app.bundle.pictures.strip import paint_strip, strip_svg
            from app.window.known_recordings import confirm_footage

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
            self._desk.refuse,
        )

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if any(getattr(state, part) != getattr(before, part) for part in _SHOWN):
            self._later()

    def _later(self, *_changed: object) -> None:
        if self.is_shown:
            self._settle.start()

    def _make(self) -> None:
        stroke = self._view.stroke
        if not self.is_shown:
            return
        if stroke is None or self._desk.material.force is None:
            self._shown.setPixmap(QPixmap())
            self._shown.setText(EMPTY)
            return
        if self._job is not None:
            self._job.cancel()
        make = self._maker(stroke)
        ratio = self._shown.devicePixelRatioF()
        width = max(round((self._shown.width() - 8) * ratio), 320)

        def work(progress: Progress, cancelled: Cancelled) -> bytes:
            from app.bundle.pictures.strip import paint_strip

            return paint_strip(make(), width, dark=True, scale=ratio)

        self._job = self._jobs.run("Laying out the stroke", work, self._show, self._refuse)

    def _maker(self, stroke: Stroke):  # type: ignore[no-untyped-def]
        """What makes the strip; reads everything it needs now, on the window's thread."""
        material, state = self._desk.material, self._desk.state
        finding = self._findings.in_hand
        force = material.force
        footage = material.footage

        def make() -> StrokeStrip:
            from app.bundle.pictures.strip import make_strip
            from app.submission.clock import ReviewClock

            assert force is not None
            target = state.target if state.target and state.target.axis == "time" else None
            span = _span(finding, stroke)
            with _film(footage, state) as film:
                strip = make_strip(
                    film, force.piece, stroke.index, ReviewClock.of(state), state.turn, target,
                    span, state=state,
                )  # fmt: skip
            return replace(strip, marks=on_curve(state.curve_marks, "time", stroke.index))

        return make

    def _show(self, png: bytes) -> None:
        self._job = None
        pixmap = QPixmap()
        pixmap.loadFromData(png)
        pixmap.setDevicePixelRatio(self._shown.devicePixelRatioF())
        self._shown.setPixmap(pixmap)

    def _refuse(self, error: Exception) -> None:
        self._job = None
        self._messages.warn(str(error))


def _film(footage: Footage | None, state: ReviewState) -> AbstractContextManager[VideoFile | None]:
    """Open the footage as the athlete gets it: what is saved from here may be sent."""
    from app.bundle.sources.film import open_film

    if footage is None:
        return nullcontext()
    return open_film(footage.path, state)


def _span(finding: Finding | None, stroke: Stroke):  # type: ignore[no-untyped-def]
    """What to shade: the evidence of the finding in hand, where this stroke shows it."""
    from app.bundle.pictures.strip import StripSpan

    if finding is None or stroke.index not in finding.strokes:
        return None
    e = finding.evidence
    if e.percent_from is None or e.percent_to is None:
        return None
    return StripSpan(e.percent_from, e.percent_to, finding.title)
