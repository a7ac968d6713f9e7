"""What is said in a voice, in words: read, jump by a click, correct, accept."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QTextCharFormat, QTextCursor
from PySide6.QtWidgets import QHBoxLayout, QLabel, QTextEdit, QVBoxLayout, QWidget

from app.review.parts.spoken_words import (
    AcceptWords,
    CorrectWords,
    RemoveWords,
    SpokenText,
    SpokenWord,
    spoken_of,
)
from app.review.parts.state import ReviewState
from app.window.session.review_session import ReviewSession
from app.window.sound.writing_down import WritingDown
from app.window.widgets import theme
from app.window.widgets.buttons import quiet_button

DRAFT: Final = "Draft by a program: not sent until you accept it."
SENT_UNREAD: Final = "Draft by a program: sent marked as unread."
ACCEPTED: Final = "Accepted: sent with the voice."
CORRECTING: Final = "Correct the words; those that stay keep their moments."
REMOVED: Final = "The words were removed; the voice is kept."
CLICK: Final = "Click a word to hear it. Dotted words were put right by the trade's words."


class SpokenWordsView(QWidget):
    """The words of one sound; hidden where there is no sound.

    Attributes
    ----------
    jump_wanted : a word was clicked: its moment, seconds into the recording
    """

    jump_wanted = Signal(float)

    def __init__(
        self, session: ReviewSession, writing: WritingDown, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self._writing = session, writing
        self._sound = ""
        self._shown: SpokenText | None = None
        self._is_correcting = False
        self.text = QTextEdit()
        self.text.setAcceptRichText(False)
        self.text.setTabChangesFocus(True)
        self.text.setAccessibleName("What is said, in words")
        self.text.setToolTip(CLICK)
        self.text.setFixedHeight(64)
        self.text.viewport().installEventFilter(self)
        self.text.installEventFilter(self)
        self.says = QLabel("")
        self.says.setProperty("role", "quiet")
        self.says.setWordWrap(True)
        self.accept = quiet_button("Accept", "Let these words stand as yours.", self._accept)
        self.correct = quiet_button("Correct", "Put the words right.", self._correct)
        self.again = quiet_button("Write down", "Write this voice down.", self._write)
        self.remove = quiet_button("×", "Remove the words; the voice stays.", self._remove)
        self.remove.setAccessibleName("Remove the words")
        self._lay_out()
        session.state_changed.connect(self._take_state)
        writing.changed.connect(self._renew)
        self._renew()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.text)
        row = QHBoxLayout()
        row.setSpacing(5)
        row.addWidget(self.says, 1)
        for button in (self.again, self.accept, self.correct, self.remove):
            row.addWidget(button)
        column.addLayout(row)

    def show_sound(self, sound_id: str) -> None:
        """Show the words of this sound; "" hides them."""
        if sound_id != self._sound:
            self._end_correcting()
            self._sound = sound_id
        self._renew()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A click on a word jumps; leaving the field or Escape ends a correction."""
        if watched is self.text.viewport() and isinstance(event, QMouseEvent):
            if event.type() == QEvent.Type.MouseButtonRelease and not self._is_correcting:
                self._jump(self.text.cursorForPosition(event.position().toPoint()))
        elif watched is self.text and self._is_correcting:
            if event.type() == QEvent.Type.FocusOut:
                self._end_correcting()
            elif isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
                event.accept()  # also as a shortcut: Escape ends no mode of the bench here
                if event.type() == QEvent.Type.KeyPress:
                    self.text.clearFocus()
                return True
        return super().eventFilter(watched, event)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.spoken != before.spoken or state.sending != before.sending:
            self._renew()

    def _renew(self) -> None:
        self.setVisible(bool(self._sound))
        if not self._sound or self._is_correcting:
            return
        spoken = spoken_of(self._session.state, self._sound)
        has_words = spoken is not None and bool(spoken.words)
        self.text.setVisible(has_words)
        for button in (self.accept, self.correct, self.remove):
            button.setVisible(has_words)
        self.again.setVisible(not has_words)
        self.text.setReadOnly(True)
        if spoken is None or not has_words:
            self._shown = None
            why = REMOVED if spoken is not None else self._writing.why_not(self._sound)
            self.says.setText(why)
            self.again.setEnabled(self._writing.can_now)
            return
        if spoken != self._shown:
            self._show(spoken.words)
            self._shown = spoken
        self.correct.setText("Correct")
        self.accept.setText("Draft again" if spoken.accepted else "Accept")
        unread = SENT_UNREAD if self._session.state.sending.unread_words else DRAFT
        self.says.setText(ACCEPTED if spoken.accepted else unread)

    def _show(self, words: tuple[SpokenWord, ...]) -> None:
        self.text.clear()
        cursor = self.text.textCursor()
        usual = QTextCharFormat()
        for i, word in enumerate(words):
            cursor.insertText(" " if i else "", usual)
            look = QTextCharFormat()
            if word.heard:
                look.setUnderlineStyle(QTextCharFormat.UnderlineStyle.DotLine)
                look.setUnderlineColor(QColor(theme.TEXT))
                look.setToolTip(f"Heard: {word.heard}")
            cursor.insertText(word.text, look)
        self.text.moveCursor(QTextCursor.MoveOperation.Start)

    def _jump(self, cursor: QTextCursor) -> None:
        if self._shown is None:
            return
        before = self.text.toPlainText()[: cursor.position()]
        place = before.count(" ")
        if place < len(self._shown.words):
            self.jump_wanted.emit(self._shown.words[place].from_s)

    def _accept(self) -> None:
        self._end_correcting()
        spoken = spoken_of(self._session.state, self._sound)
        if spoken is not None:
            self._session.do(AcceptWords(self._sound, not spoken.accepted))

    def _correct(self) -> None:
        if self._is_correcting:
            self._end_correcting()
            return
        self._is_correcting = True
        self.text.setReadOnly(False)
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)
        self.text.moveCursor(QTextCursor.MoveOperation.End)
        self.correct.setText("Done")
        self.says.setText(CORRECTING)

    def _end_correcting(self) -> None:
        if not self._is_correcting:
            return
        self._is_correcting = False
        text = " ".join(self.text.toPlainText().split())
        spoken = spoken_of(self._session.state, self._sound)
        self._shown = None
        if spoken is not None and text != spoken.text:
            review = self._session.review
            if review is not None:
                review.seal()  # each correction is a step of its own
            self._session.do(CorrectWords(self._sound, text))
        self._renew()

    def _write(self) -> None:
        self._writing.again(self._sound)

    def _remove(self) -> None:
        self._end_correcting()
        self._session.do(RemoveWords(self._sound))
