"""The coach's sections: drawn, moved, named, taken back, kept, merged, and on the right clock."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from app.review.file.store import create_file, read_review
from app.review.parts.media import MediaRef, SetCaptureRate
from app.review.parts.sections import (
    SectionBegin,
    SetSections,
    new_section,
)
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

EASY, HARD = SectionBegin("a", 0.5, name="10 easy"), SectionBegin("b", 30.0, name="race pace")


def opened(folder: Path) -> Review:
    path = folder / "a.review"
    film = MediaRef("video", "film.mp4", 1, "00")
    create_file(path, ReviewState(video=film, draft=True))
    return Review.open(path)


def test_sections_are_kept_in_order_and_can_be_taken_back(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(SetSections((HARD, EASY)))
    assert review.state.sections == (EASY, HARD)
    assert not review.state.draft, "to cut a piece is a coach's judgement"
    review.do(SetSections((replace(EASY, start_s=40.0), HARD)))
    assert [s.id for s in review.state.sections] == ["b", "a"]
    review.undo()
    assert review.state.sections == (EASY, HARD)
    review.do(SetSections((EASY, replace(HARD, name="race\x07"))))
    assert review.state.sections[1].name == "race"
    assert review.close()
    assert read_review(review.path).sections == review.state.sections


def test_all_of_them_can_go_back_to_what_was_found(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(SetSections((HARD, EASY)))
    assert review.state.sections == (EASY, HARD)
    review.do(SetSections())
    assert review.state.sections == ()
    review.undo()
    assert review.state.sections == (EASY, HARD)
    assert review.close()


def test_only_sections_on_the_clock_of_the_film_are_retimed(tmp_path: Path) -> None:
    review = opened(tmp_path)
    seen = replace(HARD, id="c", clock="video")
    review.do(SetSections((EASY, seen)))
    review.do(SetCaptureRate(240.0, 0.5))
    assert {s.id: s.start_s for s in review.state.sections} == {"a": 0.5, "c": 15.0}
    assert review.close()


def test_two_windows_may_both_cut(tmp_path: Path) -> None:
    review = opened(tmp_path)
    other = Review.open(review.path)
    other.do(SetSections((HARD,)))
    assert other.close()
    review.do(SetSections((EASY,)))
    assert {s.id for s in review.state.sections} == {"a", "b"}
    assert review.close()


@pytest.mark.parametrize(
    "bad",
    [
        (EASY, EASY),
        (replace(EASY, clock="wall"),),
        (replace(EASY, name="a" * 201),),
        tuple(new_section(float(i)) for i in range(1001)),
    ],
)
def test_what_no_piece_can_be_cut_by_is_refused(
    tmp_path: Path, bad: tuple[SectionBegin, ...]
) -> None:
    with pytest.raises(ReviewError):
        create_file(tmp_path / "a.review", ReviewState(sections=bad))
