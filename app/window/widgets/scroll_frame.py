"""What is shown whole where there is room, and scrolls where there is not."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt
from PySide6.QtWidgets import QDialog, QFrame, QLayout, QScrollArea, QWidget

OF_SCREEN = 0.96
LEAST = QSize(240, 140)


class ScrollFrame(QScrollArea):
    """One widget that no small screen or large font pushes past an edge.

    Parameters
    ----------
    least : the smallest it may become, in px; without a width it stays as wide as the widget
        needs, and scrolls up and down alone
    """

    def __init__(self, widget: QWidget, least: QSize, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._least, self._inside = least, widget
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the arrows belong to the bench
        if least.width() == 0:
            self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(widget)

    def minimumSizeHint(self) -> QSize:
        """The least, but as wide as the widget where it does not scroll sideways."""
        if self._least.width():
            return self._least
        bar = self.verticalScrollBar().sizeHint().width()
        return QSize(self._inside.minimumSizeHint().width() + bar, self._least.height())

    def sizeHint(self) -> QSize:
        """Room for all of it."""
        return self._inside.sizeHint().expandedTo(self.minimumSizeHint())

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """What it shows needs another size."""
        if event.type() == QEvent.Type.LayoutRequest and watched is self._inside:
            self.updateGeometry()
        return super().eventFilter(watched, event)


def fit_dialog(dialog: QDialog, wide_px: int, high_px: int) -> None:
    """Open a dialog at a size, or at what the screen leaves."""
    room = dialog.screen().availableSize()
    dialog.resize(QSize(wide_px, high_px).boundedTo(room * OF_SCREEN))


def scrolled(layout: QLayout) -> ScrollFrame:
    """Put what is laid out into a frame that scrolls both ways where it has no room."""
    inside = QWidget()
    layout.setContentsMargins(0, 0, 0, 0)
    inside.setLayout(layout)
    return ScrollFrame(inside, LEAST)
