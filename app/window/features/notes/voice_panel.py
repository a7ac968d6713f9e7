"""What is seen of voices: the strip over the picture while speaking, the row under a note."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import (
    QPointF,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QWidget

from app.review.parts.notes import Voice
from app.review.parts.state import ReviewState
from app.review.values.errors import ReviewError
from app.review.voice import samples_of
from app.window.features.notes.notes_panel import Notes
from app.window.features.notes.speaking import Speaking, new_gesture
from app.window.features.notes.voice_player import VoicePlayer
from app.window.session.review_session import ReviewSession
from app.window.sound.recording_strip import COLUMNS, shape_of
from app.window.widgets import theme
from app.window.widgets.buttons import quiet_button

GRIP_PX = 12


class Wave(QWidget):
    """The shape of a voice with its two ends, which can be dragged; a click goes nowhere else."""

    dragged = Signal(str, object, object)  # gesture, start or None, end or None

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._voice: Voice | None = None
        self._shape: NDArray[np.float64] = np.zeros(COLUMNS)
        self._at_s = -1.0
        self._gesture = ""
        self._moves_start = True
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(28)
        self.setMouseTracking(True)
        self.setAccessibleName("The voice and what is heard of it")
        self.setToolTip("Drag an end to trim; nothing is lost.")

    def sizeHint(self) -> QSize:
        """Give all the room there is."""
        return QSize(150, 28)

    def set_voice(self, voice: Voice | None, shape: NDArray[np.float64]) -> None:
        """Show this voice; `shape` is its height in columns, 0-1."""
        self._voice, self._shape = voice, shape
        self.update()

    def set_at(self, at_s: float) -> None:
        """Show how far it is played; below 0 for not at all."""
        self._at_s = at_s
        self.update()

    def x_of(self, seconds: float) -> float:
        """Where a second of the recording lies."""
        length = self._voice.length_s if self._voice is not None else 1.0
        return 1 + (self.width() - 2) * seconds / length

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the nearer end."""
        if self._voice is None or event.button() != Qt.MouseButton.LeftButton:
            return
        x = event.position().x()
        to_start = abs(x - self.x_of(self._voice.trim_start_s))
        to_end = abs(x - self.x_of(self._voice.trim_end_s))
        if min(to_start, to_end) <= GRIP_PX:
            self._moves_start = to_start <= to_end
            self._gesture = new_gesture()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move the end that was taken."""
        voice = self._voice
        if voice is None:
            return
        x = event.position().x()
        ends = (self.x_of(voice.trim_start_s), self.x_of(voice.trim_end_s))
        near = any(abs(x - end) <= GRIP_PX for end in ends)
        shape = Qt.CursorShape.SizeHorCursor if near else Qt.CursorShape.ArrowCursor
        self.setCursor(shape)
        if not self._gesture:
            return
        at_s = (x - 1) / max(self.width() - 2, 1) * voice.length_s
        start, end = (at_s, None) if self._moves_start else (None, at_s)
        self.dragged.emit(self._gesture, start, end)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let the end go."""
        self._gesture = ""

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the shape, what is cut off dimmed, the ends and how far it is played."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.FLOOR))
        voice = self._voice
        if voice is None:
            return
        height, middle = self.height(), self.height() / 2
        first, last = self.x_of(voice.trim_start_s), self.x_of(voice.trim_end_s)
        for column in range(0, self.width(), 2):
            x = float(column)
            share = self._shape[min(int(x / self.width() * len(self._shape)), COLUMNS - 1)]
            tall = max(1.0, share * (height - 6))
            colour = theme.FORCE if first <= x <= last else theme.LINE
            painter.fillRect(QRectF(x, middle - tall / 2, 1.4, tall), QColor(colour))
        for end in (first, last):
            painter.fillRect(QRectF(end - 1, 0, 2, height), QColor(theme.TEXT))
            painter.setBrush(QColor(theme.TEXT))
            painter.drawEllipse(QPointF(end, middle), 3, 3)
        if self._at_s >= 0:
            painter.fillRect(QRectF(self.x_of(self._at_s), 0, 2, height), QColor(theme.PLAYHEAD))


class VoiceRow(QWidget):
    """Play, trim, record again: the voice of the selected note."""

    def __init__(
        self, speaking: Speaking, player: VoicePlayer, notes: Notes, session: ReviewSession
    ) -> None:
        super().__init__()
        self._player, self._notes, self._session = player, notes, session
        self._shown_id = ""
        self._shape: NDArray[np.float64] = np.zeros(COLUMNS)
        self._play = quiet_button("▶", "Hear the voice at its moment.\nKey: Shift+O", player.toggle)
        self._play.setAccessibleName("Play the voice")
        self.wave = Wave()
        self._length = QLabel("")
        self._length.setProperty("role", "quiet")
        again = quiet_button("Again", "Record the voice of this note again.", speaking.record_anew)
        remove = quiet_button("×", "Remove the voice.", player.remove)
        remove.setAccessibleName("Remove the voice")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(5)
        row.addWidget(self._play)
        row.addWidget(self.wave, 1)
        for widget in (self._length, again, remove):
            row.addWidget(widget)
        self.wave.dragged.connect(player.drag)
        player.moved.connect(self._follow)
        notes.chosen.connect(lambda _id: self._renew())
        session.state_changed.connect(self._take_state)
        self._renew()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.notes != before.notes:
            self._renew()

    def _renew(self) -> None:
        note = self._notes.selected
        voice = note.voice if note is not None else None
        self.setVisible(voice is not None)
        if voice is None:
            return
        if voice.id != self._shown_id:
            self._shown_id, self._shape = voice.id, self._read_shape(voice)
        self.wave.set_voice(voice, self._shape)
        self._length.setText(f"{voice.heard_s:.1f} s")

    def _read_shape(self, voice: Voice) -> NDArray[np.float64]:
        review = self._session.review
        try:
            samples = samples_of(review.sound(voice.id)) if review is not None else np.zeros(0)
        except ReviewError:
            return np.zeros(COLUMNS)
        return shape_of(samples)

    def _follow(self, at_s: float) -> None:
        self.wave.set_at(at_s)
        self._play.setText("■" if at_s >= 0 else "▶")
