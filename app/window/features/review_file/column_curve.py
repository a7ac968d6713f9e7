"""The columns of an unknown table as small curves, each chosen for what it is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QHBoxLayout,
    QMenu,
    QScrollArea,
    QSizePolicy,
    QWidget,
)

from analysis.force.column_curves import ColumnCurve
from app.window.widgets import theme

Role = Literal["force", "time", "position", ""]
ROLES: Final[dict[Role, str]] = {
    "force": "Handle force",
    "time": "Time",
    "position": "Handle position",
}
_WAYS: Final[tuple[tuple[Role, str], ...]] = (
    ("force", "Handle &force"),
    ("time", "&Time"),
    ("position", "Handle &position"),
    ("", "&None of these"),
)
_SIZE: Final = QSize(118, 82)
_EDGE: Final = 6.0


class CurveButton(QAbstractButton):
    """One column: its name, its curve, and what it is or between what it moves.

    A click, or the space bar, opens the list of what it can be.
    """

    taken = Signal(int, str)  # column, role; "" for none

    def __init__(self, curve: ColumnCurve, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.curve = curve
        self.role: Role = ""
        self._name = name
        self._range = f"{curve.least:.4g} … {curve.greatest:.4g}"
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.menu = QMenu(self)
        for role, words in _WAYS:
            action = self.menu.addAction(words)
            action.setCheckable(True)
            action.setData(role)
            action.triggered.connect(lambda _on, r=role: self.taken.emit(self.curve.column, r))
        self.clicked.connect(self._open)
        self.show_role("")

    def show_role(self, role: Role) -> None:
        """Show what the column is taken for."""
        self.role = role
        first = ", ".join(f"{value:.4g}" for value in self.curve.values[:4])
        self.setToolTip(f"{self._name}: {first} …\nClick to say what it is.")
        self.setAccessibleName(f"Column {self._name}: {ROLES.get(role, 'not used')}")
        self.setAccessibleDescription(f"Values {self._range}")
        for action in self.menu.actions():
            action.setChecked(action.data() == role)
        # Some column is the force: another one takes its place, nothing cannot.
        self.menu.actions()[-1].setVisible(role in ("time", "position"))
        self.update()

    def sizeHint(self) -> QSize:
        """Room for a curve and two short lines."""
        return _SIZE

    def paintEvent(self, event: QPaintEvent) -> None:
        """Name above, curve, and below it what it is."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        inside = QRectF(self.rect()).adjusted(1.0, 1.0, -1.0, -1.0)
        colour = QColor(self._colour())
        edge = theme.TEXT if self.hasFocus() else (self._colour() if self.role else theme.LINE)
        painter.setPen(QPen(QColor(edge), 2.0 if self.hasFocus() or self.role else 1.0))
        painter.setBrush(QColor(theme.RAISED if self.underMouse() else theme.FLOOR))
        painter.drawRoundedRect(inside, 4.0, 4.0)
        line = painter.fontMetrics().height()
        words = inside.adjusted(_EDGE, 2.0, -_EDGE, -2.0)
        self._write(painter, words, Qt.AlignmentFlag.AlignTop, self._name, theme.TEXT)
        below = ROLES[self.role] if self.role else self._range
        below_ink = theme.TEXT if self.role else theme.QUIET
        self._write(painter, words, Qt.AlignmentFlag.AlignBottom, below, below_ink)
        painter.setPen(QPen(colour, 1.5))
        painter.drawPolyline(self._line(words.adjusted(0.0, line + 2.0, 0.0, -line - 2.0)))

    def _write(
        self, painter: QPainter, box: QRectF, where: Qt.AlignmentFlag, text: str, ink: str
    ) -> None:
        painter.setPen(QColor(ink))
        short = painter.fontMetrics().elidedText(
            text, Qt.TextElideMode.ElideRight, int(box.width())
        )
        painter.drawText(box, where | Qt.AlignmentFlag.AlignHCenter, short)

    def _line(self, box: QRectF) -> QPolygonF:
        values, least = self.curve.values, self.curve.least
        span = self.curve.greatest - least
        across = box.width() / max(1, len(values) - 1)
        return QPolygonF(
            [
                QPointF(
                    box.left() + at * across,
                    box.bottom() - box.height() * ((value - least) / span if span > 0.0 else 0.5),
                )
                for at, value in enumerate(values)
            ]
        )

    def _colour(self) -> str:
        inks = {"force": theme.FORCE, "time": theme.TARGET, "position": theme.SECOND}
        return str(inks.get(self.role, theme.QUIET))

    def _open(self) -> None:
        self.menu.popup(self.mapToGlobal(self.rect().bottomLeft()))


class ColumnCurves(QScrollArea):
    """The columns side by side; what does not fit is scrolled to, also by Tab."""

    taken = Signal(int, str)  # column, role; "" for none

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: tuple[CurveButton, ...] = ()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        bar = self.horizontalScrollBar().sizeHint().height()
        self.setFixedHeight(_SIZE.height() + bar + 2)
        self.setMinimumWidth(_SIZE.width() + 8)

    def show_curves(self, curves: Sequence[ColumnCurve], names: Sequence[str]) -> None:
        """Show those columns.

        Parameters
        ----------
        names : of all columns of the table
        """
        inside = QWidget()
        row = QHBoxLayout(inside)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        buttons = [CurveButton(curve, names[curve.column]) for curve in curves]
        for button in buttons:
            button.taken.connect(self.taken)
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        row.addStretch(1)
        self.setWidget(inside)
        self.buttons = tuple(buttons)

    def show_roles(self, roles: dict[int, Role]) -> None:
        """Show what each column is taken for."""
        for button in self.buttons:
            button.show_role(roles.get(button.curve.column, ""))
