"""What a review may hold. Checked when a change is made and again before it is written."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from typing import Final

from app.review.parts.blur import BlurRegion
from app.review.parts.state import PARTS, ReviewState
from app.review.values.errors import ReviewError
from app.review.values.part import LARGEST_INTEGER

# Less than the longest value a file is read with (`contents.Budget`): what is saved can be opened.
MOST_TEXT_BYTES: Final = 900_000


def check_state(state: ReviewState) -> None:
    """Refuse a state that could not be written and read back the same.

    Raises
    ------
    ReviewError
        A number that is not finite or too large, text that is no Unicode, or what a part refuses.
    """
    check_values(state)
    for part in PARTS:
        part.check(state)


def check_change(state: ReviewState, before: ReviewState) -> None:
    """As `check_state`, for a state that differs from one that was checked.

    Parts that stayed the same objects are not looked at again: a letter typed into a note costs
    nothing for two thousand marks.
    """
    for part in PARTS:
        changed = [n for n in part.names if getattr(state, n) is not getattr(before, n)]
        if changed:
            for name in changed:
                _check_new(getattr(state, name), getattr(before, name))
            part.check(state)


def _check_new(value: object, before: object) -> None:
    """Of a tuple, only what was not in it before."""
    if isinstance(value, tuple) and isinstance(before, tuple):
        known = {id(item) for item in before}
        value = tuple(item for item in value if id(item) not in known)
    check_values(value)


def check_values(value: object) -> None:
    """Walk through nested frozen data down to its numbers and texts; raises ReviewError."""
    if isinstance(value, str):
        _check_text(value)
    elif isinstance(value, float):
        if not math.isfinite(value):
            raise ReviewError("A time or a force was no finite number.")
    elif isinstance(value, int):
        if abs(value) > LARGEST_INTEGER:
            raise ReviewError("A count was too large to be kept.")
    elif isinstance(value, BlurRegion):
        return  # thousands of numbers, which its part looks at once
    elif is_dataclass(value):
        for field in fields(value):
            check_values(getattr(value, field.name))
    elif isinstance(value, Iterable):
        for item in value:
            check_values(item)


def _check_text(text: str) -> None:
    try:
        size = len(text.encode("utf-8"))
    except UnicodeEncodeError:
        raise ReviewError(
            "The text holds half of a character that no program can write; delete it and try again."
        ) from None
    if size > MOST_TEXT_BYTES:
        raise ReviewError("The text is longer than a review can keep; shorten it and try again.")
