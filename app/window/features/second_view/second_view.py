"""Which second view is shown, how large, and that it follows the one playhead."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, QSize

from app.media.orientation import Turn
from app.review.parts.films import FurtherFilm
from app.review.parts.state import ReviewState
from app.review.values.text import clean_name
from app.submission.loaded_film import LoadedFilm
from app.window.features.second_view.inset import HALF, SMALL, WHOLE, Inset
from app.window.session.footage import Footage, load_footage
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView
from app.window.views.second_supply import SecondSupply

NONE: Final = (
    "This piece was filmed from one side. Drop the film of a second camera here and add it to this "
    "piece."
)

FIRST: Final = "First view"
NO_MARKS: Final = "Swap back to draw or zoom"


class SecondView(QObject):
    """Opens the film of the second camera and lets it follow; there is one moment, the playhead's.

    Attributes
    ----------
    inset : where it is seen
    corner : where the first film is seen while the second one is large
    """

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        picture: PictureView,
        jobs: Jobs,
        messages: Messages,
    ) -> None:
        super().__init__(picture)
        self._session, self._jobs, self._messages = session, jobs, messages
        self._picture = picture
        self.inset = Inset(picture)
        self.corner = Inset(picture, "First view")
        self.corner.set_words(FIRST)
        self.supply = SecondSupply(playhead, self)
        self.supply.frame_ready.connect(self.inset.show_frame)
        self.supply.lost.connect(messages.warn)
        self.inset.size_wanted.connect(self.supply.set_size)
        self._share: float | None = SMALL  # None: the coach put it away
        self._swapped = False
        self._which = 0
        self._film_id = ""
        self._job: Job | None = None
        picture.frame_shown.connect(self._renew_corner)
        session.recordings_changed.connect(self._follow)
        session.state_changed.connect(self._take_state)

    @property
    def views(self) -> tuple[LoadedFilm, ...]:
        """The second views that are at hand."""
        films = self._session.submission.films
        return tuple(f for f in films[1:] if f.role == "view" and f.path is not None)

    @property
    def is_shown(self) -> bool:
        """Whether a second view is on screen."""
        return self._share is not None and bool(self.views)

    def change(self) -> None:
        """In the corner, then as wide as half of the picture, then the next view; then away."""
        if not self.views:
            self._messages.say(NONE)
            return
        if self._share is None:
            self._share, self._which = SMALL, 0
        elif self._share == SMALL:
            self._share = HALF
        elif self._which + 1 < len(self.views):
            self._share, self._which = SMALL, self._which + 1
        else:
            self._share = None
        self._follow()

    @property
    def is_swapped(self) -> bool:
        """Whether the second view is the large one."""
        return self._swapped and self.is_shown

    def swap(self) -> None:
        """Show the second view large and the first one in the corner, or the other way round."""
        if not self.views:
            self._messages.say(NONE)
            return
        self._swapped = not self.is_swapped
        if self._share is None:
            self._share, self._which = SMALL, 0
        self._follow()

    def close(self) -> None:
        """Stop decoding."""
        self.supply.close()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.films != before.films:
            self._follow()

    def _follow(self) -> None:
        views = self.views
        if self._share is None or not views:
            self._put_away()
            return
        film = views[min(self._which, len(views) - 1)]
        if film.film_id == self._film_id and self.supply.footage is not None:
            self._show(film)
        elif self._job is None or film.film_id != self._film_id:
            self._open(film)

    def _put_away(self) -> None:
        self._film_id = ""
        self.supply.set_footage(None)
        self.inset.hide()
        self.corner.hide()

    def _open(self, film: LoadedFilm) -> None:
        path, rate = film.path, film.ref.capture_fps
        assert path is not None
        self._film_id = film.film_id

        def work(progress: Progress, cancelled: Cancelled) -> Footage:
            return load_footage(path, rate, cancelled=cancelled)

        def use(footage: Footage) -> None:
            self._job = None
            now = next((f for f in self.views if f.film_id == self._film_id), None)
            if now is None or now.path != footage.path:
                if (opened := footage.opened.take()) is not None:
                    opened.close()
                return
            self.supply.set_footage(footage)
            self._show(now)

        def refuse(error: Exception) -> None:
            self._job = None
            self._session.refuse(error)

        self._job = self._jobs.run(f"Opening {clean_name(path.name)}", work, use, refuse)

    def _show(self, film: LoadedFilm) -> None:
        footage, first, begins_s = self.supply.footage, self._session.footage, film.starts_s
        if footage is None or first is None or self._share is None:
            return
        swapped, words = self._swapped, self._words(film)
        size = QSize(footage.facts.width, footage.facts.height)
        self.inset.lay(size, WHOLE if swapped else self._share)
        self.inset.set_words(f"{words}. {NO_MARKS}" if swapped else words)
        self.inset.show()
        self.corner.setVisible(swapped)
        self._renew_corner()
        self.supply.set_clock(first.index, lambda moment_s: moment_s - begins_s)

    def _renew_corner(self) -> None:
        """The first film's frame as it is turned, where it is the small one."""
        if not self._swapped or self.corner.isHidden():
            return
        frame, turn = self._picture.frame, self._picture.turn
        if frame is None:
            self.corner.show_pixels(None)
            return
        image = Turn(turn.quarter_turns % 4, turn.mirrored).apply(frame.image_bgra)
        self.corner.lay(QSize(image.shape[1], image.shape[0]), self._share or SMALL)
        self.corner.show_pixels(image)

    def _words(self, film: LoadedFilm) -> str:
        known = {f.id: f for f in self._session.state.films}.get(film.film_id)
        name = clean_name(film.path.name) if film.path is not None else ""
        return name if known is None else f"{name}{_within(known)}"


def _within(film: FurtherFilm) -> str:
    if film.uncertainty_s is None:
        return "  by hand" if film.how == "by hand" else "  not sure"
    return f"  ± {1000.0 * film.uncertainty_s:.0f} ms"
