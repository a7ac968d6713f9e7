"""What is sent of a review, in which order, with which words around it, and how large."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.review.errors import ReviewError

if TYPE_CHECKING:
    from app.review.comparison import Comparison, SelfTest
    from app.review.state import Note, ReviewState
    from app.review.walkthrough import Walkthrough

# From the smallest to the largest, named by what they are for; see app/bundle/pictures/quality.py.
QUALITIES: Final = ("mail", "standard", "full")
LONGEST_TEXT: Final = 10_000
SELF_TEST: Final = "self-test"  # its name in `left_out`; there is one at most
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})?")


@dataclass(frozen=True)
class SendingPlan:
    """How a review becomes a bundle.

    Attributes
    ----------
    notes : ids of the notes that are sent, in their order; empty sends all in the usual order
    opening : what the page says first, in the coach's words
    next_session : what to do and to film until next time, in the coach's words
    language : of the fixed wording, such as "en"
    quality : one of `QUALITIES`
    coach : name of the coach as the page shows it
    logo_id : of a picture kept in the review file, "" for none
    include_originals : the recordings themselves go along
    consent : whether the athlete agreed to being filmed and to the footage being sent; None while
        nobody asked
    minor : the athlete is under age
    left_out : ids of comparisons and walkthroughs that are not sent, and `SELF_TEST`; what is not
        named goes along, also what is made later
    """

    notes: tuple[str, ...] = ()
    opening: str = ""
    next_session: str = ""
    language: str = "en"
    quality: str = "standard"
    coach: str = ""
    logo_id: str = ""
    include_originals: bool = False
    consent: bool | None = None
    minor: bool = False
    left_out: tuple[str, ...] = ()


def check_sending(plan: SendingPlan) -> None:
    """Refuse a plan no review can hold.

    Raises
    ------
    ReviewError
        One note or part twice, an unknown quality, no language, or a text without end.
    """
    if len(set(plan.notes)) != len(plan.notes):
        raise ReviewError("A note can be sent once only.")
    if len(set(plan.left_out)) != len(plan.left_out):
        raise ReviewError("A part of the bundle can be left out once only.")
    if plan.quality not in QUALITIES:
        raise ReviewError(f"Clips have one of the qualities {', '.join(QUALITIES)}.")
    if not _LANGUAGE.fullmatch(plan.language):
        raise ReviewError("A language has a short name, such as en.")
    if max(len(plan.opening), len(plan.next_session), len(plan.coach)) > LONGEST_TEXT:
        raise ReviewError(f"A text that is sent can have up to {LONGEST_TEXT} characters.")


def sent_notes(plan: SendingPlan, notes: Sequence[Note]) -> tuple[Note, ...] | None:
    """Return the notes that were picked, in their order; None where nothing was picked.

    A note deleted since is left out; one written since is not sent, for nobody picked it.
    """
    if not plan.notes:
        return None
    by_id = {note.id: note for note in notes}
    return tuple(by_id[id_] for id_ in plan.notes if id_ in by_id)


def sent_comparisons(state: ReviewState) -> tuple[Comparison, ...]:
    """Return the comparisons that are sent, in the order they were made."""
    return tuple(c for c in state.comparisons if c.id not in state.sending.left_out)


def sent_walkthroughs(state: ReviewState) -> tuple[Walkthrough, ...]:
    """Return the walkthroughs that are sent, in the order they were recorded."""
    return tuple(w for w in state.walkthroughs if w.id not in state.sending.left_out)


def sent_self_test(state: ReviewState) -> SelfTest | None:
    """Return the self-test, None where there is none or it is not sent."""
    return None if SELF_TEST in state.sending.left_out else state.self_test
