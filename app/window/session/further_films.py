"""Further films of the open review's piece: laid on the first one's clock, added, shown with it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.review.parts.films import AddFilms, FurtherFilm, new_film
from app.review.parts.state import ReviewState
from app.submission.submission import LoadedSubmission
from app.window.session.footage import Footage, load_footage
from app.window.session.known_recordings import access
from app.window.session.loading import with_further
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.submission.laying import PlacedFilm

NO_FIRST = (
    "There is no film on the bench that another could be laid beside; nothing was added. Open one "
    "film of the piece first."
)


class FurtherFilms(QObject):
    """Adds films, and shows what the review names: so undo takes them off the screen again."""

    def __init__(self, session: ReviewSession, jobs: Jobs, messages: Messages) -> None:
        super().__init__(session)
        self._session, self._jobs, self._messages = session, jobs, messages
        self._waiting: tuple[Path, tuple[Path, ...]] | None = None
        self._job: Job | None = None
        session.state_changed.connect(self._follow)
        session.opened.connect(self._add_waiting)
        session.further_wanted.connect(self.add)

    def begin_together(self, films: Sequence[Path], trace: Path | None) -> None:
        """Begin a review of several films of one piece, the earliest first."""
        first, *others = films
        self._waiting = (first, tuple(others))
        self._session.begin(first, trace)

    def add(self, paths: Sequence[Path]) -> None:
        """Find where films belong on the first one's clock, and add them to the open review."""
        session, review = self._session, self._session.review
        footage, piece = session.footage, session.submission.piece
        if review is None or review.path is None or footage is None:
            self._messages.warn(NO_FIRST)
            return
        place, pool = review.path, self._jobs.process_pool
        force = (None, ()) if piece is None else (piece.trace, piece.strokes)
        about = (footage.path, tuple(paths), *force)

        def work(
            progress: Progress, cancelled: Cancelled
        ) -> tuple[tuple[FurtherFilm, ...], tuple[PlacedFilm, ...], tuple[str, ...]]:
            from app.review.recordings import refer

            laid: tuple[PlacedFilm, ...]
            left_out: tuple[str, ...]
            laid, left_out = pool.call(
                "app.submission.laying:lay_new_films", about, progress, cancelled
            )
            films = []
            for film in laid:
                ref = refer(film.path, "video", place)
                access().chose(place, ref, film.path)
                at = film.place
                films.append(new_film(ref, at.offset_s, at.uncertainty_s, at.how, film.role))
            return tuple(films), laid, left_out

        def use(
            found: tuple[tuple[FurtherFilm, ...], tuple[PlacedFilm, ...], tuple[str, ...]],
        ) -> None:
            self._job = None
            if session.review is not review:
                return
            films, laid, left_out = found
            if not films:
                self._messages.warn(" ".join(left_out))
                return
            session.do(AddFilms(films))
            if set(films) <= set(session.state.films):
                self._tell(laid, left_out)

        def refuse(error: Exception) -> None:
            self._job = None
            session.refuse(error)

        names = " and ".join(path.name for path in paths)
        self._job = self._jobs.run(f"Laying {names} on the first film's clock", work, use, refuse)

    def _tell(self, laid: Sequence[PlacedFilm], left_out: Sequence[str]) -> None:
        said = " ".join((*left_out, *(film.said for film in laid)))
        back = Offer("Take it back", self._session.undo)
        if all(film.place.sure for film in laid):
            self._messages.say(said, back)
        else:
            self._messages.warn(said, back)

    def _add_waiting(self) -> None:
        waiting, footage = self._waiting, self._session.footage
        if waiting is None or footage is None or footage.path != waiting[0]:
            return
        self._waiting = None
        held = {film.path for film in self._session.submission.films}
        others = [path for path in waiting[1] if path not in held]
        if others:
            self.add(others)

    def _follow(self, state: ReviewState, before: ReviewState) -> None:
        shown = self._session.submission
        if state.films == before.films or state.video is None or shown.video_path is None:
            return
        named = {film.id: film.offset_s for film in state.films}
        if named == {f.film_id: f.starts_s for f in shown.films[1:]} and _is_shown(
            shown, self._session.footage
        ):
            return
        self._show_anew(state)

    def _show_anew(self, state: ReviewState) -> None:
        """Open the films the review names now; the coach stays at the moment shown."""
        session, review = self._session, self._session.review
        footage, held = session.footage, session.submission
        if review is None or review.path is None or footage is None:
            return
        place, first = review.path, held.films[0]

        def work(progress: Progress, cancelled: Cancelled) -> tuple[LoadedSubmission, Footage]:
            from app.submission.load import further_films

            alone = load_footage(footage.path, footage.capture_fps)
            films = (first, *further_films(state, place, access(), quick=True))
            return with_further(held.with_recordings(films=films), alone)

        def use(found: tuple[LoadedSubmission, Footage]) -> None:
            now = session.submission
            if session.review is review and session.state.films == state.films:
                session.put_films((now.films[0], *found[0].films[1:]), found[1])

        self._jobs.run("Opening the films", work, use, session.refuse)


def _is_shown(submission: LoadedSubmission, footage: Footage | None) -> bool:
    """Whether the open films are those of the submission, each where it belongs."""
    return footage is not None and footage.reel == submission.reel
