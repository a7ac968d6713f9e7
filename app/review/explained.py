"""An explanation put into a review as one step: its note, what it draws, and what lies beside."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from app.review.parts.change import Change
from app.review.parts.comparisons import AddComparison, Comparison
from app.review.parts.curve_marks import AddCurveMark, CurveMark
from app.review.parts.findings import KeepFinding
from app.review.parts.marks import AddMark, Mark
from app.review.parts.notes import AddNote, Note
from app.review.parts.spoken_words import SpokenText, without_lost_words

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class UseExplanation(Change):
    """Put a note, its marks and its words into the review; undo takes all of it back at once.

    Attributes
    ----------
    code : of the finding that is kept by it, "" for none; the note it had become before gives way
    spoken : the words of the note's voice
    comparison : a reference stroke beside the athlete's own
    """

    note: Note
    code: str = ""
    marks: tuple[Mark, ...] = ()
    curve_marks: tuple[CurveMark, ...] = ()
    spoken: SpokenText | None = None
    comparison: Comparison | None = None
    label: ClassVar[str] = "use the explanation"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with all of it; what is drawn there already is not drawn twice."""
        begin: Change = KeepFinding(self.code, self.note) if self.code else AddNote(self.note)
        state = without_lost_words(begin.apply(state))
        for mark in self.marks:
            if not any(replace(mark, id=other.id) == other for other in state.marks):
                state = AddMark(mark).apply(state)
        for on_curve in self.curve_marks:
            if not any(replace(on_curve, id=other.id) == other for other in state.curve_marks):
                state = AddCurveMark(on_curve).apply(state)
        if self.spoken is not None:
            state = replace(state, spoken=(*state.spoken, self.spoken))
        if self.comparison is not None:
            state = AddComparison(self.comparison).apply(state)
        return state
