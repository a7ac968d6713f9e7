"""The line-up as something to look at: five catches in pictures, two signals over each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QImage, QPixmap
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)
from shiboken6 import isValid

from app.review.parts.state import ReviewState
from app.scene.force_curve import Curve, curve_shapes
from app.scene.plot import Entry, Pen
from app.window.features.line_up.auto_line_up import AutoLineUp
from app.window.features.line_up.line_up import describe_found
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.views.plot_dress import dress_axis
from app.window.views.plot_shapes import DATA, PlotShapes
from app.window.views.scene_paint import entry_words
from app.window.widgets import theme
from app.window.widgets.clock_text import clock_text
from app.window.widgets.overflow_tool_bar import OverflowToolBar
from app.window.widgets.scroll_frame import fit_dialog, scrolled

if TYPE_CHECKING:
    from app.submission.lining_up import LineUp

# Motion as it was seen, and as the force has it.
SEEN, SAID = Pen(2.0), Pen(2.0, (4.0, 2.0))
CATCHES = 5
THUMB = (224, 190)
AROUND_S = 7.0  # of signal shown about the middle catch
SETTLE_MS = 150
NO_SIGNALS = "No signals to show yet: Search again draws what picture, sound and force show."


class LineUpView(QDialog):
    """Hands should be at the catch in all five pictures, and the two lines rise together."""

    def __init__(
        self, session: ReviewSession, auto: AutoLineUp, jobs: Jobs, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Line-up")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        fit_dialog(self, 1180, 560)
        self._session = session
        self._auto = auto
        self._jobs = jobs
        self._job: Job | None = None
        self._standing = QLabel("")
        self._standing.setProperty("role", "heading")
        hint = QLabel(
            "Each picture is taken where the force of a stroke begins: the hands should be at the "
            "catch in all of them. Below, motion in the footage and what the force says it was."
        )
        hint.setProperty("role", "quiet")
        hint.setWordWrap(True)
        self._thumbs = [QLabel() for _ in range(CATCHES)]
        self._times = [QLabel() for _ in range(CATCHES)]
        self._plot = pg.PlotWidget(enableMenu=False)
        self._plot.getPlotItem().hideButtons()
        self._plot.setMouseEnabled(False, False)
        self._plot.getPlotItem().hideAxis("left")
        self._plot.setMinimumHeight(130)
        self._shapes = PlotShapes(smooth=False)
        self._plot.addItem(self._shapes)
        self._legend = QLabel("")
        self._legend.setProperty("role", "quiet")
        self._lay_out(hint)
        # Nudges come in runs; pictures are fetched when the hand rests.
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(SETTLE_MS)
        self._settle.timeout.connect(self._fetch)
        session.state_changed.connect(self._take_state)
        auto.found.connect(self._take_found)
        theme.follow(self._dress)
        self._renew()

    def _dress(self) -> None:
        self._plot.setBackground(theme.FLOOR)
        dress_axis(self._plot.getPlotItem().getAxis("bottom"))

    def _lay_out(self, hint: QLabel) -> None:
        column = QVBoxLayout()
        column.addWidget(self._standing)
        column.addWidget(hint)
        for label in (self._standing, hint):
            label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        row = QHBoxLayout()
        for thumb, time in zip(self._thumbs, self._times, strict=True):
            thumb.setFixedSize(*THUMB)
            thumb.setStyleSheet(f"background: {theme.DARK.floor}; color: {theme.DARK.quiet};")
            thumb.setAlignment(Qt.AlignmentFlag.AlignCenter)
            time.setProperty("role", "quiet")
            one = QVBoxLayout()
            one.addWidget(thumb)
            one.addWidget(time)
            row.addLayout(one)
        row.addStretch(1)
        column.addLayout(row)
        column.addWidget(self._legend)
        column.addWidget(self._plot, 1)
        column.addStretch(0)  # takes the room while there are no signals to draw
        buttons = OverflowToolBar()
        buttons.row.setContentsMargins(0, 0, 0, 0)
        for place, (text, help_text, run) in enumerate(
            (
                (
                    "◂ Frame",
                    "Move the trace one frame earlier ( [ )",
                    lambda: self._auto.nudge_frame(-1),
                ),
                ("Frame ▸", "Trace one frame later ( ] )", lambda: self._auto.nudge_frame(1)),
                ("◂ Sample", "Move it one sample earlier", lambda: self._auto.nudge_sample(-1)),
                ("Sample ▸", "Move it one sample later", lambda: self._auto.nudge_sample(1)),
                ("Next candidate", "Try the next likely line-up (J)", self._auto.next_candidate),
                ("Search again", "Look for the line-up by itself", self._auto.run),
                ("Check", "Hold it against what picture and sound show", self._auto.check),
                ("Lock", "It is right: keep it as checked by eye", self._auto.lock),
            )
        ):
            button = QToolButton()
            button.setText(text)
            button.setToolTip(help_text)
            button.clicked.connect(run)
            buttons.put(button, 0 if text == "Lock" else 1 + place, text)
        buttons.stretch()
        whole = QVBoxLayout(self)
        whole.addWidget(scrolled(column), 1)
        whole.addWidget(buttons)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.alignment != before.alignment:
            self._renew()

    def _take_found(self, _found: LineUp | None) -> None:
        self._renew()

    def _renew(self) -> None:
        state = self._session.state
        self._standing.setText(describe_found(state, self._auto.line_up))
        self._show_signals(self._auto.line_up)
        self._settle.start()

    def _catches(self) -> list[float]:
        """Video times of five catches that the footage shows, spread over the piece."""
        footage, submission = self._session.footage, self._session.submission
        if footage is None or submission.piece is None:
            return []
        index, clock = footage.index, submission.clock
        times = [clock.film_time(s.catch_s) for s in submission.piece.strokes]
        seen = [t for t in times if t is not None and index.holds(t)]
        picks = np.unique(np.linspace(0, len(seen) - 1, CATCHES).round().astype(int))
        return [seen[i] for i in picks] if seen else []

    def _fetch(self) -> None:
        footage, times = self._session.footage, self._catches()
        if self._job is not None:
            self._job.cancel()
        if footage is None or not times:
            return
        turn = self._session.state.turn

        def work(progress: Progress, cancelled: Cancelled) -> list[tuple[float, np.ndarray]]:
            from app.media.light import lifted
            from app.media.orientation import Turn
            from app.media.reel import open_reel

            pictures = []
            with open_reel(footage.reel) as video:
                for time_s in times:
                    if cancelled():
                        break
                    image = video.frame_bgra(video.index.at(time_s), 2 * THUMB[0], 2 * THUMB[1])
                    image = Turn(turn.quarter_turns % 4, turn.mirrored).apply(image)
                    pictures.append((time_s, np.ascontiguousarray(lifted(image, turn.lift))))
            return pictures

        self._job = self._jobs.run("Fetching five catches", work, self._show_pictures, self._quiet)

    def _show_pictures(self, pictures: list[tuple[float, np.ndarray]]) -> None:
        if not isValid(self):  # it was closed meanwhile
            return
        self._job = None
        for thumb, time in zip(self._thumbs, self._times, strict=True):
            thumb.clear()
            time.clear()
        for (time_s, image), thumb, time in zip(pictures, self._thumbs, self._times, strict=False):
            height, width = image.shape[:2]
            shown = QImage(image.data, width, height, 4 * width, QImage.Format.Format_RGB32)
            thumb.setPixmap(
                QPixmap.fromImage(shown).scaled(
                    thumb.size(),
                    Qt.AspectRatioMode.KeepAspectRatio,
                    Qt.TransformationMode.SmoothTransformation,
                )
            )
            time.setText(f"force begins {clock_text(time_s)}")

    def _quiet(self, error: Exception) -> None:
        if not isValid(self):
            return
        self._job = None
        self._standing.setText(str(error))

    def _show_signals(self, found: LineUp | None) -> None:
        shown = None if found is None else found.picture or found.sound
        times = self._catches()
        self._plot.setVisible(shown is not None)
        if found is None or shown is None or not times:
            self._legend.setText(NO_SIGNALS)
            return
        what = "motion in the picture" if found.picture is not None else "loudness of the flywheel"
        self._legend.setText(
            f"{entry_words(Entry('cursor', what, SEEN))} &nbsp; "
            f"{entry_words(Entry('own', 'what the force says it was', SAID))}"
        )
        # What the trace predicts moves with every nudge, against the line-up it was drawn for.
        alignment = self._session.state.alignment
        moved = [alignment.video_time(found.alignment.trace_time(float(t))) for t in shown.time_s]
        seen = Curve("cursor", shown.time_s, shown.motion, pen=SEEN)
        said = Curve("own", np.array(moved), shown.predicted, pen=SAID)
        self._shapes.set_shapes(curve_shapes([seen, said], DATA))
        middle = times[len(times) // 2]
        self._plot.setXRange(middle - AROUND_S, middle + AROUND_S, padding=0)
        near = np.abs(shown.time_s - middle) < AROUND_S
        values = np.concatenate([shown.motion[near], shown.predicted[near]])
        values = values[np.isfinite(values)]
        if len(values):
            self._plot.setYRange(float(values.min()), float(values.max()), padding=0.08)
