"""The strip over the picture while somebody is recorded, and the shape of a voice."""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QObject, SignalInstance
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from app.window.sound.level_meter import Level, LevelMeter
from app.window.widgets import theme
from app.window.widgets.buttons import quiet_button

COLUMNS = 200
MARGIN_PX = 10


class Recorder(Protocol):
    """What records a voice: a note's, or a walkthrough's."""

    changed: SignalInstance  # bool: whether it records
    heard: SignalInstance  # Level, seconds so far

    @property
    def hears(self) -> bool:
        """Whether a microphone is open: without one, there is no level to show."""

    @property
    def microphone_name(self) -> str:
        """What is recorded with."""

    def toggle(self) -> None:
        """Begin, or end and keep."""

    def throw_away(self) -> None:
        """End and forget."""


class SpeakingStrip(QFrame):
    """Lies over the top of the picture while somebody is recorded, so that nothing moves.

    Parameters
    ----------
    title : what is being recorded
    keys : the key that ends the recording, and the one that throws it away
    """

    def __init__(
        self,
        speaking: Recorder,
        parent: QWidget,
        title: str = "Recording",
        key: str = "O",
    ) -> None:
        super().__init__(parent)
        self._speaking, self._stage = speaking, parent
        self.setObjectName("speaking")
        self._time = QLabel("0:00")
        self._time.setProperty("role", "clock")
        self._meter = LevelMeter()
        self._words = QLabel("")
        self._words.setProperty("role", "quiet")
        self._words.setFixedWidth(self._words.fontMetrics().horizontalAdvance("too loud") + 4)
        self._name = QLabel("")
        self._name.setProperty("role", "quiet")
        dot = self._dot = QLabel("●")
        theme.follow(self._dress)
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 4, 6, 4)
        row.setSpacing(8)
        for widget in (dot, QLabel(title), self._time, self._meter, self._words, self._name):
            row.addWidget(widget)
        row.addWidget(
            quiet_button("Done", f"End the recording and keep it.\nKey: {key}", speaking.toggle)
        )
        row.addWidget(
            quiet_button(
                "Discard",
                "End the recording and delete it.",
                speaking.throw_away,
            )
        )
        parent.installEventFilter(self)
        speaking.changed.connect(self._show)
        speaking.heard.connect(self._hear)
        self.hide()

    def _dress(self) -> None:
        self.setStyleSheet(
            f"#speaking {{ background: {theme.PANEL}; border: 1px solid {theme.WARNING};"
            " border-radius: 5px; }"
        )
        self._dot.setStyleSheet(f"color: {theme.WARNING};")

    @property
    def meter(self) -> LevelMeter:
        """The level meter."""
        return self._meter

    def stay_on_top(self) -> None:
        """Something else came onto the stage: it lies under the strip."""
        if self.isVisible():
            self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay at the top of the picture when that changes its size."""
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._place()
        return False

    def _show(self, on: bool) -> None:
        if on:
            self._meter.clear()
            self._hear(Level(-100.0, -100.0, False), 0.0)
            full = self._speaking.microphone_name
            for part in (self._meter, self._words):
                part.setVisible(self._speaking.hears)
            self._name.setText(full if len(full) <= 24 else full[:23] + "…")
            self._name.setToolTip(full)
            self.raise_()
        self.setVisible(on)
        self._place()

    def _place(self) -> None:
        size = self.sizeHint()
        width = min(size.width(), self._stage.width() - 2 * MARGIN_PX)
        self.setGeometry(MARGIN_PX, MARGIN_PX, width, size.height())

    def _hear(self, level: Level, seconds: float) -> None:
        self._meter.show_level(level)
        self._words.setText(self._meter.words)
        minutes, rest = divmod(int(seconds), 60)
        self._time.setText(f"{minutes}:{rest:02d}")


def shape_of(samples: NDArray[np.int16] | NDArray[np.float64]) -> NDArray[np.float64]:
    """How high a voice stands in each of 200 columns, 0-1 of its own highest sample."""
    if not len(samples):
        return np.zeros(COLUMNS)
    edges = np.linspace(0, len(samples), COLUMNS, endpoint=False).astype(int)
    heights = np.maximum.reduceat(np.abs(samples.astype(np.float64)), edges)
    return heights / max(float(heights.max()), 1.0)
