"""Taking an athlete's answers into the review, and out again."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import ClassVar

from app.review.answers import AthleteAnswers, same_content
from app.review.changes import Change
from app.review.errors import ReviewError
from app.review.state import ReviewState


def received_now(answers: AthleteAnswers) -> AthleteAnswers:
    """Answers with an id of their own and the time of this moment."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    return replace(answers, id=uuid.uuid4().hex, received=now)


@dataclass(frozen=True)
class AddAnswers(Change):
    """Keep what an athlete answered (see `received_now`)."""

    answers: AthleteAnswers
    label: ClassVar[str] = "add answers"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the answers after those that came before."""
        if any(same_content(self.answers, old) for old in state.answers):
            raise ReviewError("These answers are in the review already; nothing was changed.")
        return replace(state, answers=(*state.answers, self.answers))


@dataclass(frozen=True)
class RemoveAnswers(Change):
    """Take one file of answers away."""

    answers_id: str
    label: ClassVar[str] = "remove answers"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without them."""
        rest = tuple(a for a in state.answers if a.id != self.answers_id)
        if len(rest) == len(state.answers):
            raise ReviewError("Those answers are no longer in the review; nothing was changed.")
        return replace(state, answers=rest)
