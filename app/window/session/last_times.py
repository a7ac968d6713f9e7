"""The open review against the last one of its athlete, worked out off the window's thread."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.last_time.times import Times, times_of
from app.review.parts.held_against import HoldAgainst
from app.review.parts.sending import LAST_TIME
from app.window.session.coach_library import CoachLibrary
from app.window.session.known_recordings import access

if TYPE_CHECKING:
    from app.bundle.sources.last_time import LastTime
    from app.review.parts.state import ReviewState
    from app.window.session.review_session import ReviewSession


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
        self._turn = 0
        library.changed.connect(self.renew)
        session.opened.connect(self.renew)
        session.recordings_changed.connect(self._forget)
        session.state_changed.connect(self._take_state)

    @property
    def for_bundle(self) -> LastTime | None:
        """What the next bundle begins with; None where there is nothing, or it is left out."""
        found, state = self.found, self._session.state
        if found is None or found.review_id != state.review_id:
            return None
        return None if LAST_TIME in state.sending.left_out else found.last

    def pick(self, review_id: str) -> None:
        """Hold the open review against another one; "" for the one that is proposed."""
        self._session.do(HoldAgainst(review_id))

    def renew(self) -> None:
        """Ask the library what there is."""
        state = self._session.state
        review = self._session.review
        self._turn += 1
        if review is None or not state.athlete.strip() or not self._library.is_there:
            self._put(None)
            return
        turn, submission = self._turn, self._session.submission

        def take(found: Times | None) -> None:
            if turn == self._turn:
                self._put(found)

        # What is wrong with the library is said by whoever fills it.
        work = partial(
            times_of, state.athlete, state.review_id, submission, state.held_against, access()
        )
        self._library.ask("Comparing with last time", work, take, lambda _error: None)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.held_against != before.held_against:
            self.renew()

    def _forget(self) -> None:
        if self.found is not None and self.found.review_id != self._session.state.review_id:
            self._turn += 1
            self._put(None)

    def _put(self, found: Times | None) -> None:
        if found is not self.found:
            self.found = found
            self.changed.emit()
