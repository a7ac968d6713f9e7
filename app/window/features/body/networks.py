"""Bringing what finds a body in a film onto this machine, when the coach asks for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.body_models.fetching import Outcome

FETCH: Final = "Fetch it"
BY_HAND: Final = "Place by hand"
NOT_HERE: Final = (
    "What finds a body in a film is not on this machine yet. It can be fetched once from the "
    "network (some 40 MB); nothing of yours is sent."
)
NOT_MADE: Final = (
    "What finds a body in a film is not made for this computer. Place the body by hand instead."
)
FAILED: Final = (
    "It could not be fetched{why}. Nothing was changed; try again with a network, or place the "
    "body by hand."
)


class NetworkFetching:
    """Offers to fetch the networks once, and goes on with what they were wanted for."""

    def __init__(self, jobs: Jobs, messages: Messages) -> None:
        self._jobs, self._messages = jobs, messages
        self._is_fetching = False
        self.by_hand: Callable[[], None] | None = None  # what to offer beside it

    def offer(self, then: Callable[[], None]) -> None:
        """Say that they are not here, with a button that brings them.

        Parameters
        ----------
        then : done once they are here
        """
        from analysis.body.detecting.network import can_run

        if can_run():
            self._warn(NOT_HERE, Offer(FETCH, lambda: self.fetch(then)))
        else:
            self._warn(NOT_MADE)

    def fetch(self, then: Callable[[], None]) -> None:
        """Fetch them beside the work, checked before they are kept."""
        if self._is_fetching:
            return

        def work(_progress: Progress, _cancelled: Cancelled) -> Outcome:
            from app.body_models.fetching import fetch_models

            return fetch_models()

        def take(outcome: Outcome) -> None:
            self._is_fetching = False
            if outcome.usable:
                then()
            else:
                refuse(outcome.why)

        def refuse(why: object) -> None:
            self._is_fetching = False
            said = FAILED.format(why=f" ({why})" if str(why) else "")
            self._warn(said, Offer("Try again", lambda: self.fetch(then)))

        self._is_fetching = True
        self._jobs.run("Fetching what finds a body", work, take, refuse)

    def _warn(self, said: str, *offers: Offer) -> None:
        beside = () if self.by_hand is None else (Offer(BY_HAND, self.by_hand),)
        self._messages.warn(said, *offers, *beside)
