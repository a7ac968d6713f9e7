"""What was read from the picture: measures of the stroke at the playhead, order of movement."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QScrollArea, QVBoxLayout, QWidget

from analysis.body.piece import FROM_PICTURE
from app.bundle.wording.measure_words import MEASURES
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.views.order_view import OrderView
from app.window.widgets import theme

if TYPE_CHECKING:
    from app.submission.body import LoadedBody

NO_ORDER: Final = "The order of movement cannot be told from these points."


class BodyPanel(QWidget):
    """Says of which stroke, and that it comes from the picture."""

    def __init__(self, session: ReviewSession, playhead: Playhead) -> None:
        super().__init__()
        self._session, self._playhead = session, playhead
        self._body: LoadedBody | None = None
        self._stroke: int | None = None
        self._heading = QLabel()
        self._heading.setProperty("role", "heading")
        self._numbers = QLabel()
        self._numbers.setTextFormat(Qt.TextFormat.RichText)
        self._order = OrderView()
        self._remarks = QLabel()
        self._remarks.setProperty("role", "quiet")
        for label in (self._heading, self._numbers, self._remarks):
            label.setWordWrap(True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        inside = QWidget()
        self._column = column = QVBoxLayout(inside)
        column.setContentsMargins(8, 6, 8, 6)
        for part in (self._heading, self._numbers, self._order, self._remarks):
            column.addWidget(part)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidget(inside)
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(scroll)
        session.body_changed.connect(self._renew)
        session.recordings_changed.connect(self._renew)
        playhead.moved.connect(self._follow)
        theme.follow(self._renew)

    def add_below(self, part: QWidget) -> None:
        """Show something more of the body, above what is uncertain."""
        self._column.insertWidget(self._column.indexOf(self._remarks), part)

    @property
    def text(self) -> str:
        """What it says of the stroke."""
        return f"{self._heading.text()} {self._numbers.text()}"

    def _renew(self) -> None:
        self._body = body = self._session.submission.body
        self._order.set_order(None if body is None else body.order)
        said = () if body is None else body.remarks
        if body is not None and body.order is None:
            said = (NO_ORDER, *said)
        self._remarks.setText("\n".join(said))
        self._show(self._at(self._playhead.time_s))

    def _follow(self, time_s: float) -> None:
        at = self._at(time_s)
        if at != self._stroke:
            self._show(at)

    def _at(self, time_s: float) -> int | None:
        """Which stroke a moment of the film falls in; before the first one that one."""
        body = self._body
        if body is None or not body.strokes:
            return None
        turns = [stroke.catch_s for stroke in body.strokes]
        return max(int(np.searchsorted(turns, time_s + 1e-3, side="right")) - 1, 0)

    def _show(self, at: int | None) -> None:
        self._stroke, body = at, self._body
        if at is None or body is None:
            self._heading.setText("")
            self._numbers.setText("")
            return
        stroke = body.strokes[at]
        remark = f" · {stroke.remark}" if stroke.remark else ""
        self._heading.setText(f"Stroke {at + 1} of {len(body.strokes)}, {FROM_PICTURE}{remark}")
        self._numbers.setText(_table(body, at))


def _table(body: LoadedBody, at: int) -> str:
    """The measures there are: of this stroke, and their mean over the whole strokes."""
    rows = [_row("", "this one", "mean")]
    for word in MEASURES:
        usual = body.usual.get(word.name)
        if usual is not None:
            value = body.measures[at][word.name]
            own = "–" if value is None else word.with_unit(value)
            rows.append(_row(word.title, own, word.with_unit(usual.mean)))
    return f'<table width="100%">{"".join(rows)}</table>'


def _row(title: str, own: str, usual: str) -> str:
    cells = [f'<td align="right">{text}</td>' for text in (escape(own), _quiet(escape(usual)))]
    return f"<tr><td>{escape(title)}</td>{''.join(cells)}</tr>"


def _quiet(text: str) -> str:
    return f'<span style="color:{theme.QUIET}">{text}</span>'
