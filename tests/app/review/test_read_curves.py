"""Curves read from pictures: kept with their gaps, named, hidden, taken back, and checked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.review.file.store import create_file, read_review
from app.review.parts.media import MediaRef
from app.review.parts.read_curves import (
    AddReadCurves,
    DeleteReadCurve,
    EditReadCurve,
    ReadCurve,
    new_read_curve,
)
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

GOOD = ReadCurve(
    "a", "club mean", "photo.jpg", "time", True, 0.8, ((0, 12.0, 3.0), (40, 600.0, 8.0), (41, 1, 2))
)
SHAPE = replace(GOOD, id="b", name="shape", has_scale=False, axis="unknown", extent=None)


def opened(folder: Path) -> Review:
    path = folder / "a.review"
    create_file(path, ReviewState(video=MediaRef("video", "film.mp4", 1, "00")))
    return Review.open(path)


def test_the_curves_of_a_picture_are_one_step_and_are_kept(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(AddReadCurves((GOOD, SHAPE)))
    review.do(EditReadCurve("b", name="Sunday\x07", shown=False))
    assert review.state.read_curves[1].name == "Sunday"
    assert review.close()
    kept = read_review(review.path)
    assert kept.read_curves == (GOOD, replace(SHAPE, name="Sunday", shown=False))
    review = Review.open(review.path)
    review.undo()
    review.undo()
    assert review.state.read_curves == (), "both came from one picture, in one step"
    review.redo()
    review.do(DeleteReadCurve("a"))
    assert [c.id for c in review.state.read_curves] == ["b"]
    with pytest.raises(ReviewError, match="no longer in the review"):
        review.do(DeleteReadCurve("a"))
    assert review.close()


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (replace(GOOD, axis="depth"), "time or its length"),
        (replace(GOOD, name=" "), "needs a name"),
        (replace(GOOD, points=((3, 1.0, 0.0),)), "in order"),
        (replace(GOOD, points=((3, 1.0, 0.0), (2, 1.0, 0.0))), "in order"),
        (replace(GOOD, points=((3, 1.0, 0.0), (101, 1.0, 0.0))), "in order"),
        (replace(GOOD, points=((3, 1.0, 0.0), (9, 5e4, 0.0))), "check the values"),
        (replace(GOOD, points=((3, 1.0, 0.0), (9, float("nan"), 0.0))), "no finite number"),
        (replace(GOOD, extent=0.0), "more than nothing"),
    ],
)
def test_a_curve_nobody_could_draw_is_refused(tmp_path: Path, bad: ReadCurve, words: str) -> None:
    review = opened(tmp_path)
    with pytest.raises(ReviewError, match=words):
        review.do(AddReadCurves((bad,)))
    with pytest.raises(ReviewError, match="share one id"):
        review.do(AddReadCurves((GOOD, GOOD)))
    assert review.state.read_curves == ()
    assert review.close()


def test_each_new_curve_has_an_id_of_its_own() -> None:
    one, other = (new_read_curve("x", "y", "time", True, None, GOOD.points) for _ in range(2))
    assert one.id != other.id
