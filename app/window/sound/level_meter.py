"""How loud the microphone hears, as a bar that can be read at a glance."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.window.widgets import theme

FLOOR_DB = -60.0
# Common practice, no source: below the first a voice drowns in the room, over the second it may
# clip.
QUIET_DB = -40.0
HOT_DB = -6.0
FALL_DB = 1.5  # how far the bar falls with each piece of sound
HOLD_PIECES = 30


@dataclass(frozen=True)
class Level:
    """The level of a piece of sound, dB of full scale.

    Attributes
    ----------
    rms_db : of its mean power; a full-scale sine has -3.01
    peak_db : of its highest sample
    clipped : it touches full scale, so the voice is distorted
    """

    rms_db: float
    peak_db: float
    clipped: bool


def level_of(pcm: bytes) -> Level:
    """Measure 16-bit samples; silence is -inf."""
    samples = np.frombuffer(pcm, "<i2").astype(np.float64)
    if not samples.size:
        return Level(-math.inf, -math.inf, False)
    highest = float(np.abs(samples).max())
    power = float(np.mean(samples**2))
    return Level(_db(math.sqrt(power) / 32768), _db(highest / 32768), highest >= 32767)


def _db(share: float) -> float:
    return 20.0 * math.log10(share) if share > 0 else -math.inf


class LevelMeter(QWidget):
    """A bar from -60 to 0 dB with the highest peak of late; its words are its accessible name."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown_db = FLOOR_DB
        self._held_db = FLOOR_DB
        self._held_for = 0
        self._clipped_for = 0
        self.setMinimumWidth(90)
        self.setFixedHeight(14)
        self.clear()

    def sizeHint(self) -> QSize:
        """Wide enough to read."""
        return QSize(150, 14)

    @property
    def shown_db(self) -> float:
        """Where the bar stands."""
        return self._shown_db

    def clear(self) -> None:
        """Stand at silence."""
        self._shown_db = self._held_db = FLOOR_DB
        self._held_for = self._clipped_for = 0
        self._tell()

    def show_level(self, level: Level) -> None:
        """Rise at once, fall slowly; hold the highest peak for a while."""
        self._shown_db = max(level.peak_db, self._shown_db - FALL_DB, FLOOR_DB)
        self._held_for = max(self._held_for - 1, 0)
        if self._shown_db >= self._held_db or not self._held_for:
            self._held_db, self._held_for = self._shown_db, HOLD_PIECES
        self._clipped_for = HOLD_PIECES if level.clipped else max(self._clipped_for - 1, 0)
        self._tell()

    @property
    def words(self) -> str:
        """What the level means for who speaks."""
        if self._clipped_for:
            return "too loud"
        return "quiet" if self._held_db < QUIET_DB else "good"

    def _tell(self) -> None:
        self.setAccessibleName(f"Level of the microphone: {self.words}")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the bar, its scale and the peak held."""
        painter = QPainter(self)
        box = QRectF(self.rect())
        painter.fillRect(box, QColor(theme.FLOOR))
        colour = theme.WARNING if self._clipped_for else theme.TARGET_BRIGHT
        painter.fillRect(
            QRectF(0, 0, self._x(self._shown_db), box.height()),
            QColor(theme.QUIET if self.words == "quiet" else colour),
        )
        for mark_db in (QUIET_DB, -20.0, HOT_DB):
            painter.fillRect(QRectF(self._x(mark_db), 0, 1, box.height()), QColor(theme.LINE))
        if self._held_db > FLOOR_DB:
            painter.fillRect(QRectF(self._x(self._held_db) - 1, 0, 2, box.height()), QColor(colour))

    def _x(self, db: float) -> float:
        return self.width() * (min(db, 0.0) - FLOOR_DB) / -FLOOR_DB
