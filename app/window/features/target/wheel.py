"""What the target would change on a flywheel, reckoned while the hand rests."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from analysis.force.target import TargetCurve, sample_target
from app.review.parts.state import ReviewState
from app.window.features.target.target_panel import TargetEditor
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.views.stroke_panel import StrokeView

if TYPE_CHECKING:
    from analysis.force.flywheel import WhatWouldChange

SETTLE_MS = 250


class Wheel(QObject):
    """Rows the athlete's mean and the target on one flywheel, off the window's thread."""

    told = Signal(object)  # WhatWouldChange, or None where nothing can be told

    def __init__(
        self,
        session: ReviewSession,
        view: StrokeView,
        editor: TargetEditor,
        jobs: Jobs,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._view = view
        self._jobs = jobs
        self._target: TargetCurve | None = None
        self._job: Job | None = None
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(SETTLE_MS)
        self._settle.timeout.connect(self._reckon)
        editor.shown.connect(self._take_target)
        session.state_changed.connect(self._take_state)
        session.own.changed.connect(self._reckon_later)

    def _take_target(self, target: TargetCurve | None) -> None:
        self._target = target
        if target is None:
            self._settle.stop()
            self.told.emit(None)
        else:
            self._settle.start()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.flywheel != before.flywheel:
            self._reckon_later()

    def _reckon_later(self) -> None:
        if self._target is not None:
            self._settle.start()

    def _reckon(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None
        target, curves, submission = self._target, self._view.curves, self._session.submission
        if target is None or curves is None:
            self.told.emit(None)
            return
        model = self._session.submission.flywheel

        def work(progress: Progress, cancelled: Cancelled) -> WhatWouldChange | None:
            from analysis.force.flywheel import what_would_change

            rate = submission.usual["rate_spm"]
            if rate is None:
                return None
            return what_would_change(
                curves.mean,
                sample_target(target),
                target.axis,
                curves.mean_span,
                rate.mean,
                model,
            )

        self._job = self._jobs.run("Computing the flywheel", work, self._tell, self._refuse)

    def _tell(self, change: WhatWouldChange | None) -> None:
        self._job = None
        self.told.emit(change)

    def _refuse(self, error: Exception) -> None:
        # No steady cycle with these curves: the table stays without these rows.
        self._tell(None)
