"""What is sent, and how: notes, words, sender, shape, size; a look at it before it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from app.bundle.options import SUFFIX, Shape
from app.bundle.sources.placeholders import values_of
from app.bundle.wording.errors import BundleError
from app.bundle.wording.fill import fill
from app.bundle.wording.text_templates import TextTemplates
from app.review.parts.change import Change
from app.review.parts.sending import LeaveOut, PickNotes, SetSending, WriteWords
from app.review.parts.state import ReviewState
from app.window.features.sending.ask_once import AskOnce
from app.window.features.sending.sending import Sending
from app.window.features.sending.sending_details import Details, before_sending
from app.window.features.sending.sending_logo import logo_from
from app.window.features.sending.sending_notes import NotesPicker
from app.window.features.sending.sending_parts import PartsPicker, parts_of
from app.window.features.sending.sending_prepare import Preparing, Ready
from app.window.features.sending.sending_words import WordsBox
from app.window.features.sending.shapes import SHAPES, row_of, usual_shape
from app.window.features.sending.unread_offer import UnreadOffer
from app.window.session.review_session import ReviewSession
from app.window.session.settings import data_folder
from app.window.widgets import theme
from app.window.widgets.scroll_frame import fit_dialog, scrolled

if TYPE_CHECKING:
    from app.bundle.sources.recordings import Sources

PICTURES = "Pictures (*.png *.jpg *.jpeg *.webp *.gif *.bmp)"


class SendingPanel(QDialog):
    """Shows the plan of the review and turns gestures into changes of it."""

    def __init__(
        self,
        session: ReviewSession,
        sending: Sending,
        preparing: Preparing,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("What goes out")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._session, self._sending, self._preparing = session, sending, preparing
        self._then: Callable[[Ready], None] | None = None
        self._sources: Sources | None = None
        self._shape_chosen = False
        templates = TextTemplates(data_folder() / "templates.json")
        self.notes = NotesPicker()
        self.parts = PartsPicker()
        self.opening = WordsBox(
            "opening", "First words", "What the page says first. Without it, the first cues.",
            templates, session.own,
        )  # fmt: skip
        self.following = WordsBox(
            "next_session", "Until next time", "What to row and to film until then.",
            templates, session.own,
        )  # fmt: skip
        self.details = Details()
        self.shapes = QButtonGroup(self)
        self.said = QLabel(templates.problem)
        self.said.setWordWrap(True)
        self.reminder = QLabel("")
        self.reminder.setWordWrap(True)
        theme.follow(self._dress)
        self.unread = UnreadOffer()
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.look = _button("Look at it", "Open in the browser exactly what will be sent")
        self.write = _button("Send", "Write it beside the review, to be handed to the athlete")
        self.elsewhere = _button("Save elsewhere …", "Choose where it is written")
        self.write.setProperty("role", "first")
        self._ask_once = AskOnce(sending, self.write, self.said, "Send anyway")
        self._lay_out()
        self._connect()
        fit_dialog(self, 1080, 690)
        sending.take_remembered()
        self.notes.show_notes(session.state, self._usual_order(session.state))
        self.parts.show_parts(session.state)
        self._take_state(session.state, session.state)
        preparing.begin()

    @property
    def shape(self) -> Shape:
        """The shape that is chosen."""
        return SHAPES[self.shapes.checkedId()][0]

    def _dress(self) -> None:
        edge = f"border: 0px solid {theme.WARNING}; border-left-width: 3px; padding-left: 8px;"
        self.reminder.setStyleSheet(f"QLabel {{ {edge} }}")

    def _settle_language(self, language: str) -> None:
        """Let new reviews begin with the language of the coach's own words."""
        said = "Every review begun from now on takes your own words to be in this language."
        if not language:
            said = "New reviews say nothing of the language of your own words."
        self._session.own.change(lambda mine: replace(mine, own_language=language), said)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Nothing is lost: the plan is in the review."""
        self._preparing.end()
        event.accept()

    def reject(self) -> None:
        """Escape closes as the button does."""
        self.close()

    def _lay_out(self) -> None:
        rule = QFrame()
        rule.setProperty("role", "rule")
        right = QVBoxLayout()
        right.setSpacing(8)
        right.addWidget(self.opening, 3)
        right.addWidget(self.following, 2)
        right.addWidget(rule)
        right.addWidget(self.details)
        top = QHBoxLayout()
        top.setSpacing(14)
        left = QVBoxLayout()
        left.setSpacing(10)
        left.addWidget(self.notes, 1)
        left.addWidget(self.parts)
        top.addLayout(left, 2)
        top.addLayout(right, 3)
        column = QVBoxLayout(self)
        column.addWidget(scrolled(top), 1)
        reminded = QHBoxLayout()
        reminded.addWidget(self.reminder, 1)
        reminded.addWidget(self.unread)
        column.addLayout(reminded)
        column.addLayout(self.details.consent_row())
        column.addLayout(self._shape_row())
        column.addWidget(self.bar)
        column.addLayout(self._end_row())

    def _shape_row(self) -> QHBoxLayout:
        row = QHBoxLayout()
        heading = QLabel("Send as")
        heading.setProperty("role", "heading")
        row.addWidget(heading)
        for number, (_, name, help_text) in enumerate(SHAPES):
            button = QRadioButton(name)
            button.setToolTip(help_text)
            self.shapes.addButton(button, number)
            row.addWidget(button)
        self.shapes.idClicked.connect(self._choose_shape)
        row.addStretch(1)
        return row

    def _choose_shape(self, _row: int) -> None:
        self._shape_chosen = True

    def _end_row(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.addWidget(self.said, 1)
        close = _button("Close", "Everything is kept in the review (Esc)")
        close.clicked.connect(self.close)
        for button in (self.look, self.elsewhere, self.write, close):
            row.addWidget(button)
        return row

    def _connect(self) -> None:
        self._session.state_changed.connect(self._take_state)
        self._session.opening.connect(self.close)
        self.notes.picked.connect(lambda ids: self._do(PickNotes(ids)))
        self.parts.left_out.connect(lambda part, out: self._do(LeaveOut(part, out)))
        self.opening.written.connect(lambda text: self._do(WriteWords("opening", text)))
        self.following.written.connect(lambda text: self._do(WriteWords("next_session", text)))
        for box in (self.opening, self.following):
            box.refused.connect(self.said.setText)
        self.details.changed.connect(self._do)
        self.details.fit_wanted.connect(
            lambda megabytes: self._preparing.fit(self.shape, megabytes * 1_000_000)
        )
        self.details.own_language_settled.connect(self._settle_language)
        self.details.logo_wanted.connect(self._choose_logo)
        self.details.logo_gone.connect(lambda: self._sending.use_logo(None))
        self.unread.wanted.connect(self._show_note)
        self.look.clicked.connect(lambda: self._when_ready(self._look))
        self.write.clicked.connect(
            lambda: self._ask_once.before(lambda: self._when_ready(self._write))
        )
        self.elsewhere.clicked.connect(lambda: self._ask_once.before(self._write_elsewhere))
        self._session.state_changed.connect(self._ask_once.renew)
        self._preparing.progressed.connect(self._progress)
        self._preparing.outdated.connect(self._forget_sizes)
        self._preparing.ready.connect(self._take_ready)
        self._preparing.failed.connect(self._refuse)
        self._preparing.doubted.connect(self._ask)
        self._preparing.fitted.connect(self.said.setText)

    def _ask(self, doubt: Exception) -> None:
        """Nothing is made of another recording: the bench asks which one is meant."""
        self.close()
        self._session.refuse(doubt)

    def _show_note(self, note_id: str) -> None:
        self.close()
        self._sending.note_wanted.emit(note_id)

    def _do(self, change: Change) -> None:
        self._session.do(change)
        if isinstance(change, SetSending):
            self._sending.remember()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if self._session.review is None:
            return
        plan, old = state.sending, before.sending
        order = (state.notes, state.decisions, plan.notes)
        if order != (before.notes, before.decisions, old.notes):
            self.notes.show_notes(state, self._usual_order(state))
        if parts_of(state) != parts_of(before) or plan.left_out != old.left_out:
            self.parts.show_parts(state)
        self.opening.show_text(plan.opening, plan.language)
        self.following.show_text(plan.next_session, plan.language)
        self.details.show_state(state, self._session.review.logo())
        said = before_sending(state)
        self.reminder.setText("Before you send: " + " ".join(said))
        self.reminder.setVisible(bool(said))
        self.unread.show_state(state)
        if not self._shape_chosen:
            self.shapes.button(row_of(usual_shape(state))).setChecked(True)
        self._show_filled(state)

    def _usual_order(self, state: ReviewState) -> tuple[str, ...]:
        from app.bundle.notes.note_cards import cards_of
        from app.bundle.sources.recordings import sources_of

        self._sources = sources_of(self._session.submission)
        plain = replace(state, sending=replace(state.sending, notes=()))
        return tuple(card.note.id for card in cards_of(plain, self._sources))

    def _show_filled(self, state: ReviewState) -> None:
        if self._sources is None:
            return
        plan = state.sending
        present = {note.id for note in state.notes}
        sent = sum(1 for i in plan.notes if i in present) if plan.notes else len(state.notes)
        values = values_of(state, self._sources, sent)
        self.opening.show_filled(fill(plan.opening, values))
        self.following.show_filled(fill(plan.next_session, values))

    def _choose_logo(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Choose a logo", "", PICTURES)
        if not name:
            return
        try:
            self._sending.use_logo(logo_from(Path(name)))
        except BundleError as error:
            self.said.setText(str(error))

    def _when_ready(self, then: Callable[[Ready], None]) -> None:
        """Do something with the bundle, at once or when it is made."""
        ready = self._preparing.current
        if ready is not None:
            then(ready)
        else:
            self._then = then
            self.said.setText("This goes on as soon as the bundle is ready …")
            self._preparing.begin()

    def _look(self, ready: Ready) -> None:
        self.said.setText("Opened in your browser, exactly as it will be sent.")
        self._sending.look_at(ready, self.shape)

    def _write(self, ready: Ready, out: Path | None = None) -> None:
        self._sending.deliver(ready, self.shape, out)

    def _write_elsewhere(self) -> None:
        usual = self._sending.usual_place(self.shape)
        name, _ = QFileDialog.getSaveFileName(
            self, "Write the bundle as", str(usual or ""), f"Bundle (*{SUFFIX[self.shape]})"
        )
        if name:
            self._when_ready(lambda ready: self._write(ready, Path(name)))

    def _progress(self, share: float, doing: str) -> None:
        self.bar.setRange(0, 1000)
        self.bar.setValue(round(1000 * share))
        if self._then is None and not self._ask_once.is_asking:
            self.said.setText(f"Preparing, to know the size: {doing.lower()} …")

    def _forget_sizes(self) -> None:
        for number, (_, name, _help) in enumerate(SHAPES):
            self.shapes.button(number).setText(f"{name} (…)")
        if self._then is None and not self._ask_once.is_asking:
            self.said.setText("Preparing, to know the size …")

    def _take_ready(self, ready: Ready) -> None:
        self.bar.setValue(self.bar.maximum())
        for number, (shape, name, _help) in enumerate(SHAPES):
            size = ready.built.size(shape) / 1e6
            self.shapes.button(number).setText(f"{name} ({size:.1f} MB)")
        self.said.setText(" ".join(("Ready.", *ready.built.remarks)))
        then, self._then = self._then, None
        if then is not None:
            then(ready)

    def _refuse(self, sentence: str) -> None:
        self._then = None
        self.said.setText(sentence)


def _button(text: str, help_text: str) -> QPushButton:
    button = QPushButton(text)
    button.setToolTip(help_text)
    button.setAutoDefault(False)
    return button
