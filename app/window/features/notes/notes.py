"""Making, changing and taking away notes."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, Signal

from app.review.parts.notes import AddNote, DeleteNote, EditNote, Note, new_note
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.message_line import Messages
from app.window.views.transport import Transport

SAME_S: Final = 0.05  # so near to a note the picture is the same
KEPT_HERE = (
    "The finding kept here is this note: its words are open. For a note on something else choose"
    " another moment."
)


class Notes(QObject):
    """Makes, changes and takes away notes; knows which one is selected."""

    look_wanted = Signal()  # the selected note is new: let it be seen

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        transport: Transport,
        selection: Selection,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._session = session
        self._transport = transport
        self._messages = messages
        self._selection = selection
        self.chosen, self.writing_wanted = selection.note_chosen, selection.writing_wanted
        selection.note_wanted.connect(lambda note_id: self.choose(note_id, go=True))

    @property
    def selected(self) -> Note | None:
        """The note chosen."""
        return next((n for n in self._session.state.notes if n.id == self._selection.note_id), None)

    def drop(self) -> None:
        """Pin a note to this moment; the coach types on at once, playing goes on.

        Where the chosen note is a finding just kept here, its words are opened instead, unless the
        coach has worded it already.
        """
        if self._session.review is None:
            self._messages.warn("Open footage or force first; a note needs a moment to stand at.")
            return
        moment_s = self._playhead.moment_s
        kept = self._kept_at(moment_s)
        if kept is not None:
            self.writing_wanted.emit(kept.id)
            self._messages.say(KEPT_HERE)
            return
        note = new_note(
            moment_s, phase=self.phase_at(moment_s), on_force=self.is_on_force(moment_s)
        )
        self._session.do(AddNote(note))
        self.choose(note.id)
        self.writing_wanted.emit(note.id)

    def _kept_at(self, moment_s: float) -> Note | None:
        """The chosen note, where it is a kept finding's, in its words, and of this moment."""
        from app.review.finding_notes import finding_text

        note, decisions = self.selected, self._session.state.decisions
        code = next((d.code for d in decisions if note and d.kept and d.note_id == note.id), "")
        found = next((f for f in self._session.submission.findings if f.code == code), None)
        if note is None or not code or (found and note.text != finding_text(found)):
            return None
        return note if abs(note.video_s - moment_s) <= SAME_S else None

    def choose(self, note_id: str, go: bool = False) -> None:
        """Select a note, and go to its moment when asked."""
        self._selection.choose_note(note_id)
        note = self.selected
        if go and note is not None:
            self._playhead.seek(note.video_s)

    def show(self) -> None:
        """Let the selected note be seen; the keys stay where they are."""
        self.look_wanted.emit()

    def go_on(self) -> None:
        """Say that the chosen note is written, and what comes next is wanted."""
        self._selection.writing_done.emit(self._selection.note_id)

    def write(self, text: str) -> None:
        """Change the words of the selected note."""
        if self.selected is not None:
            self._session.do(EditNote(self._selection.note_id, text=text))

    def tag(self, phase: str, body_part: str) -> None:
        """Change the tags of the selected note."""
        if self.selected is not None:
            self._session.do(EditNote(self._selection.note_id, phase=phase, body_part=body_part))

    def span_stroke(self, whole: bool) -> None:
        """Let the selected note span its stroke, or only its moment."""
        note, clock = self.selected, self._transport.clock
        if note is None:
            return
        stroke = clock.stroke_at(note.video_s) if clock is not None else None
        if not whole:
            self._session.do(EditNote(note.id, end_s=None, stroke=None))
        elif clock is not None and stroke is not None:
            span = clock.span_of(stroke)
            start = min(note.video_s, span.end_s)
            change = EditNote(
                note.id,
                video_s=min(start, span.start_s),
                end_s=span.end_s,
                # A stroke from the picture has no number in the force, and stays on its frames.
                stroke=None if clock.is_from_picture else stroke.index,
                on_force=not clock.is_from_picture,
            )
            self._session.do(change)

    def delete(self) -> None:
        """Take the selected note away."""
        note = self.selected
        if note is None:
            self._messages.say("Choose a note first.")
            return
        self._session.do(DeleteNote(note.id))
        self.choose("")
        self._messages.say("The note was deleted; undo brings it back.")

    def is_on_force(self, time_s: float) -> bool:
        """Whether a note here speaks of the curve: there is no picture of this moment."""
        if self._session.submission.piece is None:
            return False
        footage = self._session.footage
        return footage is None or not footage.index.holds(time_s)

    def phase_at(self, time_s: float) -> str:
        """What a note here most likely speaks of, so that the coach need not say."""
        clock = self._transport.clock
        stroke = clock.stroke_at(time_s) if clock is not None else None
        if clock is None or stroke is None:
            return ""
        percent = clock.percent_at(stroke, time_s, "time")
        if percent is None:
            return "recovery"
        return "catch" if percent < 15 else "finish" if percent > 85 else "drive"
