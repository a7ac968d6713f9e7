"""Whose review this is: the athlete's name and the title, as the bundle will show them."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QEvent, QObject, QSignalBlocker, QStringListModel, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCompleter, QHBoxLayout, QLineEdit, QWidget

from app.review.parts.about import SetAthlete
from app.review.parts.state import ReviewState
from app.window.session.coach_library import CoachLibrary
from app.window.session.library_filling import LibraryFilling
from app.window.session.review_session import ReviewSession

FIELD_PX = 184  # together as wide as what stands under them
LEAST_FIELD_PX = 90


class NamePanel(QWidget):
    """Two fields; what is typed is a change of the review like any other."""

    def __init__(
        self,
        session: ReviewSession,
        library: CoachLibrary,
        filling: LibraryFilling,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._library, self._filling = session, library, filling
        self.athlete = _field("Athlete", "The athlete's name, as it greets them in the bundle")
        self.title = _field("Title", "The title of the bundle")
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 1, 8, 1)
        row.setSpacing(4)
        row.addWidget(self.athlete)
        row.addWidget(self.title)
        for field in (self.athlete, self.title):
            field.textEdited.connect(self._write)
            field.returnPressed.connect(partial(_leave, field))
            field.installEventFilter(self)
        self._names = QStringListModel(self)
        self.athlete.setCompleter(self._proposals())
        library.named.connect(self._take_names)
        session.state_changed.connect(self._take_state)
        self.setEnabled(False)

    def begin(self) -> None:
        """Let the coach type the name."""
        self.athlete.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.athlete.selectAll()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape and Return give the keys back to the bench; half a name is nobody's."""
        if watched is self.athlete and event.type() == QEvent.Type.FocusIn:
            self._library.read_names()
            self._filling.hold(True)
        elif watched is self.athlete and event.type() == QEvent.Type.FocusOut:
            self._filling.hold(False)
        ends = (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if isinstance(watched, QLineEdit) and isinstance(event, QKeyEvent) and event.key() in ends:
            if event.type() == QEvent.Type.KeyPress:
                _leave(watched)
            event.accept()
            return True
        return super().eventFilter(watched, event)

    def _proposals(self) -> QCompleter:
        """The athletes of the library, while a name is typed."""
        proposals = QCompleter(self._names, self)
        proposals.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        proposals.setFilterMode(Qt.MatchFlag.MatchContains)
        proposals.activated.connect(self._choose)
        return proposals

    def _choose(self, name: str) -> None:
        self._session.do(SetAthlete(name, self.title.text()))
        _leave(self.athlete)

    def _take_names(self) -> None:
        self._names.setStringList(list(self._library.names))

    def _write(self) -> None:
        self._session.do(SetAthlete(self.athlete.text(), self.title.text()))

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        self.setEnabled(self._session.review is not None)
        for field, text in ((self.athlete, state.athlete), (self.title, state.title)):
            if field.text() != text:
                with QSignalBlocker(field):
                    field.setText(text)


def _leave(field: QLineEdit) -> None:
    """Give the keys back. While its proposals stand, a field never hears that they went."""
    proposals = field.completer()
    popup = None if proposals is None else proposals.popup()
    if popup is not None:
        popup.hide()
    field.clearFocus()


def _field(name: str, help_text: str) -> QLineEdit:
    field = QLineEdit()
    field.setPlaceholderText(name)
    field.setAccessibleName(name)
    field.setToolTip(f"{help_text}\nKey: F2")
    field.setMinimumWidth(LEAST_FIELD_PX)
    field.setMaximumWidth(FIELD_PX)
    return field
