"""Where the picture stands, and beside, under or over it the second one."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRect, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QSizePolicy, QWidget

from app.review.parts.comparisons import Comparison, Layout
from app.window.features.comparing.laying_together import ClickSheet, LayingTogether, Pane, Side
from app.window.features.comparing.second_picture import SecondPicture
from app.window.views.picture import PictureView
from app.window.widgets import theme

GAP_PX = 3
MARGIN_PX = 8
LABEL_PX = 26
COLOURS: dict[Side, str] = {"left": theme.DARK.force, "right": theme.DARK.second}
LINES: dict[Side, str] = {"left": "solid", "right": "dashed"}  # as the curves are drawn


class LabelField(QLineEdit):
    """Who, when and which stroke, over its picture; a click changes the words."""

    worded = Signal(str)

    def __init__(self, side: Side, parent: QWidget) -> None:
        super().__init__(parent)
        self._kept = ""
        self.setAccessibleName(f"Label of the {side} picture")
        self.setToolTip("Click to change the words; Return keeps them, Esc leaves them.")
        self.setPlaceholderText("Who, when, which stroke")
        self.setStyleSheet(
            f"QLineEdit {{ background: rgba(20, 24, 26, 215); color: {theme.DARK.text};"
            f" padding: 2px 6px; border: 0; border-left: 5px {LINES[side]} {COLOURS[side]}; }}"
            f"QLineEdit:focus {{ border: 1px solid {COLOURS[side]}; }}"
        )
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.editingFinished.connect(self._end)

    def show_words(self, words: str) -> None:
        """Show what the review holds, unless a hand is writing."""
        self._kept = words
        if not self.hasFocus():
            self.setText(words)
            self.setCursorPosition(0)

    def wide(self) -> int:
        """How wide the words are."""
        words = self.text() or self.placeholderText()
        return self.fontMetrics().horizontalAdvance(words) + 24

    def event(self, event: QEvent) -> bool:
        """Escape is this field's while a hand writes in it, before it leaves a mode."""
        is_key = isinstance(event, QKeyEvent) and event.type() == QEvent.Type.ShortcutOverride
        if is_key and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Return keeps the words, Esc leaves them as they were."""
        if event.key() == Qt.Key.Key_Escape:
            self.setText(self._kept)
            self.clearFocus()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.clearFocus()
        else:
            super().keyPressEvent(event)

    def _end(self) -> None:
        if self.text() != self._kept:
            self._kept = self.text()
            self.worded.emit(self._kept)


class ComparisonStage(QWidget):
    """The picture alone, or two of them with their labels, in one of three layouts."""

    worded = Signal(str, str)  # side, words
    seen = Signal(str)  # the layout on screen now

    def __init__(self, picture: PictureView, laying: LayingTogether) -> None:
        super().__init__()
        self.picture = picture
        self._laying = laying
        self._shown: Comparison | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(picture.minimumSize())
        picture.setParent(self)
        picture.setMinimumSize(0, 0)
        self.second = SecondPicture(picture, self)
        self.labels: dict[Side, LabelField] = {}
        self.sheets: dict[Side, ClickSheet] = {}
        both: tuple[tuple[Side, Pane], ...] = (("left", picture), ("right", self.second))
        for side, pane in both:
            label = LabelField(side, self)
            label.worded.connect(lambda words, side=side: self.worded.emit(side, words))
            label.textEdited.connect(lambda _words: self._lay_out())
            self.labels[side] = label
            self.sheets[side] = ClickSheet(side, pane, laying, self)
        self.hint = QLabel("", self)
        self.hint.setStyleSheet(
            f"background: {theme.DARK.panel}; color: {theme.DARK.text};"
            f" border: 1px solid {theme.DARK.note};"
            " border-radius: 5px; padding: 4px 10px; font-weight: 600;"
        )
        self.hint.setAccessibleName("What to click next")
        laying.changed.connect(self._follow_laying)
        self.show_comparison(None)

    @property
    def layout_shown(self) -> Layout:
        """How the pictures stand now; beside each other while places are clicked."""
        if self._shown is None or self._laying.is_on:
            return "beside"
        return self._shown.layout

    def show_comparison(self, comparison: Comparison | None) -> None:
        """Lay the two pictures out, or show the first alone."""
        self._shown = comparison
        on = comparison is not None
        self.second.setVisible(on)
        for label in self.labels.values():
            label.setVisible(on)
        if comparison is not None:
            self.labels["left"].show_words(comparison.left.label)
            self.labels["right"].show_words(comparison.right.label)
            self.second.set_fit(comparison.fit)
        self._lay_out()

    def edit_labels(self) -> None:
        """Put the hand into the left label, or on to the right one."""
        side: Side = "right" if self.labels["left"].hasFocus() else "left"
        self.labels[side].setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.labels[side].selectAll()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay out anew."""
        self._lay_out()

    def _follow_laying(self) -> None:
        words = self._laying.words
        self.hint.setText(f"{words}.   Right button: one back.   Esc: give up." if words else "")
        self._lay_out()

    def _lay_out(self) -> None:
        room, shown = self.rect(), self._shown
        if shown is None:
            self.picture.setGeometry(room)
            self.hint.hide()
            return
        layout = self.layout_shown
        left, right = panes(room, layout)
        self.picture.setGeometry(left)
        self.second.setGeometry(right)
        self.second.lie_over(layout == "over", shown.opacity)
        self.second.raise_()
        places: tuple[tuple[Side, QRect], ...] = (("left", left), ("right", right))
        for side, pane in places:
            row = 1 if layout == "over" and side == "right" else 0
            self._place_label(self.labels[side], pane, row)
            self.sheets[side].setGeometry(pane)
            self.sheets[side].raise_()
        self._place_hint()
        self.seen.emit(layout)

    def _place_label(self, label: LabelField, pane: QRect, row: int) -> None:
        wide = min(label.wide(), max(pane.width() - 2 * MARGIN_PX, 40))
        top = pane.top() + MARGIN_PX + row * (LABEL_PX + 3)
        label.setGeometry(pane.right() - MARGIN_PX - wide, top, wide, LABEL_PX)
        label.raise_()

    def _place_hint(self) -> None:
        self.hint.setVisible(bool(self.hint.text()))
        self.hint.adjustSize()
        size = self.hint.size()
        self.hint.move((self.width() - size.width()) // 2, self.height() - size.height() - 10)
        self.hint.raise_()


def panes(room: QRect, layout: Layout) -> tuple[QRect, QRect]:
    """Where the two pictures stand; both the same size, so that one zoom serves both."""
    if layout == "beside":
        width = (room.width() - GAP_PX) // 2
        left = QRect(room.left(), room.top(), width, room.height())
        return left, left.translated(width + GAP_PX, 0)
    if layout == "above":
        height = (room.height() - GAP_PX) // 2
        upper = QRect(room.left(), room.top(), room.width(), height)
        return upper, upper.translated(0, height + GAP_PX)
    return room, room
