"""What a review may hold. Checked when a change is made and again before it is written."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from functools import lru_cache

from app.review.answers import check_answers
from app.review.blur import BlurRegion, check_blurs
from app.review.errors import ReviewError
from app.review.marks import check_marks
from app.review.sending import check_sending
from app.review.state import BODY_PARTS, PHASES, MediaRef, Note, ReviewState

LARGEST_INTEGER = 2**63 - 1  # what a SQLite integer holds


def readable(text: str) -> str:
    """Text that any program can read: no half characters, no NUL.

    A clipboard can hold half of a surrogate pair, which no encoding can write. Losing that one
    character is better than losing the note.
    """
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace").replace("\0", "")


def check_state(state: ReviewState) -> None:
    """Refuse a state that could not be written and read back the same.

    Raises
    ------
    ReviewError
        A number that is not finite or too large, text that is no Unicode, a note that ends
        before it starts, two notes with one id, or a word that is not in the vocabulary.
    """
    _check_values(state)
    for ref, kind in ((state.video, "video"), (state.trace, "trace")):
        if ref is not None:
            _check_ref(ref, kind)
    if len({note.id for note in state.notes}) != len(state.notes):
        raise ReviewError("Two notes share one id.")
    for note in state.notes:
        _check_note(note)
    check_marks(state.marks, state.metres_per_px)
    check_sending(state.sending)
    if len({region.id for region in state.blurs}) != len(state.blurs):
        raise ReviewError("Two blurred regions share one id.")
    check_answers(state.answers)
    if state.turn.quarter_turns not in (0, 1, 2, 3):
        raise ReviewError("The picture can be turned by 0 to 3 quarter turns.")
    if not 0.0 <= state.turn.lift <= 1.0:
        raise ReviewError("The picture can be lifted from 0 to 1.")
    if len({d.code for d in state.decisions}) != len(state.decisions):
        raise ReviewError("Two decisions speak of one finding.")
    if len({name for name, _value in state.thresholds}) != len(state.thresholds):
        raise ReviewError("One threshold has two values.")
    if state.target is not None and state.target.axis not in ("time", "length"):
        raise ReviewError("A target curve runs over the time or the length of the drive.")


def _check_ref(ref: MediaRef, kind: str) -> None:
    if ref.kind != kind:
        raise ReviewError(f"A {ref.kind} recording was given where a {kind} belongs.")
    if ref.capture_fps is not None and not ref.capture_fps > 0:
        raise ReviewError("A film was recorded at more than 0 frames per second.")
    if ref.size < 0 or not ref.path:
        raise ReviewError(f"The {kind} recording has no usable path or size.")


def _check_note(note: Note) -> None:
    if note.end_s is not None and note.end_s < note.video_s:
        raise ReviewError("A note cannot end before it starts.")
    if note.phase not in ("", *PHASES):
        raise ReviewError(f"There is no phase called “{readable(note.phase)}”.")
    if note.voice is not None:
        v = note.voice
        if not 0.0 <= v.trim_start_s < v.trim_end_s <= v.length_s or v.sample_hz <= 0:
            raise ReviewError("What is heard of a voice must lie within its recording.")
    if note.body_part not in ("", *BODY_PARTS):
        raise ReviewError(f"There is no body part called “{readable(note.body_part)}”.")


def _check_values(value: object) -> None:
    """Walk through nested frozen data down to its numbers and texts."""
    if isinstance(value, str):
        _check_text(value)
    elif isinstance(value, float):
        if not math.isfinite(value):
            raise ReviewError("A time or a force was no finite number.")
    elif isinstance(value, int):
        if abs(value) > LARGEST_INTEGER:
            raise ReviewError("A count was too large to be kept.")
    elif isinstance(value, BlurRegion):
        _check_region(value)
    elif is_dataclass(value):
        for field in fields(value):
            _check_values(getattr(value, field.name))
    elif isinstance(value, Iterable):
        for item in value:
            _check_values(item)


@lru_cache(maxsize=64)
def _check_region(region: BlurRegion) -> None:
    """A region has thousands of numbers and stays as it is while the coach types: once will do."""
    for field in fields(region):
        _check_values(getattr(region, field.name))
    check_blurs((region,))


def _check_text(text: str) -> None:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise ReviewError(
            "The text holds half of a character that no program can write; delete it and try again."
        ) from None
