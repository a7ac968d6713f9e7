"""Right and wrong strokes for the athlete to tell apart."""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from app.review.parts.change import Change
from app.review.values.part import (
    Cells,
    Group,
    Moment,
    Part,
    Row,
    Stored,
    Table,
    declare,
    ready,
    unique,
)
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


@dataclass(frozen=True)
class ToTellApart:
    """The self-test of a review, None where there is none."""

    self_test: SelfTest | None = None


TEST = Table(
    "self_test",
    {
        "id": "INTEGER NOT NULL CHECK (id = 1)",
        "seed": "INTEGER NOT NULL",
        "question": "TEXT NOT NULL",
    },
    ("id",),
    words=("self-test", "self-tests"),
)
ITEM = Table(
    "self_test_item",
    {
        "id": "TEXT NOT NULL",
        "place": "INTEGER NOT NULL",
        **STROKE_COLUMNS,
        "is_right": "INTEGER NOT NULL CHECK (is_right IN (0, 1))",
        **STROKE_COLUMNS_ADDED,
        "why": "TEXT NOT NULL",
    },
    ("id",),
    words=("stroke of the self-test", "strokes of the self-test"),
    counted=False,
    added={"on_force": 0},
)


def _groups(state: ToTellApart) -> Iterable[Group]:
    test = state.self_test
    if test is not None:
        items = [(ITEM, _row(item, i)) for i, item in enumerate(test.items)]
        yield ready("self-test", test, (TEST, TEST.row(test, id=1)), *items)


def _row(item: SelfTestItem, place: int) -> Row:
    stroke = {name: getattr(item.stroke, name) for name in (*STROKE_COLUMNS, *STROKE_COLUMNS_ADDED)}
    return ITEM.row(item, place=place, is_right=item.right, **stroke)


def _read(stored: Stored) -> Mapping[str, Any]:
    items = stored.each(ITEM, _item, lambda item: check_stroke(item.stroke))
    once = unique(items, lambda item: item.id, "strokes of the self-test", stored.lenient)

    def made(c: Cells) -> SelfTest | None:
        return SelfTest(once, c.count("seed"), c.text("question"))

    otherwise = SelfTest(once) if once and stored.lenient else None
    return {"self_test": stored.one(TEST, made, otherwise)}


def _item(c: Cells) -> SelfTestItem:
    return SelfTestItem(c.text("id"), stroke_from(c), c.flag("is_right"), c.text("why"))


def _check(state: ToTellApart) -> None:
    items = () if state.self_test is None else state.self_test.items
    for item in unique(items, lambda item: item.id, "strokes of the self-test", lenient=False):
        check_stroke(item.stroke)


def _retime(state: ToTellApart, by: float) -> Mapping[str, Any]:
    return {"self_test": stretched_test(state.self_test, by)}


def stretched_test(test: SelfTest | None, by: float) -> SelfTest | None:
    """The same self-test on another clock of the review's own footage."""
    if test is None:
        return None
    items = tuple(replace(item, stroke=stretched_stroke(item.stroke, by)) for item in test.items)
    return replace(test, items=items)


def _realign(state: ToTellApart, moment: Moment) -> Mapping[str, Any]:
    test = state.self_test
    if test is None:
        return {}
    items = tuple(
        replace(item, stroke=realigned_stroke(item.stroke, moment)) for item in test.items
    )
    return {"self_test": replace(test, items=items)}


PART = declare(Part(ToTellApart, (TEST, ITEM), _groups, _read, _check, _retime, _realign))


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
                replace(i, why=readable(i.why), stroke=readable_stroke(i.stroke))
                for i in test.items
            )
            test = replace(test, items=items, question=readable(test.question))
        return replace(state, self_test=test if test is not None and test.items else None)

    def merges_with(self, previous: Change) -> bool:
        """The steps of one gesture merge."""
        return self.goes_on_from(previous)


def new_self_test(
    strokes: Iterable[tuple[StrokeRef, bool, str]], seed: int, question: str = ""
) -> SelfTest:
    """Draw an order for (stroke, whether it is right, why): the same seed gives the same order.

    The draw is a fair shuffle (Fisher and Yates), so that nothing but the stroke tells the answer.
    """
    items = [SelfTestItem(uuid.uuid4().hex, stroke, right, why) for stroke, right, why in strokes]
    random.Random(seed).shuffle(items)
    return SelfTest(tuple(items), seed, question)
