"""The panel of walkthroughs: choose, play, cut, caption, write."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QStackedLayout,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.review.parts.walk_timing import timing_of
from app.review.parts.walkthroughs import Walkthrough
from app.review.values.errors import ReviewError
from app.review.voice import samples_of
from app.window.features.walkthrough.walk_player import WalkPlayer
from app.window.features.walkthrough.walk_timeline import WalkTimeline
from app.window.features.walkthrough.walks import Walks
from app.window.features.walkthrough.walkthrough_recorder import WalkthroughRecorder
from app.window.session.review_session import ReviewSession
from app.window.sound.recording_strip import shape_of
from app.window.sound.words_view import SpokenWordsView
from app.window.sound.writing_down import WritingDown
from app.window.widgets.clock_text import clock_text

EMPTY = (
    "Press F9 and review as if the athlete stood beside you: speak, play, freeze, slow down, "
    "draw. Press F9 again when you are done.\n\n"
    "What you showed is kept with your voice. A slip can be cut out afterwards, and it goes into "
    "the feedback bundle as a film."
)


class WalkPanel(QWidget):
    """Shows the selected walkthrough. Every button is an action of the table."""

    def __init__(
        self,
        walks: Walks,
        recorder: WalkthroughRecorder,
        player: WalkPlayer,
        session: ReviewSession,
        writing: WritingDown,
        actions: dict[str, QAction],
    ) -> None:
        super().__init__()
        self._walks, self._recorder, self._player, self._session = walks, recorder, player, session
        self._actions = actions
        self._shown_sound = self._shown_caption = ""
        self._shape: NDArray[np.float64] = np.zeros(1)
        self._filling = False
        self._record = self._button("record_walk", "● Record")
        self._names = QComboBox()
        self._names.setEditable(True)
        self._names.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self._names.setAccessibleName("Walkthrough, and its title")
        self._names.setToolTip("Choose a walkthrough; type to give it another title.")
        self.timeline = WalkTimeline()
        self._play = self._button("play_walk", "▶ Play")
        self._time = QLabel("")
        self._time.setProperty("role", "quiet")
        self.words = QLineEdit()
        self.words.setPlaceholderText("Words for the span, or from here")
        self.words.setAccessibleName("Caption")
        self.captions = QListWidget()
        self.captions.setAccessibleName("Captions")
        self.captions.setMinimumHeight(30)
        self.spoken = SpokenWordsView(session, writing)
        self.spoken.jump_wanted.connect(self._hear)
        self._stack = QStackedLayout(self)
        self._stack.addWidget(self._lay_out_empty())
        self._stack.addWidget(self._lay_out())
        self._connect()
        self._renew()

    def _lay_out_empty(self) -> QWidget:
        page = QWidget()
        words = QLabel(EMPTY)
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        column = QVBoxLayout(page)
        column.setContentsMargins(12, 12, 12, 12)
        column.setSpacing(10)
        column.addWidget(words)
        self._first = self._button("record_walk", "● Record a walkthrough")
        column.addWidget(self._first, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        return page

    def _lay_out(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(8, 6, 8, 6)
        column.setSpacing(5)
        self._names.setMinimumWidth(120)
        column.addLayout(_row(self._names, self._record, self._button("delete_walk", "Delete")))
        column.addWidget(self.timeline)
        column.addLayout(
            _row(
                self._play,
                self._time,
                None,
                self._button("walk_from", "From here"),
                self._button("walk_to", "To here"),
            )
        )
        column.addLayout(
            _row(
                self._button("walk_cut", "Cut out"),
                self._button("walk_back", "Bring back"),
                None,
                self._button("write_walk", "Write the film"),
            )
        )
        column.addWidget(self.words)
        column.addWidget(self.captions, 1)
        column.addWidget(self.spoken)
        column.addStretch(0)
        return page

    def _button(self, name: str, text: str) -> QToolButton:
        action = self._actions[name]
        button = QToolButton()
        button.setText(text)
        keys = action.shortcut().toString()
        button.setToolTip(f"{action.toolTip()}\nKey: {keys}" if keys else action.toolTip())
        button.setAccessibleName(action.text())
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.clicked.connect(action.trigger)
        button.setEnabled(action.isEnabled())
        action.enabledChanged.connect(button.setEnabled)
        return button

    def _connect(self) -> None:
        walks = self._walks
        walks.chosen.connect(self._renew)
        walks.changed.connect(self._follow)
        walks.words_wanted.connect(self._begin_words)
        self.timeline.seek_wanted.connect(self._seek)
        self.timeline.span_wanted.connect(walks.select)
        self.timeline.caption_picked.connect(walks.choose_caption)
        self._player.changed.connect(lambda on: self._play.setText("■ Stop" if on else "▶ Play"))
        self._recorder.changed.connect(self._show_recording)
        self._names.activated.connect(self._choose)
        edit = self._names.lineEdit()
        if edit is not None:
            edit.editingFinished.connect(lambda: walks.rename(self._names.currentText()))
        self.words.textEdited.connect(walks.say)
        self.words.returnPressed.connect(self._end_words)
        self.captions.itemClicked.connect(self._pick_caption)
        self._session.recordings_changed.connect(lambda: self._renew())

    def _show_recording(self, on: bool) -> None:
        for button, idle in ((self._record, "● Record"), (self._first, "● Record a walkthrough")):
            button.setText("■ End recording" if on else idle)

    def _choose(self, place: int) -> None:
        walks = self._session.state.walkthroughs
        if 0 <= place < len(walks):
            self._walks.choose(walks[place].id)

    def _seek(self, at_s: float) -> None:
        playing = self._player.is_on
        self._player.stop()
        self._walks.go(at_s)
        if playing:
            self._player.toggle()

    def _hear(self, at_s: float) -> None:
        """A word was clicked: let the walkthrough play from there."""
        self._player.stop()
        self._walks.go(at_s)
        self._player.toggle()

    def _begin_words(self) -> None:
        self.words.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.words.selectAll()

    def _end_words(self) -> None:
        """The words are said; the next ones are another caption's."""
        review = self._session.review
        if review is not None:
            review.seal()
        self._walks.select(None)
        self._walks.choose_caption("")
        self.words.clear()

    def _pick_caption(self, item: QListWidgetItem) -> None:
        self._player.stop()
        self._walks.choose_caption(str(item.data(Qt.ItemDataRole.UserRole)))

    def _renew(self) -> None:
        walk = self._walks.selected
        self._stack.setCurrentIndex(0 if walk is None else 1)
        self.spoken.show_sound("" if walk is None else walk.sound_id)
        if walk is None:
            return
        walks = self._session.state.walkthroughs
        edit = self._names.lineEdit()
        if edit is None or not edit.hasFocus() or self._names.count() != len(walks):
            self._names.clear()
            self._names.addItems([w.title or f"Walkthrough {i + 1}" for i, w in enumerate(walks)])
            self._names.setCurrentIndex([w.id for w in walks].index(walk.id))
        self.timeline.set_walk(walk, self._shape_of(walk))
        caption = self._walks.caption
        text, caption_id = (caption.text, caption.id) if caption is not None else ("", "")
        # While it is typed, the line is ahead of the review; setting it would move the cursor.
        typing = self.words.hasFocus() and caption_id == self._shown_caption and text != ""
        if text != self.words.text() and not typing:
            self.words.setText(text)
        self._shown_caption = caption_id
        self._fill_captions(walk)
        self._follow()

    def _fill_captions(self, walk: Walkthrough) -> None:
        self.captions.clear()
        chosen = self._walks.caption
        for caption in walk.captions:
            item = QListWidgetItem(f"{clock_text(caption.from_s, 1)}  {caption.text}")
            item.setData(Qt.ItemDataRole.UserRole, caption.id)
            self.captions.addItem(item)
            if chosen is not None and caption.id == chosen.id:
                self.captions.setCurrentItem(item)
        self.captions.setVisible(bool(walk.captions))

    def _follow(self) -> None:
        walks, walk = self._walks, self._walks.selected
        self.timeline.set_place(walks.at_s, walks.span, walks.begun_s)
        if walk is not None:
            timing = timing_of(walk)
            here = clock_text(timing.to_output(walks.at_s), 1)
            self._time.setText(f"{here} of {clock_text(timing.length_s, 1)}")

    def _shape_of(self, walk: Walkthrough) -> NDArray[np.float64]:
        if walk.sound_id == self._shown_sound:
            return self._shape
        review = self._session.review
        self._shown_sound, self._shape = walk.sound_id, np.zeros(1)
        if walk.sound_id and review is not None:
            try:
                self._shape = shape_of(samples_of(review.sound(walk.sound_id)))
            except ReviewError:
                self._shape = np.zeros(1)
        return self._shape


def _row(*widgets: QWidget | None) -> QHBoxLayout:
    """A row; None is where it stretches, else its first widget does."""
    row = QHBoxLayout()
    row.setSpacing(5)
    for i, widget in enumerate(widgets):
        if widget is None:
            row.addStretch(1)
        else:
            row.addWidget(widget, 1 if i == 0 and None not in widgets else 0)
    return row
