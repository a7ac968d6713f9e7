"""What a coach would not want to send without having thought of it."""

from __future__ import annotations

from app.review.parts.sending import sent_comparisons, sent_notes, sent_walkthroughs
from app.review.parts.state import ReviewState
from app.submission.clock import ReviewClock

NOT_LINED_UP = (
    "Footage and force are not lined up: what is pinned to the curve may stand on another moment"
    " of the film."
)
NOTHING_SAID = "There is nothing in it but the recordings: no note, voice or comparison."
UNNAMED = "It does not say whose it is:"
NO_NAME = f"{UNNAMED} type the athlete's name with F2."
NO_CONSENT = "Nobody noted whether the athlete agrees to this footage being sent."
REFUSED = "The athlete does not agree to this footage being sent."


def line_up_reminders(state: ReviewState) -> tuple[str, ...]:
    """Whether film and force stand together by chance only."""
    both = state.video is not None and state.trace is not None
    return (NOT_LINED_UP,) if both and not ReviewClock.of(state).is_lined_up else ()


def name_reminders(state: ReviewState) -> tuple[str, ...]:
    """Whether the page would greet nobody."""
    return () if state.athlete.strip() else (NO_NAME,)


def consent_reminders(state: ReviewState) -> tuple[str, ...]:
    """Whether the athlete was not asked, or said no: a no is asked about no less than a silence."""
    if state.video is None or state.sending.consent:
        return ()
    return (NO_CONSENT if state.sending.consent is None else REFUSED,)


def forgotten(state: ReviewState) -> tuple[str, ...]:
    """Sentences about what seems to be missing before a bundle is written."""
    said = list(line_up_reminders(state))
    picked = sent_notes(state.sending, state.notes)
    notes = state.notes if picked is None else picked
    if not (notes or sent_walkthroughs(state) or sent_comparisons(state)):
        said.append(NOTHING_SAID)
    said += name_reminders(state)
    said += consent_reminders(state)
    return tuple(said)
