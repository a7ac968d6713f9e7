"""The open review and the recordings it is about: opening, attaching, changing, saving."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from analysis.force.trace import ColumnMapping
from app.review.parts.state import ReviewState
from app.review.values.text import clean_name
from app.submission.submission import LoadedSubmission
from app.window.session import settings as remembered
from app.window.session.dropped import open_dropped
from app.window.session.footage import Footage
from app.window.session.leaving import Leaving
from app.window.session.loading import (
    Opened,
    Question,
    begin_review,
    open_review,
    place_for,
    remember_places,
    take_in,
)
from app.window.session.own_defaults import OwnDefaults
from app.window.session.recordings_follow import RecordingsFollow
from app.window.session.safekeeping import Safekeeping
from app.window.session.saving_as import SavingAs
from app.window.session.welcome import welcome
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from threading import Thread

    from app.review.parts.change import Change
    from app.review.review import Review
    from app.review.values.errors import ReviewError
    from app.submission.body import LoadedBody
    from app.submission.loaded_film import LoadedFilm
    from app.submission.my_defaults import MyDefaults

NO_REVIEW: Final = ReviewState()
CLOSING_S = 0.7  # putting a file in order is worth so much waiting


class ReviewSession(QObject):
    """Owns the review that is open and what it shows; widgets listen and send changes.

    Attributes
    ----------
    safe, saving_as, leaving : keep the review's file; see `app/window/session`
    own : what the coach settled for all reviews
    """

    recordings_changed = Signal()  # `submission` has other recordings, or `footage` is another
    body_changed = Signal()  # `submission` shows the body otherwise, or no longer
    state_changed = Signal(object, object)  # ReviewState now, ReviewState before
    opening = Signal()  # another review is about to take the place of this one
    leaves = Signal()  # the open review is about to be let go; it is kept, or given up
    opened = Signal()  # a review was opened or begun, or a recording added
    first_frame = Signal(object)  # ShownFrame, before the footage is open
    choice_wanted = Signal(object)  # Paths of several recordings: the coach is to pick
    further_wanted = Signal(object)  # Paths of films to be laid beside the open one
    question_asked = Signal(object)  # Question, or None when it is answered
    doubted = Signal(object, object)  # tuple of RecordingDoubt, tuple of sentences besides
    file_changed = Signal()  # the review lies under another name or in another place
    refused = Signal(object, object)  # Path of a review that cannot be opened, the exception

    def __init__(
        self,
        jobs: Jobs,
        messages: Messages,
        settings: remembered.Settings,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._jobs, self._messages, self._settings = jobs, messages, settings
        self._review: Review | None = None
        self._unsubscribe: Callable[[], None] | None = None
        self._submission = LoadedSubmission(NO_REVIEW, Path())
        self._footage: Footage | None = None
        window = parent if isinstance(parent, QWidget) else None
        self.safe = Safekeeping(messages, self)
        self.saving_as = SavingAs(self.safe, jobs, messages, window)
        self.leaving = Leaving(self.safe, self.saving_as, jobs, messages, window)
        self.safe.offers = (Offer("Save as …", self.saving_as.begin),)
        self.own = OwnDefaults(messages, self._put_defaults, self)
        self._follower = RecordingsFollow(self, jobs, self._put)
        self.safe.renamed.connect(self._follow_name)
        self.saving_as.moved.connect(self._follow_move)

    @property
    def review(self) -> Review | None:
        """The open review."""
        return self._review

    @property
    def state(self) -> ReviewState:
        """The open review's state; an empty one when none is open."""
        return self._review.state if self._review is not None else NO_REVIEW

    @property
    def submission(self) -> LoadedSubmission:
        """What lies on the bench, in the state of the review as it is now."""
        held, state = self._submission, self.state
        place = self._review.path if self._review is not None else None
        if held.state is not state or place not in (None, held.review_path):
            self._submission = held.in_state(state, place)
        return self._submission

    @property
    def footage(self) -> Footage | None:
        """The film of the submission, open."""
        return self._footage

    def do(self, change: Change) -> None:
        """Change the review, undoably. Without a review nothing happens."""
        if self._review is None:
            return
        try:
            self._review.do(change)
        except ValueError as error:
            self._messages.warn(str(error))

    def undo(self) -> None:
        """Take the last change back."""
        if self._review is not None and self._review.undo_label:
            self._messages.say(f"Taken back: {self._review.undo_label}.")
            self._review.undo()

    def redo(self) -> None:
        """Do again what was taken back."""
        if self._review is not None and self._review.redo_label:
            self._messages.say(f"Done again: {self._review.redo_label}.")
            self._review.redo()

    def open_paths(self, paths: Iterable[Path]) -> None:
        """Open what was dropped or chosen: a review, footage, force, both, or a folder of them."""
        open_dropped(self, self._messages, paths)

    def open_review(self, path: Path) -> None:
        """Open a review file with the recordings it names, once the open one is kept."""

        def work(progress: Progress, cancelled: Cancelled) -> Opened:
            opened = open_review(path, progress, cancelled)
            self._settings.add_recent(path)
            return opened

        def refuse(error: Exception) -> None:
            self.refuse(error)
            self.refused.emit(path, error)

        def start() -> None:
            self._jobs.run(f"Opening {path.name}", work, self._take, refuse)

        self.leaving.begin(start)

    def answer(self, question: Question, mapping: ColumnMapping) -> None:
        """The coach said how to read a force file; remember it for its kind."""
        self._settings.remember_mapping(question.preview.signature, mapping)
        self.question_asked.emit(None)
        self.attach(None, question.path, mapping)

    def close_review(self) -> None:
        """Go back to the empty bench once the review is kept; nothing else is asked."""
        self.opening.emit()  # what is being recorded is kept first
        self.leaving.begin(self._empty)

    def _empty(self) -> None:
        if self._review is None:
            return
        name = self._review.path.name if self._review.path is not None else "The review"
        shown, mine = self.state, self._submission.mine
        self.close()
        self._put(LoadedSubmission(NO_REVIEW, Path(), mine=mine), None)
        self.state_changed.emit(NO_REVIEW, shown)
        self.question_asked.emit(None)
        self._messages.say(f"{clean_name(name)} is closed.")

    def close(self) -> None:
        """Let go of the review; ask `leaving` before. Waits a moment for a slow disk, no longer."""
        closing = self._let_go()
        if closing is not None:
            closing.join(CLOSING_S)

    def _let_go(self) -> Thread | None:
        self.leaves.emit()
        if self._unsubscribe is not None:
            self._unsubscribe()
            self._unsubscribe = None
        self._review = None
        return self.safe.let_go()

    def begin(self, video: Path | None, trace: Path | None, said: str = "") -> None:
        """Begin a review of these recordings; or open the one that lies beside them already.

        Parameters
        ----------
        said : what else the coach is told when it is open
        """
        first = video or trace
        if first is None:
            return
        beside = first.with_suffix(".review")
        if beside.is_file():
            self._messages.say(f"{first.name} has a review already; it was opened.")
            self.open_review(beside)
            return

        def work(progress: Progress, cancelled: Cancelled) -> Opened:
            new = begin_review(
                video, trace, place_for(beside), self._settings, progress, self.first_frame.emit
            )
            return replace(new, problems=(*new.problems, said)) if said else new

        self._jobs.run(f"Opening {first.name}", work, self._take, self.refuse)

    def attach(
        self, video: Path | None, trace: Path | None, mapping: ColumnMapping | None = None
    ) -> None:
        """Add a recording to the open review, or put it in the place of the one it has."""
        review = self._review
        name = (trace or video or Path()).name
        if review is None or review.path is None:
            return
        place = review.path

        def work(progress: Progress, cancelled: Cancelled) -> Opened:
            return take_in(
                video, trace, mapping, place, self._settings, progress, self.first_frame.emit
            )

        self._jobs.run(f"Opening {name}", work, self._add, self.refuse)

    def _take(self, opened: Opened) -> Iterator[None]:
        """A review with its recordings came from a job; it waits until the old one is kept."""
        self.opening.emit()
        if self.leaving.is_free():
            yield from self._put_on_bench(opened)
        else:
            self.leaving.begin(lambda: self._take_later(opened))

    def _take_later(self, opened: Opened) -> None:
        self._jobs.run(
            "Opening the other review", lambda _p, _c: opened, self._put_on_bench, self.refuse
        )

    def _put_on_bench(self, opened: Opened) -> Iterator[None]:
        review = opened.review
        if review is None:
            return
        shown = self.state
        self._let_go()  # nobody waits for the old one: its file is put in order meanwhile
        self._review = review
        self.safe.watch(review)
        self._unsubscribe = review.subscribe(self._changed)
        self._submission, self._footage = opened.submission, opened.footage
        for step in (self._show_recordings, self._forget, self._show_anew, self._welcome):
            yield
            if self._review is not review:
                return  # another one came in between
            step(opened, shown)

    def _show_recordings(self, opened: Opened, _shown: ReviewState) -> None:
        self._put(opened.submission, opened.footage)

    def _forget(self, _opened: Opened, shown: ReviewState) -> None:
        if shown != NO_REVIEW:
            # What the last review showed goes first: who listens looks at what is different only.
            self.state_changed.emit(NO_REVIEW, shown)

    def _show_anew(self, opened: Opened, _shown: ReviewState) -> None:
        self.state_changed.emit(self.state, NO_REVIEW)
        self.question_asked.emit(opened.question)

    def _welcome(self, opened: Opened, _shown: ReviewState = NO_REVIEW) -> None:
        self._report(opened)
        self.opened.emit()

    def _add(self, opened: Opened) -> None:
        """One more recording came for the open review."""
        from app.review.parts.media import SetTrace, SetVideo

        self.question_asked.emit(opened.question)
        if opened.question is not None:
            return
        came = opened.submission
        self._put(
            self.submission.with_recordings(came.films or None, came.forces or None),
            opened.footage or self._footage,
        )
        if came.film is not None:
            self.do(SetVideo(came.film.ref))
        if came.force is not None:
            self.do(SetTrace(came.force.ref))
        self._welcome(opened)

    def _put(self, submission: LoadedSubmission, footage: Footage | None) -> None:
        self._submission, self._footage = submission, footage
        self.recordings_changed.emit()

    def _report(self, opened: Opened) -> None:
        place = self._review.path if self._review is not None else None
        welcome(
            opened,
            place.name if place is not None else "",
            lambda: self._footage,
            self.doubted.emit,
            self._jobs,
            self._messages,
        )

    def put_films(self, films: tuple[LoadedFilm, ...], footage: Footage) -> None:
        """Show other films beside the first; the review stays as it is."""
        self._put(self.submission.with_recordings(films=films), footage)

    def put_body(self, body: LoadedBody | None) -> None:
        """Show what was worked out of the body in the film; the recordings stay as they are."""
        self._submission = self.submission.with_body(body)
        self.body_changed.emit()

    def _put_defaults(self, mine: MyDefaults) -> None:
        self._submission = self.submission.with_defaults(mine)

    def put_away(self, kind: str, why: ReviewError | None = None) -> None:
        """Take footage ("video") or force ("trace") off the bench; the review stays as it is."""
        footage = None if kind == "video" else self._footage
        self._put(self.submission.without(kind, why), footage)

    def _follow_name(self) -> None:
        """The file has another name now."""
        if self._review is not None and self._review.path is not None:
            self._settings.add_recent(self._review.path)
        self.file_changed.emit()

    def _follow_move(self, _old: object) -> None:
        """The review lies in another place now: from there, too, the coach chose its recordings."""
        if self._review is not None and self._review.path is not None:
            remember_places(self.submission)

    def refuse(self, error: Exception) -> None:
        """Say why something was not done; about a recording in doubt, with what can be done."""
        from app.review.recordings import RecordingDoubt

        if isinstance(error, RecordingDoubt):
            self.doubted.emit((error,), ())
        else:
            self._messages.warn(str(error))

    def _changed(self, state: ReviewState, before: ReviewState) -> None:
        footage = self._footage
        rate = state.video.capture_fps if state.video is not None else None
        if footage is not None and rate != footage.capture_fps:
            self._follower.open_at_rate(footage, rate)
        self._follower.follow(state, before)
        self.state_changed.emit(state, before)
