"""Lining up without a hand: found in the background, stepped through when several strokes fit."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from analysis.clocks.alignment import NOT_TOGETHER, Alignment
from analysis.clocks.cuts import said_of_sides
from analysis.clocks.films import FilmPlace
from app.review.parts.line_up import SetLineUp
from app.submission.line_up_method import LineUpMethod, Origin
from app.window.features.line_up.line_up import describe
from app.window.session.footage import Footage
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from pathlib import Path

    from analysis.force.piece import PieceAnalysis
    from app.submission.lining_up import LineUp, Signals


LIKELY = 0.01  # candidates below this are there to step to, not to be named


class AutoLineUp(QObject):
    """Has the search run in a child process and lays its answers before the coach."""

    found = Signal(object)  # LineUp, or None when there is none for this recordings
    show_wanted = Signal()
    by_hand_wanted = Signal()

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        jobs: Jobs,
        messages: Messages,
        settings: Settings,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._playhead = session, playhead
        self._jobs = jobs
        self._messages = messages
        self._settings = settings
        self._footage: Footage | None = None
        self._line_up: LineUp | None = None
        self._signals: Signals | None = None
        self._at = 0
        self._by_itself = False
        self._job: Job | None = None
        session.recordings_changed.connect(self._take_recordings)
        session.opened.connect(self._take_review)

    @property
    def line_up(self) -> LineUp | None:
        """What was found for the recordings on the bench."""
        return self._line_up

    @property
    def is_by_itself(self) -> bool:
        """Whether a new submission is lined up without being asked."""
        return self._settings.lines_up_by_itself

    def run(self) -> None:
        """Look for the line-up now; the one there is stays until another is found."""
        footage, piece = self._footage, self._session.submission.piece
        if footage is None or piece is None:
            self._messages.warn("Lining up needs footage and force; add the one that is missing.")
            return
        if self._job is None or self._job.is_cancelled:
            self._by_itself = False
            self._search(footage, piece)

    def next_candidate(self) -> None:
        """Lay the trace as the next likely line-up has it; picture and trace flip together."""
        found = self._line_up
        if found is None:
            self._messages.say("Nothing was searched yet; “Line up automatically” does.")
            return
        self._at = (self._at + 1) % len(found.candidates)
        chosen = found.candidates[self._at]
        method = LineUpMethod.parse(found.alignment.method)
        if self._at > 0:
            method = method.candidate(self._at + 1, len(found.candidates))
        alignment = replace(
            found.alignment,
            offset_s=chosen.offset_s,
            drift_ppm=chosen.drift_ppm,
            uncertainty_s=chosen.uncertainty_s,
            method=method.stored,
            ambiguous=found.alignment.ambiguous or self._at > 0,
        )
        self._session.do(SetLineUp((), alignment))
        self._messages.say(
            f"Candidate {self._at + 1} of {len(found.candidates)}, "
            f"likelihood {100 * chosen.likelihood:.0f} %. Lock the one where the hands catch."
        )

    def nudge(self, seconds: float) -> None:
        """Move the trace under the footage by a little."""
        old = self._session.state.alignment
        seen = old.part_at(self._playhead.moment_s)  # of a film with a cut, the side looked at
        method = LineUpMethod.parse(seen.method).moved()
        new = replace(seen, offset_s=seen.offset_s + seconds, method=method.stored, further=())
        self._session.do(SetLineUp(self._session.state.pairs, old.with_part(new)))
        self._messages.say(f"The trace was moved by {1000 * seconds:+.1f} ms.")

    def nudge_frame(self, frames: int) -> None:
        """Move by frames of the footage."""
        fps = self._footage.facts.fps if self._footage is not None else 0.0
        self.nudge(frames / (fps or 30.0))

    def nudge_sample(self, samples: int) -> None:
        """Move by samples of the trace."""
        piece = self._session.submission.piece
        if piece is not None:
            self.nudge(samples * piece.trace.interval_s)

    def lock(self) -> None:
        """The coach has looked and says that it is right."""
        old = self._session.state.alignment
        locked = _locked(old)
        self._session.do(SetLineUp(self._session.state.pairs, locked))
        self._messages.say("The line-up is locked; the bundle will not call it unchecked.")

    def check(self) -> None:
        """Judge the line-up there is against what picture and sound show; nothing is changed."""
        footage, piece = self._footage, self._session.submission.piece
        if footage is None or piece is None:
            self._messages.warn("A line-up needs footage and force; add the one that is missing.")
            return
        alignment, pool = self._session.state.alignment, self._jobs.process_pool
        about = _about(footage, piece, self._signals)

        def work(progress: Progress, cancelled: Cancelled) -> tuple[Signals, str]:
            judged: tuple[Signals, str] = pool.call(
                "app.submission.lining_up:judge", (*about, alignment), progress, cancelled
            )
            return judged

        self._jobs.run("Checking the line-up", work, self._take_check, self._refuse)

    def toggle_by_itself(self) -> None:
        """Search on opening, or only when asked."""
        on = not self._settings.lines_up_by_itself
        self._settings.lines_up_by_itself = on
        self._messages.say(
            "New submissions are lined up by themselves."
            if on
            else "New submissions are lined up only when asked."
        )

    def _take_recordings(self) -> None:
        footage = self._session.footage
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self._line_up = None
        if footage is not self._footage:
            self._footage, self._signals = footage, None
        self.found.emit(None)

    def _take_review(self) -> None:
        """A submission has just been laid out: search, unless somebody lined it up before."""
        footage, piece = self._footage, self._session.submission.piece
        state = self._session.state
        fresh = _is_assumed(state.alignment) and not state.pairs
        if self._settings.lines_up_by_itself and fresh and footage is not None and piece:
            self._by_itself = True
            self._search(footage, piece)

    def _search(self, footage: Footage, piece: PieceAnalysis) -> None:
        about = (*_about(footage, piece, self._signals), _further(self._session, footage))
        pool = self._jobs.process_pool

        def work(progress: Progress, cancelled: Cancelled) -> tuple[Signals, LineUp]:
            found: tuple[Signals, LineUp] = pool.call(
                "app.submission.lining_up:search", about, progress, cancelled
            )
            return found

        self._job = self._jobs.run("Lining up", work, self._take, self._refuse)

    def _take(self, result: tuple[Signals, LineUp]) -> None:
        self._job = None
        self._signals, self._line_up = result
        found = self._line_up
        look = Offer("Look at it", self.show_wanted.emit)
        if found.verdict == "not together":
            self._at = -1  # stepping begins with the first, for none was laid
            self._messages.warn(
                f"{NOT_TOGETHER} The force was not laid under the film.",
                Offer("Line up by hand", self.by_hand_wanted.emit),
                look,
            )
            self.found.emit(found)
            return
        self._at = 0
        # A line-up made by hand meanwhile is the coach's word; the search does not overrule it.
        if _is_assumed(self._session.state.alignment):
            self._session.do(SetLineUp((), found.alignment))
        if found.sides:
            self._messages.warn(said_of_sides(found), look)
        elif found.alignment.ambiguous:
            self._messages.warn(_unsure(found), Offer("Next", self.next_candidate), look)
        else:
            tell = self._messages.say_too if self._by_itself else self._messages.say
            tell(f"{describe(found.alignment, ())}.", look)
        self.found.emit(found)

    def _take_check(self, checked: tuple[Signals, str]) -> None:
        self._signals, sentence = checked
        self._messages.say(sentence, Offer("Look at it", self.show_wanted.emit))

    def _refuse(self, error: Exception) -> None:
        self._job = None
        self._messages.warn(str(error))


def _about(footage: Footage, piece: PieceAnalysis, known: Signals | None) -> tuple[object, ...]:
    """What a search rests on."""
    return footage.path, piece.trace, piece.strokes, footage.slowness, known


def _further(session: ReviewSession, footage: Footage) -> tuple[tuple[Path, FilmPlace], ...]:
    """The other films whose place rests on what they show: none beside footage slowed down."""
    path_of = {film.film_id: film.path for film in session.submission.films}
    return tuple(
        (path, FilmPlace(film.offset_s, film.uncertainty_s, "picture", True))
        for film in session.state.films
        if film.how in ("sound", "picture") and film.ref.capture_fps is None
        if footage.slowness == 1.0 and (path := path_of.get(film.id)) is not None
    )


def _unsure(found: LineUp) -> str:
    likely = sum(candidate.likelihood >= LIKELY for candidate in found.candidates)
    if likely > 1:
        return (
            f"{likely} line-ups fit about as well; J steps through them, then lock the one where "
            "the hands catch."
        )
    return (
        f"Lined up on {found.step.strokes} strokes, which are not enough to be sure; look whether "
        "the hands catch, then lock it."
    )


def _locked(line: Alignment) -> Alignment:
    method = LineUpMethod.parse(line.method).checked()
    further = tuple(_locked(part) for part in line.further)
    return replace(line, method=method.stored, ambiguous=False, further=further)


def _is_assumed(alignment: Alignment) -> bool:
    return LineUpMethod.parse(alignment.method).origin is Origin.ASSUMED
