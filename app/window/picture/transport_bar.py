"""The row under the picture: what a hand does most, and what moment it is."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QWidget

from app.window.clock import clock_text
from app.window.material import Material
from app.window.playhead import Playhead

FASTER = "+"
GROUP_ENDS = ("Play", "Frame ▸", "Catch ▸", FASTER, "Loop")


class TransportBar(QWidget):
    """Buttons of the actions it is given, the clock, the frame number and the speed."""

    def __init__(
        self, playhead: Playhead, actions: Sequence[QAction], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._material = Material()
        self._time = QLabel(clock_text(0.0))
        self._time.setProperty("role", "clock")
        self._time.setAccessibleName("Video time")
        self._frame = _WhereItFits("")
        self._frame.setProperty("role", "quiet")
        self._frame.setToolTip("Frame number / frames in the footage")
        self._speed = QLabel("1×")
        self._speed.setAccessibleName("Speed")
        self._speed.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._speed.setFixedWidth(self._speed.fontMetrics().horizontalAdvance("0.25×") + 4)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 2, 8, 2)
        row.setSpacing(2)
        for action in actions:
            if action.text() == FASTER:
                # The speed reads between its two buttons.
                row.addWidget(self._speed)
            row.addWidget(_button(action))
            if action.text() in GROUP_ENDS:
                row.addSpacing(10)
        # The frame number gives way first where the window is narrow.
        self._frame.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._frame.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(self._frame, 1)
        row.addSpacing(12)
        row.addWidget(self._time)
        playhead.moved.connect(self._show_time)
        playhead.speed_changed.connect(self._show_speed)

    def set_material(self, material: Material) -> None:
        """Count the frames of this footage."""
        self._material = material
        self._show_time(self._playhead.time_s)

    def _show_time(self, time_s: float) -> None:
        self._time.setText(clock_text(time_s))
        footage = self._material.footage
        text = ""
        if footage is not None and 0.0 <= time_s < footage.index.end_s:
            text = f"{footage.index.at(time_s) + 1} / {len(footage.index)}"
        self._frame.setText(text)

    def _show_speed(self, speed: float) -> None:
        self._speed.setText(f"{speed:g}×")


class _WhereItFits(QLabel):
    """A label that shows its text whole or not at all: half a number is another number."""

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the text where there is room for it."""
        if self.fontMetrics().horizontalAdvance(self.text()) <= self.width():
            super().paintEvent(event)


def _button(action: QAction) -> QToolButton:
    button = QToolButton()
    button.setDefaultAction(action)
    # The keys do all of this; a focused button would swallow the space bar.
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return button
