from __future__ import annotations

import pytest

from app.review.parts.change import KEEP
from app.review.parts.curve_marks import (
    AddCurveMark,
    CurveMark,
    DeleteCurveMark,
    EditCurveMark,
    new_curve_mark,
    on_curve,
)
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError


def test_a_new_mark_lies_within_the_drive() -> None:
    mark = new_curve_mark("line", "time", [(-3.0, 100.0), (40.0, -5.0), (130.0, 200.0)])
    assert mark.points == ((0.0, 100.0), (40.0, 0.0), (100.0, 200.0))
    assert mark.span_pct == (0.0, 100.0)


def test_a_mark_is_seen_on_its_axis_and_its_stroke() -> None:
    every = new_curve_mark("span", "time", [(10, 0), (30, 0)])
    third = new_curve_mark("line", "time", [(10, 50), (30, 90)], stroke=2)
    by_length = new_curve_mark("line", "length", [(10, 50), (30, 90)], stroke=2)
    marks = (every, third, by_length)
    assert on_curve(marks, "time", 2) == (every, third)
    assert on_curve(marks, "time", 5) == (every,)
    assert on_curve(marks, "time", None) == (every,)
    assert on_curve(marks, "length", 2) == (by_length,)


def test_drawing_moving_and_deleting_are_undone_step_by_step() -> None:
    review = Review(ReviewState())
    mark = new_curve_mark("span", "time", [(10, 0), (30, 0)])
    review.do(AddCurveMark(mark))
    for end in (31.0, 35.0, 42.0):
        review.do(EditCurveMark(mark.id, points=((10.0, 0.0), (end, 0.0)), gesture="drag 1"))
    review.do(EditCurveMark(mark.id, text="hold it here", stroke=3))
    (now,) = review.state.curve_marks
    assert (now.span_pct, now.text, now.stroke) == ((10.0, 42.0), "hold it here", 3)
    review.undo()
    review.undo()
    assert review.state.curve_marks == (mark,)
    review.do(EditCurveMark(mark.id, stroke=None, colour=KEEP))
    review.do(DeleteCurveMark(mark.id))
    assert review.state.curve_marks == ()
    review.undo()
    assert review.state.curve_marks == (mark,)
    with pytest.raises(ReviewError, match="no longer on the curve"):
        review.do(DeleteCurveMark("gone"))


@pytest.mark.parametrize(
    "bad",
    [
        CurveMark("a", "arrow", "time", ((0, 0), (1, 1))),
        CurveMark("a", "line", "time", ((0, 0),)),
        CurveMark("a", "span", "time", ((0, 0), (1, 1), (2, 2))),
        CurveMark("a", "line", "time", ((0, 0), (1, 1)), "green"),
        CurveMark("a", "line", "time", ((0, 0), (1, float("nan")))),
    ],
)
def test_what_no_painter_can_draw_is_refused(bad: CurveMark) -> None:
    with pytest.raises(ReviewError):
        Review(ReviewState()).do(AddCurveMark(bad))
