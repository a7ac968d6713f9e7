"""Two strokes side by side: which, on what clock, and how the pictures are laid together."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any, ClassVar, Final, Literal

from analysis.comparing.picture_fit import PictureFit
from app.review.parts.change import KEEP, Change, Kept, edited
from app.review.values.errors import ReviewError
from app.review.values.items import found, put, without
from app.review.values.part import Cells, Group, Moment, Part, Rows, Stored, Table, declare, unique
from app.review.values.stroke_labels import apart
from app.review.values.stroke_ref import (
    STROKE_COLUMNS,
    STROKE_COLUMNS_ADDED,
    StrokeRef,
    check_stroke,
    readable_stroke,
    realigned_stroke,
    stretched_stroke,
    stroke_from,
)
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

Timing = Literal["phase", "real", "free"]
Layout = Literal["beside", "above", "over"]
TIMINGS: Final = ("phase", "real", "free")
LAYOUTS: Final = ("beside", "above", "over")


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


def new_comparison(left: StrokeRef, right: StrokeRef, **fields: Any) -> Comparison:
    """Return a comparison with an id of its own; `fields` are those of `Comparison`."""
    return Comparison(uuid.uuid4().hex, left, right, **fields)


def shows_marks(comparison: Comparison, stroke: StrokeRef) -> bool:
    """Whether the marks drawn on a stroke's recording stand on it in a comparison."""
    return stroke.source == "" or comparison.other_marks


def usual_title(left: StrokeRef, right: StrokeRef) -> str:
    """What a comparison is called before somebody gives it a title; "" where a label is missing.

    By what tells the two apart alone: whose strokes they are stands on their labels already.
    """
    if not left.label or not right.label:
        return ""
    one, other = apart(left.label, right.label)
    return f"{one[:1].upper()}{one[1:]} and {other}"


def is_usual_title(comparison: Comparison) -> bool:
    """Whether nobody gave a comparison a title of its own; also one of an older review."""
    left, right = comparison.left, comparison.right
    return comparison.title in (usual_title(left, right), f"{left.label} and {right.label}")


def stretched_comparisons(many: tuple[Comparison, ...], by: float) -> tuple[Comparison, ...]:
    """The same comparisons on another clock of the review's own footage."""
    return tuple(
        replace(c, left=stretched_stroke(c.left, by), right=stretched_stroke(c.right, by))
        for c in many
    )


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


def check_comparisons(many: Iterable[Comparison]) -> None:
    """Refuse comparisons that no one could show.

    Raises
    ------
    ReviewError
        Events of a stroke out of order, an unknown timing or layout, a scale or an opacity out of
        its range, or two with one id.
    """
    for c in unique(many, lambda c: c.id, "comparisons", lenient=False):
        _check_one(c)


def _check_one(c: Comparison) -> None:
    check_stroke(c.left)
    check_stroke(c.right)
    check_look(look_of(c))


@dataclass(frozen=True)
class Comparisons:
    """Strokes put next to each other, in the order they were made."""

    comparisons: tuple[Comparison, ...] = ()


COMPARISON = Table(
    "comparison",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        "title": "TEXT NOT NULL",
        "text": "TEXT NOT NULL",
        "timing": "TEXT NOT NULL",
        "shift_s": "REAL NOT NULL",
        "layout": "TEXT NOT NULL",
        "opacity": "REAL NOT NULL",
        "mirrored": "INTEGER NOT NULL CHECK (mirrored IN (0, 1))",
        "scale": "REAL NOT NULL",
        "shift_x_px": "REAL NOT NULL",
        "shift_y_px": "REAL NOT NULL",
        "other_marks": "INTEGER NOT NULL CHECK (other_marks IN (0, 1))",
    },
    ("id",),
    words=("comparison", "comparisons"),
)
STROKE = Table(
    "comparison_stroke",
    {
        "comparison_id": "TEXT NOT NULL",
        "side": "TEXT NOT NULL",
        **STROKE_COLUMNS,
        **STROKE_COLUMNS_ADDED,
    },
    ("comparison_id", "side"),
    words=("stroke of a comparison", "strokes of comparisons"),
    counted=False,
    added={"on_force": 0},
)


def _groups(state: Comparisons) -> Iterable[Group]:
    for i, c in enumerate(state.comparisons):
        yield Group(c.id, c, lambda c=c, i=i: _rows(c, i), i)  # type: ignore[misc]


