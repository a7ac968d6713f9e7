"""What the views show follows the open review and the playhead."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QSize

from app.review.parts.state import ReviewState
from app.submission.clock import ReviewClock
from app.submission.submission import LoadedSubmission
from app.window.session.footage import Footage
from app.window.session.playhead import Playhead, Span
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.tasks.message_line import Messages
from app.window.views.frame_supply import FrameSupply
from app.window.views.picture import PictureView
from app.window.views.sound_player import SoundPlayer
from app.window.views.stroke_panel import StrokeView
from app.window.views.trace_view import TraceView

if TYPE_CHECKING:
    from app.media.courier import ShownFrame

NO_FOOTAGE = "No footage. Drop it here to see the strokes; the force alone can be reviewed too."
OUTSIDE = "The footage does not show this moment."
GAP = "Nothing was filmed here for {length_s:.1f} s; the next film goes on."


class Showing(QObject):
    """Listens to the session, the playhead and the selection, and tells the views."""

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        selection: Selection,
        supply: FrameSupply,
        sound: SoundPlayer,
        picture: PictureView,
        trace: TraceView,
        stroke: StrokeView,
        messages: Messages,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._session, self._playhead = session, playhead
        self._supply, self._sound, self._picture = supply, sound, picture
        self._trace, self._stroke = trace, stroke
        self._shown: Path | None = None  # the first film
        playhead.wanted.connect(trace.show_wanted)
        playhead.moved.connect(trace.follow)
        playhead.loop_changed.connect(trace.set_loop)
        supply.frame_ready.connect(self._show_frame)
        supply.lost.connect(messages.warn)
        picture.size_wanted.connect(supply.set_size)
        picture.stepped.connect(playhead.step)
        trace.seek_wanted.connect(playhead.seek)
        trace.note_chosen.connect(selection.note_wanted)
        selection.finding_chosen.connect(stroke.show_evidence)
        session.first_frame.connect(picture.show_frame)
        session.recordings_changed.connect(self.show_recordings)
        session.body_changed.connect(self._show_body)
        session.state_changed.connect(self._show_state)

    def show_recordings(self) -> None:
        """Show other recordings, from their start; further films of those shown, where they are."""
        was_s, shown = self._playhead.wanted_s, self._shown
        footage, submission = self._session.footage, self._session.submission
        self._supply.set_footage(footage)
        self._sound.set_footage(footage)
        self._picture.set_source_size(_size(footage))
        if footage is None:
            self._picture.show_frame(None)
            self._picture.set_words(NO_FOOTAGE)
        else:
            # What is on screen stays until the first frame comes; it may be that frame already.
            self._picture.set_words(OUTSIDE)
        self._picture.zoom_to_fit()
        self._show_strokes()
        span = _span(submission, footage)
        self._trace.set_range(span, start_over=True)
        self._playhead.set_recordings(span, footage.index if footage else None)
        self._trace.set_films(() if footage is None else films_shown(footage))
        self._shown = None if footage is None else footage.path
        if shown is not None and shown == self._shown and submission.films[1:]:
            self._playhead.seek(was_s)
        self._stroke.renew()

    def _show_frame(self, frame: ShownFrame | None) -> None:
        footage = self._session.footage
        if frame is None and footage is not None:
            gap = footage.index.gap_at(self._playhead.wanted_s)
            words = OUTSIDE if gap is None else GAP.format(length_s=gap[1] - gap[0])
            self._picture.set_words(words)
        self._picture.show_frame(frame)

    def _show_strokes(self) -> None:
        """Show the strokes of the force, or of a film alone those seen in it."""
        sent = self._session.submission
        self._trace.set_alignment(sent.stroke_clock.in_force)
        self._trace.set_piece(sent.rowed, None if sent.piece is None else sent.piece.trace)
        self._trace.set_sections(sent.sections, sent.outlying)

    def _show_body(self) -> None:
        """The body is known otherwise: of a film alone, so are its strokes."""
        if self._session.submission.piece is None:
            self._show_strokes()
            self._stroke.renew()

    def _show_state(self, state: ReviewState, before: ReviewState) -> None:
        self._picture.set_turn(state.turn)
        submission = self._session.submission
        if ReviewClock.of(state) != ReviewClock.of(before):
            self._trace.set_alignment(submission.stroke_clock.in_force)
            span = _span(submission, self._session.footage)
            self._playhead.set_range(span)
            self._trace.set_range(span)
            self._stroke.renew()
        if state.notes != before.notes:
            self._trace.set_notes(state.notes)
        if state.sections != before.sections:
            self._trace.set_sections(submission.sections, submission.outlying)
            self._stroke.renew()


def _size(footage: Footage | None) -> QSize | None:
    return None if footage is None else QSize(footage.facts.width, footage.facts.height)


def films_shown(footage: Footage) -> tuple[Span, ...]:
    """The stretches the films show, of several; one alone needs no telling."""
    if not footage.more:
        return ()
    begins = [film.starts_s for film in footage.reel]
    ends = [index.end_s for index in (footage.own, *(index for _film, index in footage.more))]
    return tuple(Span(a, b) for a, b in sorted(zip(begins, ends, strict=True)))


def _span(submission: LoadedSubmission, footage: Footage | None) -> Span:
    """Seconds of the review over which there is anything to see."""
    ends = [] if footage is None else [footage.index.start_s, float(footage.index.time_s[-1])]
    if submission.piece is not None:
        time_s = submission.piece.trace.time_s
        ends += [submission.clock.in_force.video_time(float(time_s[at])) for at in (0, -1)]
    return Span(min(ends), max(ends)) if ends else Span(0.0, 0.0)
