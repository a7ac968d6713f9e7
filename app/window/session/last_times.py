"""The open review against the last one of its athlete, worked out off the window's thread."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.review.parts.sending import LAST_TIME
from app.window.session.coach_library import CoachLibrary
from app.window.session.known_recordings import access

if TYPE_CHECKING:
    from analysis.signals.curves import CurveSet
    from app.bundle.sources.last_time import LastTime, MeanPair
    from app.library.library import Library
    from app.library.past import Past, PastReview, Progress
    from app.submission.submission import LoadedSubmission
    from app.window.session.review_session import ReviewSession


@dataclass(frozen=True)
class Times:
    """What is known of an athlete's past, as the open review ends it.

    Attributes
    ----------
    past : all reviews of the athlete, this one too
    progress : against the earlier review; None where there is none to be held against
    last : what a bundle may say of it
    """

    review_id: str
    past: Past
    progress: Progress | None = None
    last: LastTime | None = None

    @property
    def earlier(self) -> tuple[PastReview, ...]:
        """Measured reviews before this one, the newest first."""
        ids = [review.review_id for review in self.past.reviews]
        before = self.past.reviews[: ids.index(self.review_id)]
        return tuple(review for review in reversed(before) if review.piece.source)


class LastTimes(QObject):
    """Follows the open review and the library.

    Attributes
    ----------
    found : None while nothing is known
    """

    changed = Signal()

    def __init__(self, session: ReviewSession, library: CoachLibrary) -> None:
        super().__init__(session)
        self._session, self._library = session, library
        self.found: Times | None = None
        self._picked: dict[str, str] = {}  # by review, the earlier one it is held against
        self._turn = 0
        library.changed.connect(self.renew)
        session.opened.connect(self.renew)
        session.recordings_changed.connect(self._forget)

    @property
    def for_bundle(self) -> LastTime | None:
        """What the next bundle begins with; None where there is nothing, or it is left out."""
        found, state = self.found, self._session.state
        if found is None or found.review_id != state.review_id:
            return None
        return None if LAST_TIME in state.sending.left_out else found.last

    def pick(self, review_id: str) -> None:
        """Hold the open review against another one; "" for the one that is proposed."""
        self._picked[self._session.state.review_id] = review_id
        self.renew()

    def renew(self) -> None:
        """Ask the library what there is."""
        state = self._session.state
        review = self._session.review
        self._turn += 1
        if review is None or not state.athlete.strip() or not self._library.is_there:
            self._put(None)
            return
        turn, submission = self._turn, self._session.submission
        against = self._picked.get(state.review_id, "")

        def take(found: Times | None) -> None:
            if turn == self._turn:
                self._put(found)

        # What is wrong with the library is said by whoever fills it.
        work = partial(times_of, state.athlete, state.review_id, submission, against)
        self._library.ask("Comparing with last time", work, take, lambda _error: None)

    def _forget(self) -> None:
        if self.found is not None and self.found.review_id != self._session.state.review_id:
            self._turn += 1
            self._put(None)

    def _put(self, found: Times | None) -> None:
        if found is not self.found:
            self.found = found
            self.changed.emit()


def times_of(
    name: str, review_id: str, sent: LoadedSubmission, against: str, library: Library
) -> Times | None:
    """Read an athlete's past and hold a review against an earlier one; None where it is unknown.

    Parameters
    ----------
    sent : the submission of the review
    against : identity of the earlier review, "" for the one that is proposed
    """
    from app.library.errors import LibraryError, NoSuchAthlete
    from app.library.past import past_of, progress_of
    from app.library.people import find_athlete

    try:
        past = past_of(library, find_athlete(library, name).id)
    except NoSuchAthlete:
        return None
    if review_id not in [review.review_id for review in past.reviews]:
        return None
    try:
        progress = progress_of(past, review_id, against)
    except LibraryError:
        return Times(review_id, past)
    return Times(review_id, past, progress, _last_time(progress, sent))


def _last_time(progress: Progress, sent: LoadedSubmission) -> LastTime:
    from app.bundle.sources.last_time import LastTime

    found = progress.found
    rows = tuple(row for row in found.rows if row.prescribed is not None)
    unlike = found.conditions.pair is None
    means = None if unlike else _means(progress, sent)
    return LastTime(progress.before.piece.rowed_on, rows, unlike, means)


def _means(progress: Progress, sent: LoadedSubmission) -> MeanPair | None:
    """Both mean drives of the sections that are compared; None where one is not at hand."""
    from app.bundle.sources.last_time import MeanPair
    from app.review.file.store import read_review
    from app.review.values.errors import ReviewError
    from app.submission.load import load

    pair = progress.found.conditions.pair
    path = Path(progress.before.path)
    if pair is None or not path.is_file():
        return None
    try:
        state = read_review(path)
        if state.review_id != progress.before.review_id:
            return None
        before = load(state, path, access=access(), quick=True)
    except (ReviewError, OSError):
        return None
    then = _curve(before, progress.before.piece.sections.index(pair.before))
    now = _curve(sent, progress.after.piece.sections.index(pair.after))
    if then is None or now is None or then.signal != now.signal:
        return None
    return MeanPair(
        then.mean, now.mean, then.signal.capitalize(), then.unit, then.signal == "force"
    )


def _curve(sent: LoadedSubmission, section: int) -> CurveSet | None:
    parts = sent.by_section
    if not parts:
        return None if sent.main is None else sent.main.by_time
    return parts[section].by_time if section < len(parts) else None
