"""What becomes of files that were dropped, chosen or named: opened, added, asked about, refused."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from app.review.values.text import clean_name
from app.submission.submission import LoadedSubmission
from app.window.session.sorted_files import sort_files
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.window.session.review_session import ReviewSession


def open_dropped(session: ReviewSession, messages: Messages, paths: Iterable[Path]) -> None:
    """Open a review, footage, force, both, or a folder of them; of several, let the coach pick."""
    try:
        files = sort_files(paths)
    except ValueError as error:
        messages.warn(str(error))
        return
    if files.several:
        session.choice_wanted.emit(files.several)
        return
    if files.review is not None:
        session.open_review(files.review)
        return
    video, trace = files.video, files.trace
    if video is not None and trace is None and session.footage is not None:
        _ask_of_another(session, messages, video)
    elif session.review is not None and _fills(session.submission, video, trace):
        _add_or_ask(session, messages, video, trace)
    elif video or trace:
        session.begin(video, trace, files.said)


def _add_or_ask(
    session: ReviewSession, messages: Messages, video: Path | None, trace: Path | None
) -> None:
    """Add what the review lacks; footage is asked about, for it may be another athlete's."""
    review = session.review
    if video is None or review is None or review.state.video is not None:
        session.attach(video, trace)
        return
    name = review.path.stem if review.path is not None else "the open review"
    messages.warn(
        f"Does {clean_name(video.name)} show the piece of {name}? Nothing was added yet.",
        Offer("Add it to this review", lambda: session.attach(video, None)),
        Offer("Begin a new review", lambda: session.begin(video, None)),
    )


def _ask_of_another(session: ReviewSession, messages: Messages, video: Path) -> None:
    """A film came to a review that has one: another part or view of the piece, or another piece."""
    name, footage = clean_name(video.name), session.footage
    if footage is not None and any(film.path == video for film in footage.reel):
        messages.say(f"{name} is on the bench already.")
        return
    messages.warn(
        f"Is {name} of the piece on the bench, another part of it or seen from elsewhere? Nothing "
        "was changed yet.",
        Offer("Add it to this piece", lambda: session.further_wanted.emit((video,))),
        Offer("Begin a new review", lambda: session.begin(video, None)),
        Offer("Put it in place of this film", lambda: session.attach(video, None)),
    )


def _fills(shown: LoadedSubmission, video: Path | None, trace: Path | None) -> bool:
    """Whether this fills what a review still lacks."""
    if video is not None and trace is not None:
        return False
    if trace is not None:
        return shown.piece is None
    return video is not None and (shown.film is None or shown.film.path is None)
