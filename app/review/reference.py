"""What is known of a stroke in the library of reference strokes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from analysis.comparing.phase import PhaseError, StrokeTimes
from app.review.errors import ReviewError

View = Literal["left", "right"]
VIEWS: Final = ("left", "right")


@dataclass(frozen=True)
class Reference:
    """One reference stroke; its footage and force are those of the review that holds it.

    Attributes
    ----------
    name : how the coach finds it again
    view : which side of the rower the camera saw
    rate_spm : stroke rate, strokes per minute
    level : of the rower, in the coach's own words
    notes : what to look at
    catch_s, finish_s, next_catch_s : video seconds of the review's footage
    """

    name: str
    view: View
    rate_spm: float
    level: str
    notes: str
    catch_s: float
    finish_s: float
    next_catch_s: float

    @property
    def times(self) -> StrokeTimes:
        """Its events; raises PhaseError when they are out of order."""
        return StrokeTimes(self.catch_s, self.finish_s, self.next_catch_s)


def check_reference(reference: Reference | None) -> None:
    """Refuse a reference stroke nobody could use; raises ReviewError."""
    if reference is None:
        return
    if reference.view not in VIEWS:
        raise ReviewError("A reference stroke is seen from the rower's left or right side.")
    if not reference.name.strip():
        raise ReviewError("A reference stroke needs a name to be found again by.")
    if not reference.rate_spm > 0.0:
        raise ReviewError("A stroke rate is above zero.")
    try:
        _ = reference.times
    except PhaseError as error:
        raise ReviewError(str(error)) from error
