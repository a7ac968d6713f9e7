"""Two force curves over each other, with what is between them shaded."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.scene.pair_figure import PairWords, pair_figure
from app.window.features.comparing.pair_cursors import PairCursors
from app.window.views.figure_view import LETTER, FigureView

if TYPE_CHECKING:
    from analysis.comparing.curves import CurvePair, PairAxis

AXIS_WORDS: dict[PairAxis, str] = {
    "time": "Seconds from the catch",
    "length": "Metres of handle travel from the catch",
    "percent": "% of the drive's time",
}
# In the picture the hands are seen to turn; nobody knows when the force comes.
SEEN_WORDS: dict[PairAxis, str] = {
    "time": "Seconds from where the hands turn",
    "length": "Metres of handle travel from where the hands turn",
    "percent": "% of the drive's time, from the picture",
}


class PairView(FigureView):
    """The left stroke's curve is a line, the right one's dashed. A click moves the playhead."""

    along_wanted = Signal(float)  # a place on the axis

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Curves of the two strokes")
        self.setMinimumHeight(110)
        self._along: tuple[float | None, float | None] = (None, None)
        self._scrubbing = False
        self.cursors = PairCursors(self)

    def show_pair(self, pair: CurvePair | None) -> None:
        """Show two curves on their axis, or none."""
        figure = None
        if pair is not None:
            seen = AXIS_WORDS if pair.is_force else SEEN_WORDS
            words = PairWords(x=seen[pair.axis], y=f"{pair.title}, {pair.unit}")
            if not pair.is_force:
                words = replace(words, catch="hands turn", finish="finish turn")
            figure = pair_figure(pair, words, (0.0, 0.0), LETTER)
        self.set_figure(figure)
        self._place_cursors()

    def set_along(self, left: float | None, right: float | None) -> None:
        """Stand at a place of either stroke on the axis; None outside its drive."""
        self._along = (left, right)
        self._place_cursors()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the sheet over the whole widget."""
        super().resizeEvent(event)
        self._place_cursors()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Move the playhead."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._scrubbing = True
            self._scrub(event)
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Scrub through the drive."""
        if self._scrubbing:
            self._scrub(event)
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let go."""
        self._scrubbing = False
        event.accept()

    def _scrub(self, event: QMouseEvent) -> None:
        if self.plot is not None:
            self.along_wanted.emit(self.plot.x.value(event.position().x()))

    def _place_cursors(self) -> None:
        if self.area != self.cursors.area or self.cursors.size() != self.size():
            self.cursors.setGeometry(self.rect())
            self.cursors.area = self.area
            self.cursors.update()
        plot = self.plot
        places = (
            None if along is None or plot is None else plot.x.at(along) for along in self._along
        )
        self.cursors.move_to(*places)
