"""Which line is which signal: a piece of each line with the signal's words, in as many rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from analysis.signals.signal import FloatArray
from app.scene.force_curve import Curve, curve_shapes, signal_ink
from app.scene.plot import Pen
from app.scene.shapes import Shape
from app.submission.shown_signals import ShownSignal
from app.window.views.plot_shapes import DATA
from app.window.views.scene_paint import bench_palette, paint
from app.window.widgets import theme

SAMPLE_PX, GAP_PX, BETWEEN_PX = 26, 6, 14
LEAST_WORDS_PX = 16


def line_of(
    shown: ShownSignal, along: FloatArray, values: FloatArray, width: float = 1.5
) -> list[Shape]:
    """The line of a signal over an axis, its holes left open."""
    ink, pen = signal_ink(shown.place), Pen(width, shown.dashes)
    return curve_shapes([Curve(ink, along, values, pen=pen)], DATA)


@dataclass(frozen=True)
class KeyEntry:
    """A signal and what stands beside its line."""

    shown: ShownSignal
    words: str


class SignalKey(QWidget):
    """As wide as it is told, as high as its rows need."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._entries: tuple[KeyEntry, ...] = ()
        self._low = False
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.hide()

    @property
    def words(self) -> tuple[str, ...]:
        """What stands there, line by line."""
        return tuple(entry.words for entry in self._entries)

    def set_entries(self, entries: Sequence[KeyEntry]) -> None:
        """Name these signals; nothing is to be seen where there is none."""
        self._entries = tuple(entries)
        self.setVisible(bool(entries))
        self.setToolTip("\n".join(self.words))
        self.setAccessibleName("Signals: " + "; ".join(self.words))
        self.updateGeometry()
        self.update()

    def set_low(self, low: bool) -> None:
        """Stand in one row, every entry shortened, where there is no height for more."""
        if low != self._low:
            self._low = low
            self.updateGeometry()
            self.update()

    @property
    def widest(self) -> int:
        """Pixels the longest entry needs."""
        return max((self._wide(entry) for entry in self._entries), default=0)

    def heightForWidth(self, width: int) -> int:
        """Pixels for all rows."""
        return (self._rects(width)[-1].bottom() + 1) if self._entries else 0

    def sizeHint(self) -> QSize:
        """For the width it has."""
        width = max(self.width(), 1)
        return QSize(width, self.heightForWidth(width))

    def minimumSizeHint(self) -> QSize:
        """One row, however narrow."""
        return QSize(0, self.fontMetrics().height() if self._entries else 0)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint each line and its words."""
        painter = QPainter(self)
        painter.setClipRect(event.rect())
        for entry, box in zip(self._entries, self._rects(self.width()), strict=False):
            middle = box.center().y() + 0.5
            ends = np.array([box.left(), box.left() + SAMPLE_PX], dtype=float)
            paint(painter, line_of(entry.shown, ends, np.full(2, middle), 2.0), bench_palette())
            text = box.adjusted(SAMPLE_PX + GAP_PX, 0, 0, 0)
            painter.setPen(QColor(theme.QUIET))
            # The end has the lowest and the highest value: nothing else says what the line reaches.
            short = self.fontMetrics().elidedText(
                entry.words, Qt.TextElideMode.ElideMiddle, text.width()
            )
            painter.drawText(
                text, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, short
            )

    def _rects(self, width: int) -> list[QRect]:
        """Where each entry stands, row after row."""
        metrics = self.fontMetrics()
        x = y = 0
        most = width
        if self._low and self._entries:
            share = (width + BETWEEN_PX) // len(self._entries) - BETWEEN_PX
            most = max(share, SAMPLE_PX + GAP_PX + LEAST_WORDS_PX)
        found = []
        for entry in self._entries:
            wide = min(self._wide(entry), most, width)
            if x and x + wide > width:
                if self._low:
                    break  # its words are in the tool tip
                x, y = 0, y + metrics.height() + 1
            found.append(QRect(x, y, wide, metrics.height()))
            x += wide + BETWEEN_PX
        return found

    def _wide(self, entry: KeyEntry) -> int:
        return SAMPLE_PX + GAP_PX + self.fontMetrics().horizontalAdvance(entry.words) + 2
