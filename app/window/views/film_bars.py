"""Which film shows which stretch of the piece, along the foot of the force trace."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from app.window.session.playhead import Span
from app.window.widgets import theme

BAR_PX = 4.0
SEAM_PX = 2.0


def paint_films(
    painter: QPainter, films: Sequence[Span], x_of: Callable[[float], float], area: QRectF
) -> None:
    """Paint a bar for each film; where there is none, nothing was filmed.

    Parameters
    ----------
    films : what each shows, seconds of the review; none where one film shows it all
    x_of : widget pixels of a second of the review
    """
    for film in films:
        left, right = x_of(film.start_s), x_of(film.end_s) - SEAM_PX
        bar = QRectF(left, area.bottom() - BAR_PX, max(right - left, 1.0), BAR_PX)
        painter.fillRect(bar, QColor(theme.QUIET))
