"""What is known of an athlete's past, as one review ends it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.body.order import Order
    from analysis.signals.curves import CurveSet
    from app.bundle.sources.last_time import LastTime, MeanPair
    from app.library.library import Library
    from app.library.past import Past, PastReview, Progress
    from app.review.recordings import RecordingAccess
    from app.submission.submission import LoadedSubmission


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


def times_of(
    name: str,
    review_id: str,
    sent: LoadedSubmission,
    against: str,
    access: RecordingAccess,
    library: Library,
) -> Times | None:
    """Read an athlete's past and hold a review against an earlier one; None where it is unknown.

    Parameters
    ----------
    sent : the submission of the review
    against : identity of the earlier review, "" for the one that is proposed; so is it where that
        is no longer there
    access : which recordings may be read
    """
    from app.library.errors import LibraryError, NoSuchAthlete
    from app.library.past import past_of, progress_of
    from app.library.people import find_athlete

    try:
        past = past_of(library, find_athlete(library, name).id)
    except NoSuchAthlete:
        return None
    ids = [review.review_id for review in past.reviews]
    if review_id not in ids:
        return None
    known = against if against in ids[: ids.index(review_id)] else ""
    try:
        progress = progress_of(past, review_id, known)
    except LibraryError:
        return Times(review_id, past)
    return Times(review_id, past, progress, _last_time(progress, sent, access))


def _last_time(progress: Progress, sent: LoadedSubmission, access: RecordingAccess) -> LastTime:
    from app.bundle.sources.last_time import Earlier, LastTime

    found = progress.found
    rows = tuple(row for row in found.rows if row.prescribed is not None)
    unlike = found.conditions.pair is None
    before = None if unlike else _before(progress, access)
    if before is None:
        return LastTime(progress.before.piece.rowed_on, rows, unlike)
    path = Path(progress.before.path)
    return LastTime(
        progress.before.piece.rowed_on, rows, unlike, _means(progress, before, sent),
        _orders(before, sent), Earlier(before.state, path),
    )  # fmt: skip


def _before(progress: Progress, access: RecordingAccess) -> LoadedSubmission | None:
    """The earlier submission; None where its review is not where it was."""
    from app.review.file.store import read_review
    from app.review.values.errors import ReviewError
    from app.submission.load import load

    path = Path(progress.before.path)
    try:
        if not progress.before.path or not path.is_file():
            return None
        state = read_review(path)
        if state.review_id != progress.before.review_id:
            return None
        return load(state, path, access=access, quick=True)
    except (ReviewError, OSError):
        return None


def _means(progress: Progress, before: LoadedSubmission, sent: LoadedSubmission) -> MeanPair | None:
    """Both mean drives of the sections that are compared; None where one is not at hand."""
    from app.bundle.sources.last_time import MeanPair

    pair = progress.found.conditions.pair
    if pair is None:
        return None
    then = _curve(before, progress.before.piece.sections.index(pair.before))
    now = _curve(sent, progress.after.piece.sections.index(pair.after))
    if then is None or now is None or then.signal != now.signal:
        return None
    return MeanPair(
        then.mean, now.mean, then.signal.capitalize(), then.unit, then.signal == "force"
    )


def _orders(before: LoadedSubmission, sent: LoadedSubmission) -> tuple[Order, Order] | None:
    """The order of movement then and now; None where one is not known."""
    then, now = _order(before), _order(sent)
    return None if then is None or now is None else (then, now)


def _order(sent: LoadedSubmission) -> Order | None:
    if sent.body is None or not (sent.from_picture or sent.clock.is_lined_up):
        return None
    return sent.body.order


def _curve(sent: LoadedSubmission, section: int) -> CurveSet | None:
    parts = sent.by_section
    if not parts:
        return None if sent.main is None else sent.main.by_time
    return parts[section].by_time if section < len(parts) else None
