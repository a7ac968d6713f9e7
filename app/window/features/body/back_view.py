"""How the estimated load on the low back ran over the piece, or why that cannot be told."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.scene.back_figure import BackLook, back_drawing, back_words, drawing_height
from app.window.session.review_session import ReviewSession
from app.window.views.scene_paint import bench_palette, measure_in, paint
from app.window.widgets import theme

if TYPE_CHECKING:
    from analysis.body.back_trend import BackTrend


class BackFigure(QWidget):
    """The small curve, as wide as there is room."""

    def __init__(self) -> None:
        super().__init__()
        self._trend: BackTrend | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def set_trend(self, trend: BackTrend | None) -> None:
        """Show this one, or nothing."""
        self._trend = trend
        letter = float(self.fontInfo().pixelSize())
        self.setFixedHeight(0 if trend is None else round(drawing_height(letter)))
        self.setAccessibleName("" if trend is None else back_words(trend))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint it."""
        if self._trend is None:
            return
        look = BackLook(float(self.width()), float(self.fontInfo().pixelSize()))
        drawing = back_drawing(self._trend, look, measure_in(self.font()))
        paint(QPainter(self), drawing.shapes, bench_palette())


class BackView(QWidget):
    """A sentence, the curve, and what it is not."""

    def __init__(self, session: ReviewSession) -> None:
        super().__init__()
        self._session = session
        self._known = False
        self._body: object = None
        self._piece: object = None
        self._lined: object = None
        heading = QLabel("Low back")
        heading.setProperty("role", "heading")
        self.said, self.limits = QLabel(), QLabel()
        self.figure = BackFigure()
        for label in (self.said, self.limits):
            label.setWordWrap(True)
        self.limits.setProperty("role", "quiet")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        for part in (heading, self.said, self.figure, self.limits):
            column.addWidget(part)
        session.body_changed.connect(self._renew)
        session.recordings_changed.connect(self._renew)
        session.state_changed.connect(self._renew)
        theme.follow(self._dress)
        self._renew()

    def _dress(self) -> None:
        self.figure.update()

    def _renew(self, *_what: object) -> None:
        sent = self._session.submission
        body, piece, lined_up = sent.body, sent.main_piece, sent.clock.in_force
        if self._known and body is self._body and piece is self._piece and lined_up == self._lined:
            return  # the review changed, but nothing this hangs on
        self._known, self._body, self._piece, self._lined = True, body, piece, lined_up
        from app.submission.back import back_seen

        seen = back_seen(sent)
        trend = seen.trend
        self.said.setText(seen.why_not if trend is None else back_words(trend))
        self.limits.setText("" if trend is None else " ".join(trend.limits))
        self.limits.setVisible(trend is not None)
        self.figure.set_trend(trend)
