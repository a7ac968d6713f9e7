"""Lining up footage and force by hand: a catch in the picture, the same catch on the trace."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from analysis.clocks.alignment import (
    DRIFT_SPAN_S,
    NOT_TOGETHER,
    Alignment,
    AlignmentError,
    Pair,
    align_by_pairs,
)
from app.review.parts.line_up import SetLineUp
from app.review.parts.state import ReviewState
from app.submission.line_up_method import LineUpMethod, Origin
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages, Offer
from app.window.widgets.clock_text import clock_text

if TYPE_CHECKING:
    from app.submission.lining_up import LineUp as Found

SAME_MOMENT_S = 2.0


class LineUp(QObject):
    """Collects pairs of moments and turns them into a line-up, one undoable change a pair."""

    picking_changed = Signal(bool)

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._session = session
        self._messages = messages
        self._video_s: float | None = None

    @property
    def is_picking(self) -> bool:
        """Whether a catch was marked in the picture and its twin on the trace is awaited."""
        return self._video_s is not None

    def mark(self) -> None:
        """Mark the moment in the picture as a catch; again: give up."""
        if self._session.footage is None or self._session.submission.piece is None:
            self._messages.warn("Lining up needs footage and force; add the one that is missing.")
            return
        if self.is_picking:
            self.give_up()
            return
        self._video_s = self._playhead.moment_s
        self._playhead.pause()
        self._messages.say(
            f"Catch marked in the picture at {clock_text(self._video_s)}. "
            "Now click the same catch on the trace below.",
            Offer("Give up", self.give_up),
        )
        self.picking_changed.emit(True)

    def give_up(self) -> None:
        """Leave the line-up as it was."""
        if self.is_picking:
            self._video_s = None
            self.picking_changed.emit(False)
            self._messages.say("The line-up was left as it was.")

    def pick(self, trace_s: float) -> None:
        """The same catch was clicked on the trace."""
        if self._video_s is None:
            return
        new = Pair(self._video_s, trace_s)
        self._video_s = None
        self.picking_changed.emit(False)
        # Marking near an old pair corrects it.
        kept = [
            p for p in self._session.state.pairs if abs(p.video_s - new.video_s) > SAME_MOMENT_S
        ]
        pairs = tuple(sorted((*kept, new), key=lambda p: p.video_s))
        try:
            alignment = self._solve(pairs, new)
        except AlignmentError as error:
            self._messages.warn(str(error), Offer("Use this pair alone", lambda: self._use((new,))))
            return
        self._set(pairs, alignment)

    def clear(self) -> None:
        """Forget all pairs: both recordings are taken to have begun together."""
        self._session.do(SetLineUp((), Alignment()))
        self._messages.say("The line-up was cleared; both recordings count from their own start.")

    def _use(self, pairs: tuple[Pair, ...]) -> None:
        self._set(pairs, self._solve(pairs, pairs[-1]))

    def _solve(self, pairs: tuple[Pair, ...], newest: Pair) -> Alignment:
        """The line through the pairs; of a film with a cut, on the side of the newest alone."""
        footage, piece = self._session.footage, self._session.submission.piece
        frame_s = 1.0 / footage.facts.fps if footage else 1.0 / 30.0
        sample_s = piece.trace.interval_s if piece else 0.01
        old = self._session.state.alignment
        if not old.is_partial:
            return align_by_pairs(pairs, frame_s, sample_s)
        from_s, until_s = old.side_at(newest.video_s)
        side = Alignment(from_s=from_s, until_s=until_s)
        own = [pair for pair in pairs if side.reaches(pair.video_s)]
        found = align_by_pairs(own, frame_s, sample_s)
        return old.with_part(replace(found, from_s=from_s, until_s=until_s))

    def _set(self, pairs: tuple[Pair, ...], alignment: Alignment) -> None:
        self._session.do(SetLineUp(pairs, alignment))
        self._messages.say(describe(alignment, pairs) + ".")


def describe_found(state: ReviewState, found: Found | None) -> str:
    """Describe the line-up of a review, or why a search laid none."""
    assumed = not state.pairs and LineUpMethod.parse(state.alignment.method).origin
    if assumed is Origin.ASSUMED and found is not None and found.verdict == "not together":
        return f"Not lined up. {NOT_TOGETHER}"
    return describe(state.alignment, state.pairs)


def describe(alignment: Alignment, pairs: tuple[Pair, ...]) -> str:
    """One line about a line-up, with how sure it is."""
    if not pairs and LineUpMethod.parse(alignment.method).origin is Origin.ASSUMED:
        return "Not lined up: both taken to start together"
    if alignment.ambiguous:
        return f"Lined up {alignment.method}, but other strokes fit as well: J steps through them"
    text = f"Lined up {alignment.how_sure}"
    if alignment.further:
        rest = ". The rest is not lined up" if alignment.has_gap else ""
        return (
            f"Lined up {alignment.method}, each side of the film's cuts by itself: "
            f"{alignment.reach}{rest}"
        )
    if alignment.is_partial:
        return f"{text}; {alignment.reach}. The rest is not lined up"
    if alignment.drift_said:
        return f"{text}; {alignment.drift_said}"
    if alignment.drift_ppm:
        return f"{text}; both clocks run alike"
    if pairs and pairs[-1].video_s - pairs[0].video_s < DRIFT_SPAN_S:
        return (
            f"{text}; a second catch {DRIFT_SPAN_S:.0f} s away shows whether both clocks run alike"
        )
    return text
