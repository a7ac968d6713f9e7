"""Answers that are not to the open review: whose they are, and taking them in there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Qt

from app.review.answers import belongs
from app.review.parts.answers import HURTS_IN_THEM, AthleteAnswers, hurts
from app.window.session.coach_library import CoachLibrary
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.library.library import Library
    from app.library.whose import KnownReview

NO_REVIEW: Final = "Open the review these answers belong to first; nothing was taken in."
UNKNOWN: Final = (
    "These answers belong to none of the reviews known here; nothing of them was kept. Open the "
    "review they are to, then drop them again, or ask the athlete which review they answered."
)
OPEN_IT: Final = "Open that review and take them in"
MOST: Final = 3  # reviews offered at once
Found = tuple[tuple["KnownReview", Path | None], ...]


def _nowhere(_answers: AthleteAnswers, _left_out: Sequence[str]) -> None:
    pass


class Whose(QObject):
    """Asks the coach's library whose answers are; writes nothing into a review but theirs.

    Attributes
    ----------
    take_in : takes answers into the open review
    """

    def __init__(self, session: ReviewSession, library: CoachLibrary, messages: Messages) -> None:
        super().__init__(session)
        self._session, self._library, self._messages = session, library, messages
        self.take_in: Callable[[AthleteAnswers, Sequence[str]], None] = _nowhere
        self._waiting: tuple[str, AthleteAnswers, Sequence[str]] | None = None
        # After all who listen: the place the review was left at comes back first.
        session.opened.connect(self._arrive, Qt.ConnectionType.QueuedConnection)

    def look_up(self, answers: AthleteAnswers, left_out: Sequence[str] = ()) -> None:
        """Take answers in where they belong to the open review, else name the right one."""
        review = self._session.review
        if review is not None and not answers.ticks and belongs(answers, review.state):
            self.take_in(answers, left_out)
            return
        if not self._library.is_there:
            self._settle(answers, left_out, ())
            return
        asked = self._session.review

        def take(found: Found) -> None:
            if self._session.review is asked:
                self._settle(answers, left_out, found)
            else:
                self.look_up(answers, left_out)  # another one was opened meanwhile

        self._library.ask(
            "Finding whose answers these are",
            partial(_find, answers),
            take,
            lambda error: self._settle(answers, left_out, (), str(error)),
        )

    def _settle(
        self, answers: AthleteAnswers, left_out: Sequence[str], found: Found, why: str = ""
    ) -> None:
        review = self._session.review
        here = review.state.review_id if review is not None else ""
        ours = review is not None and belongs(answers, review.state)
        if found:
            from app.library.whose import is_ours

            ours = is_ours(found, here, ours)
        if ours:
            self.take_in(answers, left_out)
        elif found:
            self._name(answers, left_out, found)
        else:
            unknown = NO_REVIEW if review is None and not self._library.is_there else UNKNOWN
            self._say(answers, f"{why.rstrip('.')}. {unknown}" if why else unknown)

    def _name(self, answers: AthleteAnswers, left_out: Sequence[str], found: Found) -> None:
        here = " and nothing was written into this one" if self._session.review else ""
        whose = ", or ".join(one.named for one, _path in found[:MOST])
        said = f"These answers belong to {whose}; they are not taken in yet{here}."
        offers = []
        for one, path in found[:MOST]:
            if path is not None:
                label = OPEN_IT if len(found) == 1 else f"Open “{one.short_title}”, take them in"
                go = partial(self._open, one.review_id, path, answers, left_out)
                offers.append(Offer(label, go))
        if not offers:
            said += (
                " That review is not where it was: open it where it lies now (Ctrl+O), then drop"
                " them again."
            )
        self._say(answers, said, *offers)

    def _say(self, answers: AthleteAnswers, said: str, *offers: Offer) -> None:
        self._messages.warn(f"{HURTS_IN_THEM} {said}" if hurts(answers) else said, *offers)

    def _open(
        self, review_id: str, path: Path, answers: AthleteAnswers, left_out: Sequence[str]
    ) -> None:
        self._waiting = (review_id, answers, left_out)
        self._session.open_review(path)

    def _arrive(self) -> None:
        """A review was opened: the one that answers wait for takes them in."""
        review = self._session.review
        if self._waiting is None or review is None:
            return
        (review_id, answers, left_out), self._waiting = self._waiting, None
        if review.state.review_id == review_id:
            self.take_in(answers, left_out)


def _find(answers: AthleteAnswers, library: Library) -> Found:
    """Ask the library, and look where those reviews lie by now."""
    from app.library.whose import whose

    return whose(answers, library)
