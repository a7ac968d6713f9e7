"""Changes of the strokes put next to each other and of the self-test."""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from app.review.changes import KEEP, Change, Keep, edited
from app.review.check import readable
from app.review.comparison import (
    Comparison,
    Layout,
    PictureFit,
    SelfTest,
    SelfTestItem,
    StrokeRef,
    Timing,
)
from app.review.items import found, put, without
from app.review.reference import Reference
from app.review.state import ReviewState

_Kept = Literal[Keep.KEEP]


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
    left: StrokeRef | _Kept = KEEP
    right: StrokeRef | _Kept = KEEP
    title: str | _Kept = KEEP
    text: str | _Kept = KEEP
    timing: Timing | _Kept = KEEP
    shift_s: float | _Kept = KEEP
    layout: Layout | _Kept = KEEP
    opacity: float | _Kept = KEEP
    fit: PictureFit | _Kept = KEEP
    other_marks: bool | _Kept = KEEP
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


@dataclass(frozen=True)
class SetSelfTest(Change):
    """Give the athlete strokes to tell apart (see `new_self_test`), or none.

    Changes of one `gesture` are one undo step.
    """

    self_test: SelfTest | None
    gesture: str = ""
    label: ClassVar[str] = "self-test"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that self-test; one without strokes is none."""
        test = self.self_test
        if test is not None:
            items = tuple(
                replace(i, why=readable(i.why), stroke=_readable_stroke(i.stroke))
                for i in test.items
            )
            test = replace(test, items=items, question=readable(test.question))
        return replace(state, self_test=test if test is not None and test.items else None)

    def merges_with(self, previous: Change) -> bool:
        """The steps of one gesture merge."""
        return self.goes_on_from(previous)


@dataclass(frozen=True)
class SetReference(Change):
    """Say what the reference stroke of this review is."""

    reference: Reference | None
    label: ClassVar[str] = "reference stroke"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that reference."""
        r = self.reference
        if r is not None:
            names = (readable(r.name), readable(r.level), readable(r.notes))
            r = replace(r, name=names[0], level=names[1], notes=names[2])
        return replace(state, reference=r)


def new_self_test(
    strokes: Iterable[tuple[StrokeRef, bool, str]], seed: int, question: str = ""
) -> SelfTest:
    """Draw an order for (stroke, whether it is right, why): the same seed gives the same order.

    The draw is a fair shuffle (Fisher and Yates), so that nothing but the stroke tells the answer.
    """
    items = [SelfTestItem(uuid.uuid4().hex, stroke, right, why) for stroke, right, why in strokes]
    random.Random(seed).shuffle(items)
    return SelfTest(tuple(items), seed, question)


def _readable(comparison: Comparison) -> Comparison:
    return replace(
        comparison,
        title=readable(comparison.title),
        text=readable(comparison.text),
        left=_readable_stroke(comparison.left),
        right=_readable_stroke(comparison.right),
    )


def _readable_stroke(stroke: StrokeRef) -> StrokeRef:
    return replace(stroke, label=readable(stroke.label))
