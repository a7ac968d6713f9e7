"""What a coach should think of before footage of a person leaves the machine."""

from __future__ import annotations

from app.review.parts.films import views_of_piece
from app.review.parts.notes import Note
from app.review.parts.sending import sent_notes, sent_walkthroughs
from app.review.parts.state import ReviewState
from app.review.parts.walk_timing import shown_comparisons

_MOST_NAMED = 4
SECOND_VIEW = (
    "The second view goes out too: look at it first, for somebody other than the athlete may be"
    " seen there."
)


def safety_reminders(
    state: ReviewState, *, consent: bool | None, minor: bool, originals: bool = False
) -> tuple[str, ...]:
    """Plain sentences to show before sending; they remind and do not stop anybody.

    Parameters
    ----------
    consent : whether the athlete agreed to the footage being used so; None where nobody asked
    minor : whether the athlete is a minor
    originals : whether the original recordings are sent along
    """
    said: list[str] = []
    shows = state.video is not None
    if shows and consent is False:
        said.append("The athlete did not agree to this footage being sent: do not send it.")
    elif shows and consent is None:
        said.append("Nobody noted yet whether the athlete agrees to this footage being sent.")
    if shows and minor and not state.blurs:
        said.append(
            "The athlete is a minor and no face is blurred: local safeguarding rules say what may "
            "be sent, to whom, and who has to agree."
        )
    elif shows and minor:
        said.append(
            "The athlete is a minor: local safeguarding rules hold for a blurred face as well."
        )
    if shows and originals and state.blurs:
        said.append("The original is sent along, and shows the face that is blurred elsewhere.")
    return (*said, *blur_reminders(state), *left_out_reminders(state))


def left_out_reminders(state: ReviewState) -> tuple[str, ...]:
    """Say where a comparison that is left out is still seen: in a walkthrough that is sent."""
    left_out = {c.id: c for c in state.comparisons if c.id in state.sending.left_out}
    said: dict[str, None] = {}
    for walk in sent_walkthroughs(state):
        for comparison_id in shown_comparisons(walk):
            if comparison_id in left_out:
                title, walked = left_out[comparison_id].title, walk.title
                said[
                    f"{_named('The comparison', title)} is left out, but"
                    f" {_named('a walkthrough that is sent', walked)} shows it."
                ] = None
    return tuple(said)


def blur_reminders(state: ReviewState) -> tuple[str, ...]:
    """Where to look at the blurred faces before sending: where they were not followed."""
    if state.video is None:
        return ()
    said: list[str] = []
    if any(not region.is_followed or len(region.keyframes) < 2 for region in state.blurs):
        said.append(
            "A blurred face was not followed through the footage yet; until it is, the blur widens "
            "away from where you marked it."
        )
    spans = sorted(span for region in state.blurs for span in region.unsure)
    if spans:
        named = ", ".join(f"{_clock(a)} to {_clock(b)}" for a, b in spans[:_MOST_NAMED])
        more = f" and {len(spans) - _MOST_NAMED} more" if len(spans) > _MOST_NAMED else ""
        said.append(
            f"The face was lost at {named}{more}: the blur is wider there; look, and put it right."
        )
    return tuple(said)


def sends_second_view(state: ReviewState) -> bool:
    """Whether the athlete gets what a second camera shows, unless it cannot be read.

    Where a face of the first film is hidden it stays here: nobody hid that face in the other one.
    """
    wanted = state.sending.second_view and not state.blurs
    return wanted and bool(views_of_piece(state))


def second_view_reminders(state: ReviewState) -> tuple[str, ...]:
    """Say that pictures of another camera go out, which few look at as closely."""
    return (SECOND_VIEW,) if sends_second_view(state) else ()


def unread_reminders(state: ReviewState) -> tuple[str, ...]:
    """Say where a note that is sent can only be heard."""
    count = len(unread_notes(state))
    if not count:
        return ()
    which = "A spoken note has" if count == 1 else f"{count} spoken notes have"
    return (f"{which} no text for those who cannot hear; a few words beside the voice are enough.",)


def unread_notes(state: ReviewState) -> tuple[Note, ...]:
    """Give the notes that are sent and can only be heard, in the order they are sent."""
    picked = sent_notes(state.sending, state.notes)
    sent = state.notes if picked is None else picked
    return tuple(note for note in sent if note.voice is not None and not note.text.strip())


def _named(what: str, title: str) -> str:
    return f"{what} (“{title}”)" if title else what


def _clock(seconds: float) -> str:
    tenths = round(max(seconds, 0.0) * 10)
    return f"{tenths // 600}:{tenths % 600 / 10:04.1f}"
