"""Two strokes side by side: which, on what clock, and how the pictures are laid together."""

from __future__ import annotations

import math
import re
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field, fields, replace
from typing import Any, Final, Literal

from analysis.comparing.phase import PhaseError, StrokeTimes
from analysis.comparing.picture_fit import PictureFit
from app.review.errors import ReviewError

__all__ = ["Comparison", "PairLook", "PictureFit", "SelfTest", "SelfTestItem", "StrokeRef"]

Timing = Literal["phase", "real", "free"]
Layout = Literal["beside", "above", "over"]
TIMINGS: Final = ("phase", "real", "free")
LAYOUTS: Final = ("beside", "above", "over")


@dataclass(frozen=True)
class StrokeRef:
    """One stroke of some recording.

    Attributes
    ----------
    source : "" for the review's own recordings, else the id of a stroke in the library of
        reference strokes, or the path of another review as seen from this one
    catch_s, finish_s, next_catch_s : video seconds of that recording
    label : how the coach calls it, such as "last month"
    """

    source: str
    catch_s: float
    finish_s: float
    next_catch_s: float
    label: str = ""

    @property
    def times(self) -> StrokeTimes:
        """Its events; raises PhaseError when they are out of order."""
        return StrokeTimes(self.catch_s, self.finish_s, self.next_catch_s)


@dataclass(frozen=True)
class Comparison:
    """Two strokes the coach put next to each other.

    Attributes
    ----------
    timing : "phase": catch with catch, finish with finish, next catch with next catch; "real":
        seconds from the catch; "free": seconds from the catch with `shift_s` between them
    shift_s : how much later in its stroke the right picture is, seconds ("free" only)
    opacity : of the right picture where it lies over the left one
    text : what the coach says of the difference
    other_marks : a stroke of another review shows that review's marks; those of this review are
        always shown on its own strokes
    """

    id: str
    left: StrokeRef
    right: StrokeRef
    title: str = ""
    timing: Timing = "phase"
    shift_s: float = 0.0
    layout: Layout = "beside"
    opacity: float = 0.5
    fit: PictureFit = field(default_factory=PictureFit)
    text: str = ""
    other_marks: bool = False


@dataclass(frozen=True)
class PairLook:
    """How two strokes are laid together, without which they are; fields as in `Comparison`."""

    timing: Timing = "phase"
    shift_s: float = 0.0
    layout: Layout = "beside"
    opacity: float = 0.5
    fit: PictureFit = field(default_factory=PictureFit)


def look_of(comparison: Comparison) -> PairLook:
    """How a comparison is laid together."""
    return PairLook(**{f.name: getattr(comparison, f.name) for f in fields(PairLook)})


def laid(comparison: Comparison, look: PairLook | None) -> Comparison:
    """The same two strokes laid together otherwise; None leaves them."""
    if look is None:
        return comparison
    return replace(comparison, **{f.name: getattr(look, f.name) for f in fields(PairLook)})


@dataclass(frozen=True)
class SelfTestItem:
    """One stroke the athlete judges.

    Attributes
    ----------
    right : whether it is rowed right
    why : what the athlete reads once the answer is shown
    """

    id: str
    stroke: StrokeRef
    right: bool
    why: str = ""


@dataclass(frozen=True)
class SelfTest:
    """Right and wrong strokes in an order of their own, the answers held back until asked for.

    Attributes
    ----------
    items : in the order they are shown
    seed : what the order was drawn with
    question : what the athlete is asked of each stroke
    """

    items: tuple[SelfTestItem, ...]
    seed: int = 0
    question: str = ""


_REFERENCE_ID = re.compile(r"[0-9a-f]{32}")


def is_reference(source: str) -> bool:
    """Whether a stroke's source is the id of a stroke in the library of reference strokes."""
    return _REFERENCE_ID.fullmatch(source) is not None


def is_other_review(source: str) -> bool:
    """Whether a stroke's source is the path of another review."""
    return source != "" and not is_reference(source)


def new_comparison(left: StrokeRef, right: StrokeRef, **fields: Any) -> Comparison:
    """Return a comparison with an id of its own; `fields` are those of `Comparison`."""
    return Comparison(uuid.uuid4().hex, left, right, **fields)


def shows_marks(comparison: Comparison, stroke: StrokeRef) -> bool:
    """Whether the marks drawn on a stroke's recording stand on it in a comparison."""
    return stroke.source == "" or comparison.other_marks


def usual_title(left: StrokeRef, right: StrokeRef) -> str:
    """What a comparison is called before somebody gives it a title; "" where a label is missing."""
    return f"{left.label} and {right.label}" if left.label and right.label else ""


def stretched_stroke(stroke: StrokeRef, by: float) -> StrokeRef:
    """The same stroke on another clock of the review's own footage; others stay."""
    if stroke.source:
        return stroke
    return replace(
        stroke,
        catch_s=stroke.catch_s * by,
        finish_s=stroke.finish_s * by,
        next_catch_s=stroke.next_catch_s * by,
    )


def stretched_comparisons(many: tuple[Comparison, ...], by: float) -> tuple[Comparison, ...]:
    """The same comparisons on another clock of the review's own footage."""
    return tuple(
        replace(c, left=stretched_stroke(c.left, by), right=stretched_stroke(c.right, by))
        for c in many
    )


def stretched_test(test: SelfTest | None, by: float) -> SelfTest | None:
    """The same self-test on another clock of the review's own footage."""
    if test is None:
        return None
    items = tuple(replace(item, stroke=stretched_stroke(item.stroke, by)) for item in test.items)
    return replace(test, items=items)


def check_comparisons(many: Iterable[Comparison], test: SelfTest | None) -> None:
    """Refuse comparisons and self-tests that no one could show.

    Raises
    ------
    ReviewError
        Events of a stroke out of order, an unknown timing or layout, a scale or an opacity out of
        its range, or two with one id.
    """
    many = tuple(many)
    if len({c.id for c in many}) != len(many):
        raise ReviewError("Two comparisons share one id.")
    for c in many:
        _check_stroke(c.left)
        _check_stroke(c.right)
        check_look(look_of(c))
    items = () if test is None else test.items
    if len({item.id for item in items}) != len(items):
        raise ReviewError("Two strokes of the self-test share one id.")
    for item in items:
        _check_stroke(item.stroke)


def check_look(look: PairLook) -> None:
    """Refuse a way to lay two strokes together that no one could show; raises ReviewError."""
    if look.timing not in TIMINGS or look.layout not in LAYOUTS:
        raise ReviewError("There is no such timing or layout of two strokes.")
    numbers = (look.shift_s, look.fit.scale, look.fit.shift_x_px, look.fit.shift_y_px)
    if not all(math.isfinite(number) for number in numbers):
        raise ReviewError("Two strokes are laid together by numbers that are none.")
    if not 0.0 <= look.opacity <= 1.0:
        raise ReviewError("A picture over another is between 0 and 1 opaque.")
    if not look.fit.scale > 0.0:
        raise ReviewError("A picture is laid over another at a scale above zero.")


def _check_stroke(stroke: StrokeRef) -> None:
    try:
        _ = stroke.times
    except PhaseError as error:
        raise ReviewError(str(error)) from error
