"""One of the coach's texts around the notes, with its templates."""

from __future__ import annotations

from typing import Literal

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QInputDialog,
    QLabel,
    QMenu,
    QPlainTextEdit,
    QPushButton,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.bundle.wording.errors import BundleError
from app.bundle.wording.fill import PLACEHOLDERS, Filled
from app.bundle.wording.text_templates import TextTemplates
from app.window.session.own_defaults import OwnDefaults
from app.window.widgets.for_all_row import BACK, SHIPPED, USE

Place = Literal["opening", "next_session"]
USED = "Every review begun from now on starts with this text; change it in each as you like."
FORGOTTEN = "New reviews start without this text; those that have it keep it."
_HELP = "In braces, filled from the review: " + "; ".join(
    f"{{{name}}} {what}" for name, what in PLACEHOLDERS.items()
)


class _Words(QPlainTextEdit):
    """Asks for a few lines only, and takes what room there is."""

    def sizeHint(self) -> QSize:
        """As low as it may be: taller, it would push what stands below out of sight."""
        return QSize(super().sizeHint().width(), self.minimumHeight())


class WordsBox(QWidget):
    """A text field, its templates, and one line that says how the braces come out."""

    written = Signal(str)
    refused = Signal(str)

    def __init__(
        self, place: Place, title: str, hint: str, templates: TextTemplates, own: OwnDefaults,
        parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._place, self._templates, self._own = place, templates, own
        self._language = "en"
        heading = QLabel(title)
        heading.setProperty("role", "heading")
        self.choice = QComboBox()
        self.choice.setAccessibleName(f"Templates for: {title}")
        self.choice.setMinimumWidth(110)
        self.keep = _button(
            "Keep …", "Keep this text as a template under a name, for other reviews"
        )
        self.remove = _button("Remove", "Remove the chosen template of your own")
        self.text = _Words()
        self.text.setAccessibleName(title)
        self.text.setPlaceholderText(hint)
        self.text.setToolTip(_HELP)
        self.text.setTabChangesFocus(True)
        self.text.setMinimumHeight(58)
        self.text.installEventFilter(self)
        self.said = QLabel("")
        self.said.setProperty("role", "quiet")
        self.said.setWordWrap(True)
        top = QHBoxLayout()
        top.addWidget(heading, 1)
        for widget in (self.choice, self.keep, self.remove, self._for_all()):
            top.addWidget(widget)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(top)
        column.addWidget(self.text, 1)
        column.addWidget(self.said)
        self.text.textChanged.connect(lambda: self.written.emit(self.text.toPlainText()))
        self.choice.activated.connect(self._use)
        self.keep.clicked.connect(self._keep)
        self.remove.clicked.connect(self._remove)
        self._fill_choice()

    def _for_all(self) -> QToolButton:
        """The text as a default of all reviews."""
        button = QToolButton()
        button.setText("All reviews")
        button.setToolTip("Begin every new review with this text, or go back to yours")
        button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(button)
        self.use, self.back, self.forget = (menu.addAction(t) for t in (USE, BACK, SHIPPED))
        self.use.triggered.connect(lambda: self._settle(self.text.toPlainText(), USED))
        self.back.triggered.connect(lambda: self.text.setPlainText(self._settled))
        self.forget.triggered.connect(lambda: self._settle("", FORGOTTEN))
        menu.aboutToShow.connect(self._renew_for_all)
        button.setMenu(menu)
        return button

    @property
    def _settled(self) -> str:
        return str(getattr(self._own.now, self._place))

    def _settle(self, text: str, said: str) -> None:
        """Let a text stand in every review that is begun from now on."""
        place = self._place
        if self._own.change(lambda mine: mine.with_text(place, text), said):
            self.said.setText(said)
            self.said.setVisible(True)

    def _renew_for_all(self) -> None:
        text, settled = self.text.toPlainText(), self._settled
        self.use.setEnabled(bool(text.strip()) and text != settled)
        self.back.setEnabled(bool(settled) and text != settled)
        self.forget.setEnabled(bool(settled))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape ends the writing; it does not close the whole panel."""
        if (
            watched is self.text
            and isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Escape
        ):
            self.choice.setFocus(Qt.FocusReason.OtherFocusReason)
            return True
        return super().eventFilter(watched, event)

    def show_text(self, text: str, language: str) -> None:
        """Show what the review holds."""
        if language != self._language:
            self._language = language
            self._fill_choice()
        # Setting the same words again would throw the cursor to the start while typing.
        if self.text.toPlainText() != text:
            with QSignalBlocker(self.text):
                self.text.setPlainText(text)

    def show_filled(self, filled: Filled) -> None:
        """Say how the text comes out."""
        if filled.hint:
            self.said.setText(filled.hint)
        elif filled.text != self.text.toPlainText():
            shown = " ".join(filled.text.split())
            self.said.setText("Reads: " + (shown if len(shown) <= 150 else shown[:149] + "…"))
        else:
            self.said.setText("")
        self.said.setVisible(bool(self.said.text()))

    def keep_as(self, name: str) -> None:
        """Keep the text as a template."""
        try:
            self._templates.keep(self._place, name, self.text.toPlainText())
        except BundleError as error:
            self.refused.emit(str(error))
        self._fill_choice(name)

    def _fill_choice(self, current: str = "") -> None:
        self.choice.clear()
        self.choice.addItem("Templates …")
        self.choice.addItems(self._templates.names(self._place, self._language))
        self.choice.setCurrentIndex(max(0, self.choice.findText(current)) if current else 0)
        self._renew()

    def _renew(self) -> None:
        name = self.choice.currentText()
        self.remove.setEnabled(
            self.choice.currentIndex() > 0 and self._templates.is_own(self._place, name)
        )

    def _use(self, row: int) -> None:
        self._renew()
        if row <= 0:
            return
        text = self._templates.text(self._place, self.choice.currentText(), self._language)
        self.text.setPlainText(text)

    def _keep(self) -> None:
        chosen = self.choice.currentText() if self.choice.currentIndex() > 0 else ""
        name, said = QInputDialog.getText(
            self, "Keep as template", "Name of the template:", text=chosen
        )
        if said:
            self.keep_as(name)

    def _remove(self) -> None:
        try:
            self._templates.remove(self._place, self.choice.currentText())
        except BundleError as error:
            self.refused.emit(str(error))
        self._fill_choice()


def _button(text: str, help_text: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(help_text)
    button.setAutoDefault(False)
    return button
