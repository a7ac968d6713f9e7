"""What the coach does about the sections, at the playhead."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QInputDialog, QWidget

from app.review.parts.change import Change
from app.review.parts.sections import (
    LONGEST_NAME,
    SectionBegin,
    SetSections,
    in_order,
    new_section,
)
from app.submission.sections import as_begins
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from analysis.measures.rowed_piece import RowedPiece
    from analysis.sections.section import Section

NEAR_CATCH_S = 0.05
BEFORE_CATCH_S = 0.2  # a begin lies a little before its catch, so that it is that catch it finds
NO_STROKE = "There is no stroke at the playhead; go to one first."
NO_STROKES = "There are no strokes to cut into sections."


class SectionCutting(QObject):
    """Begins, names and joins sections; the first change makes those found the coach's own.

    Attributes
    ----------
    dialog : where a name is typed now, None while none is
    """

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        messages: Messages,
        window: QWidget | None = None,
    ) -> None:
        super().__init__(window)
        self._session, self._playhead, self._messages = session, playhead, messages
        self._window = window
        self.dialog: QInputDialog | None = None

    def begin_here(self) -> None:
        """Begin a section with the stroke at the playhead."""
        sections, at = self._sections(), self._here()
        if at is None:
            return
        piece = self._piece()
        assert piece is not None
        # A frame shown at a catch may lie just before it.
        at_s = self._trace_s() + NEAR_CATCH_S
        stroke = next((s for s in reversed(piece.strokes) if s.catch_s <= at_s), piece.strokes[0])
        if stroke.index == sections[at].first:
            self._messages.say("A section begins with this stroke already.")
            return
        begins = (
            *self._own(sections),
            new_section(stroke.catch_s - BEFORE_CATCH_S, clock=stroke.clock),
        )
        self._set(begins, f"A section begins with stroke {stroke.index + 1}.")

    def name_here(self) -> None:
        """Ask what the section at the playhead is to be called."""
        sections, at = self._sections(), self._here()
        if at is None:
            return
        own = self._own(sections)
        dialog = QInputDialog(self._window)
        dialog.setWindowTitle("Name this section")
        dialog.setLabelText(f"{sections[at].name}\nYour name for it, none to have what was rowed:")
        dialog.setTextValue(own[at].name)
        dialog.textValueSelected.connect(lambda name: self._name(own, at, name))
        dialog.finished.connect(lambda _code: self._leave(dialog))
        self.dialog = dialog
        dialog.open()

    def join_here(self) -> None:
        """Give the strokes of the section at the playhead to the section before."""
        sections, at = self._sections(), self._here()
        if at is None:
            return
        if at == 0:
            self._messages.say("This is the first section; there is none before it.")
            return
        own = self._own(sections)
        self._set((*own[:at], *own[at + 1 :]), "The two sections are one.")

    def as_found(self) -> None:
        """Forget the coach's own sections."""
        if not self._session.state.sections:
            self._messages.say("The sections are those found; you have not changed them.")
            return
        self._set((), "The piece is cut by its rate and pressure again.")

    def _name(self, own: tuple[SectionBegin, ...], at: int, name: str) -> None:
        begin = own[at]
        named = new_section(begin.start_s, name.strip()[:LONGEST_NAME], begin.clock)
        said = f"Named: {named.name}." if named.name else "It is called by what was rowed."
        self._set((*own[:at], named, *own[at + 1 :]), said)

    def _leave(self, dialog: QInputDialog) -> None:
        self.dialog = None
        dialog.deleteLater()

    def _set(self, begins: tuple[SectionBegin, ...], said: str) -> None:
        change: Change = SetSections(in_order(begins))
        self._session.do(change)
        self._messages.say(said, Offer("Undo", self._session.undo))

    def _own(self, sections: tuple[Section, ...]) -> tuple[SectionBegin, ...]:
        """Begins of the coach's own, one for each section that is shown."""
        piece = self._piece()
        return () if piece is None else as_begins(piece, sections)

    def _here(self) -> int | None:
        """Which section the playhead stands in; says why where there is none."""
        sections = self._sections()
        if not sections:
            self._messages.say(NO_STROKES)
            return None
        at_s = self._trace_s()
        if at_s > sections[-1].end_s:
            self._messages.say(NO_STROKE)
            return None
        return max(sum(section.start_s <= at_s for section in sections) - 1, 0)

    def _trace_s(self) -> float:
        return self._session.submission.stroke_clock.trace_time(self._playhead.time_s)

    def _sections(self) -> tuple[Section, ...]:
        return self._session.submission.sections

    def _piece(self) -> RowedPiece | None:
        return self._session.submission.rowed
