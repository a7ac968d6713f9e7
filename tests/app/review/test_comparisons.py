from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.comparing.picture_fit import PictureFit
from app.review.parts.comparisons import (
    AddComparison,
    Comparison,
    DeleteComparison,
    EditComparison,
    find_comparison,
    is_usual_title,
    new_comparison,
    usual_title,
)
from app.review.parts.media import MediaRef, SetCaptureRate
from app.review.parts.reference import Reference, SetReference
from app.review.parts.self_test import SetSelfTest, new_self_test
from app.review.parts.state import ReviewState
from app.review.recordings import other_review, other_review_path, rebase
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef

NOW = StrokeRef("", 2.0, 3.0, 5.0, "now")
THEN = StrokeRef("../may/piece.review", 1.0, 2.0, 4.0, "last month")
REFERENCE = StrokeRef("0" * 32, 0.5, 1.5, 3.0, "reference")
VIDEO = MediaRef("video", "film.mp4", 10, "a" * 64)


def made(**fields: object) -> Comparison:
    return new_comparison(NOW, THEN, **fields)


def test_a_comparison_is_added_changed_taken_away_and_undone(tmp_path: Path) -> None:
    review = Review.create(tmp_path / "a.review", ReviewState())
    comparison = made(title="Catch")
    review.do(AddComparison(comparison))
    review.do(EditComparison(comparison.id, opacity=0.4, gesture="slide"))
    review.do(EditComparison(comparison.id, opacity=0.3, gesture="slide"))
    review.do(EditComparison(comparison.id, fit=PictureFit(True, 1.5), layout="over"))
    assert Review.open(tmp_path / "a.review").state == review.state
    found = find_comparison(review.state, comparison.id)
    assert (found.opacity, found.layout, found.fit.mirrored, found.title) == (
        0.3,
        "over",
        True,
        "Catch",
    )
    review.undo()
    review.undo()
    assert review.state.comparisons == (comparison,), "one slide is one step"
    review.do(DeleteComparison(comparison.id))
    assert review.state.comparisons == ()
    with pytest.raises(ReviewError, match="no longer in the review"):
        review.do(EditComparison(comparison.id, opacity=0.1))


@pytest.mark.parametrize(
    "bad",
    [
        made(opacity=1.2),
        made(timing="later"),
        made(fit=PictureFit(False, 0.0)),
        replace(made(), left=replace(NOW, finish_s=1.0)),
    ],
)
def test_what_nobody_could_show_is_refused(bad: Comparison) -> None:
    review = Review(ReviewState())
    with pytest.raises(ReviewError):
        review.do(AddComparison(bad))
    assert review.state == ReviewState()


def test_a_slow_motion_film_takes_its_own_strokes_along_and_no_others() -> None:
    comparison = made()
    test = new_self_test([(NOW, True, ""), (REFERENCE, False, "")], 1)
    state = ReviewState(video=VIDEO, comparisons=(comparison,), self_test=test)
    after = SetCaptureRate(120.0, 0.25).apply(state)
    assert after.comparisons[0].left.catch_s == 0.5
    assert after.comparisons[0].right == THEN
    assert after.self_test is not None
    kept = {item.stroke.source: item.stroke.catch_s for item in after.self_test.items}
    assert kept == {"": 0.5, REFERENCE.source: REFERENCE.catch_s}


def test_another_review_is_found_from_where_the_review_went(tmp_path: Path) -> None:
    old, new = tmp_path / "june" / "a.review", tmp_path / "kept" / "sub" / "b.review"
    other = tmp_path / "may" / "piece.review"
    state = ReviewState(comparisons=(made(), new_comparison(NOW, REFERENCE)))
    assert other_review(other, old) == THEN.source
    moved = rebase(state, old, new)
    assert other_review_path(moved.comparisons[0].right.source, new) == other
    assert moved.comparisons[1].right == REFERENCE


def test_the_order_of_a_self_test_is_drawn_once_and_is_fair() -> None:
    strokes = [(replace(NOW, label=str(i)), i % 2 == 0, "") for i in range(3)]

    def order(seed: int) -> str:
        return "".join(item.stroke.label for item in new_self_test(strokes, seed).items)

    assert order(5) == order(5)
    counts = Counter(order(seed) for seed in range(600))
    assert len(counts) == 6
    # Chi-square with 5 degrees of freedom stays below 20.5 in 99.9 % (any table of it).
    assert sum((n - 100) ** 2 / 100 for n in counts.values()) < 20.5


def test_an_empty_self_test_is_none() -> None:
    review = Review(ReviewState())
    review.do(SetSelfTest(new_self_test([(NOW, True, "level hands")], 3, "Right or wrong?")))
    assert review.state.self_test is not None
    review.do(SetSelfTest(new_self_test([], 3)))
    assert review.state.self_test is None


@pytest.mark.parametrize(
    "wrong", [{"name": " "}, {"view": "above"}, {"rate_spm": 0.0}, {"finish_s": 0.1}]
)
def test_a_reference_without_what_it_needs_is_refused(wrong: dict[str, object]) -> None:
    good = Reference("Steady 20", "left", 20.0, "club", "", 0.5, 1.5, 3.0)
    review = Review(ReviewState())
    review.do(SetReference(good))
    with pytest.raises(ReviewError):
        review.do(SetReference(replace(good, **wrong)))  # type: ignore[arg-type]
    assert review.state.reference == good


def test_the_usual_title_says_what_tells_the_two_apart() -> None:
    left = replace(NOW, label="Anna · Autumn · stroke 4")
    right = replace(NOW, label="Anna · Autumn · stroke 5")
    assert usual_title(left, right) == "Stroke 4 and stroke 5"
    assert usual_title(left, replace(right, label="Smooth catch")) == "Stroke 4 and Smooth catch"
    assert usual_title(left, replace(right, label="")) == ""
    made = new_comparison(left, right, title=usual_title(left, right))
    assert is_usual_title(made)
    # As it was called before, in an older review.
    assert is_usual_title(replace(made, title=f"{left.label} and {right.label}"))
    assert not is_usual_title(replace(made, title="Look at the hands"))