def _rows(c: Comparison, place: int) -> Rows:
    fit = {name: getattr(c.fit, name) for name in ("mirrored", "scale", "shift_x_px", "shift_y_px")}
    strokes = [
        (STROKE, STROKE.row(stroke, comparison_id=c.id, side=side))
        for side, stroke in (("left", c.left), ("right", c.right))
    ]
    return [(COMPARISON, COMPARISON.row(c, place=place, **fit)), *strokes]


def _read(stored: Stored) -> Mapping[str, Any]:
    strokes = dict(
        stored.each(STROKE, lambda c: ((c.text("comparison_id"), c.text("side")), stroke_from(c)))
    )
    many = stored.each(COMPARISON, lambda c: _comparison(c, strokes), _check_one)
    return {"comparisons": unique(many, lambda c: c.id, "comparisons", stored.lenient)}


def _comparison(c: Cells, strokes: Mapping[tuple[str, str], StrokeRef]) -> Comparison:
    id_ = c.text("id")
    timings: tuple[Timing, ...] = ("phase", "real", "free")
    layouts: tuple[Layout, ...] = ("beside", "above", "over")
    shift = (c.number("shift_x_px"), c.number("shift_y_px"))
    return Comparison(
        id_,
        strokes[id_, "left"],
        strokes[id_, "right"],
        c.text("title"),
        c.word("timing", timings),
        c.number("shift_s"),
        c.word("layout", layouts),
        c.number("opacity"),
        PictureFit(c.flag("mirrored"), c.number("scale"), *shift),
        c.text("text"),
        c.flag("other_marks"),
    )


def _check(state: Comparisons) -> None:
    check_comparisons(state.comparisons)


def _retime(state: Comparisons, by: float) -> Mapping[str, Any]:
    return {"comparisons": stretched_comparisons(state.comparisons, by)}


def _realign(state: Comparisons, moment: Moment) -> Mapping[str, Any]:
    def moved(c: Comparison) -> Comparison:
        return replace(
            c, left=realigned_stroke(c.left, moment), right=realigned_stroke(c.right, moment)
        )

    return {"comparisons": tuple(moved(c) for c in state.comparisons)}


PART = declare(Part(Comparisons, (COMPARISON, STROKE), _groups, _read, _check, _retime, _realign))


def find_comparison(state: ReviewState, comparison_id: str) -> Comparison:
    """Return the comparison with an id; raises ReviewError when it is gone."""
    return found(state.comparisons, comparison_id, "That comparison is no longer in the review")


@dataclass(frozen=True)
class AddComparison(Change):
    """Put two strokes next to each other (see `new_comparison`)."""

    comparison: Comparison
    label: ClassVar[str] = "compare strokes"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the comparison after the others."""
        return replace(state, comparisons=(*state.comparisons, _readable(self.comparison)))


@dataclass(frozen=True)
class EditComparison(Change):
    """Change one comparison; what is KEEP stays. Changes of one `gesture` are one undo step."""

    comparison_id: str
    left: StrokeRef | Kept = KEEP
    right: StrokeRef | Kept = KEEP
    title: str | Kept = KEEP
    text: str | Kept = KEEP
    timing: Timing | Kept = KEEP
    shift_s: float | Kept = KEEP
    layout: Layout | Kept = KEEP
    opacity: float | Kept = KEEP
    fit: PictureFit | Kept = KEEP
    other_marks: bool | Kept = KEEP
    gesture: str = ""
    label: ClassVar[str] = "change comparison"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the comparison changed, in its place among the others."""
        new = _readable(edited(find_comparison(state, self.comparison_id), self))
        return replace(state, comparisons=put(state.comparisons, new))

    def merges_with(self, previous: Change) -> bool:
        """The steps of one gesture merge."""
        return self.goes_on_from(previous, "comparison_id")


@dataclass(frozen=True)
class DeleteComparison(Change):
    """Take a comparison away."""

    comparison_id: str
    label: ClassVar[str] = "delete comparison"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state without the comparison."""
        gone = find_comparison(state, self.comparison_id)
        return replace(state, comparisons=without(state.comparisons, gone))


def _readable(comparison: Comparison) -> Comparison:
    return replace(
        comparison,
        title=readable(comparison.title),
        text=readable(comparison.text),
        left=readable_stroke(comparison.left),
        right=readable_stroke(comparison.right),
    )
