"""The recordings on screen follow what the review refers to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from app.review.parts.state import ReviewState
from app.submission.submission import LoadedSubmission
from app.window.session.footage import Footage, load_footage
from app.window.session.loading import load_recordings
from app.window.tasks.jobs import Cancelled, Jobs, Progress

if TYPE_CHECKING:
    from app.review.parts.media import MediaRef
    from app.window.session.review_session import ReviewSession


class RecordingsFollow:
    """Takes off the screen what undo took out of the review, and brings back what redo put there.

    Parameters
    ----------
    put : shows other recordings
    """

    def __init__(
        self,
        session: ReviewSession,
        jobs: Jobs,
        put: Callable[[LoadedSubmission, Footage | None], None],
    ) -> None:
        self._session, self._jobs, self._put = session, jobs, put

    def follow(self, state: ReviewState, before: ReviewState) -> None:
        """Look whether a recording came or went."""
        session = self._session
        for kind, now, was, on_screen in (
            ("video", state.video, before.video, session.footage),
            ("trace", state.trace, before.trace, session.submission.piece),
        ):
            if now is None and was is not None and on_screen is not None:
                session.put_away(kind)
            elif now is not None and was is None and on_screen is None:
                self._bring_back()
        if _reads_otherwise(state.trace, before.trace, session.submission):
            self._bring_back(force_anew=True)

    def open_at_rate(self, footage: Footage, capture_fps: float | None) -> None:
        """Open the footage anew on another clock."""
        more = self._session.submission.reel[1:]

        def work(progress: Progress, cancelled: Cancelled) -> Footage:
            return load_footage(footage.path, capture_fps, more=more)

        def use(new: Footage) -> None:
            held = self._session.submission
            first, *further = held.films
            films = (replace(first, known=new.facts), *further)
            self._put(held.with_recordings(films=films), new)

        title = f"Opening {footage.path.name}"
        self._jobs.run(title, work, use, self._session.refuse)

    def _bring_back(self, force_anew: bool = False) -> None:
        review = self._session.review
        if review is None or review.path is None:
            return
        state, place = review.state, review.path

        def work(
            progress: Progress, cancelled: Cancelled
        ) -> tuple[LoadedSubmission, Footage | None]:
            return load_recordings(state, place)

        def use(found: tuple[LoadedSubmission, Footage | None]) -> None:
            if self._session.review is not review:
                return
            (back, film), held = found, self._session.submission
            shown = self._session.footage
            films = back.films if shown is None else None
            forces = back.forces if held.piece is None or force_anew else None
            self._put(held.with_recordings(films, forces), shown or film)

        self._jobs.run("Opening the recordings", work, use, self._session.refuse)


def _reads_otherwise(
    now: MediaRef | None, before: MediaRef | None, shown: LoadedSubmission
) -> bool:
    """Whether the force is to be read another way than it is on screen."""
    if now is None or before is None or now.mapping == before.mapping or shown.piece is None:
        return False
    intake = shown.piece.trace.intake
    return intake is None or intake.mapping != now.mapping
