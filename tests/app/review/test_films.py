"""Further films of a piece: kept with where they lie, taken back, refused where they cannot be."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from app.review.file.store import create_file, read_review
from app.review.parts.films import (
    AddFilms,
    FurtherFilm,
    PlaceFilm,
    RemoveFilm,
    all_recordings,
    views_of_piece,
)
from app.review.parts.media import MediaRef, SetCaptureRate, SetVideo
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

FIRST = MediaRef("video", "one.mp4", 1, "00")
PART = FurtherFilm("a", MediaRef("video", "two.mp4", 2, "11"), 31.5, 0.02, "force")
VIEW = FurtherFilm("b", MediaRef("video", "aside.mp4", 3, "22"), -2.25, None, "order", "view")


def opened(folder: Path) -> Review:
    path = folder / "a.review"
    create_file(path, ReviewState(video=FIRST))
    return Review.open(path)


def test_films_are_kept_in_the_order_of_their_beginnings(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(AddFilms((PART, VIEW)))
    assert review.close()
    again = read_review(tmp_path / "a.review")
    assert again.films == (VIEW, PART)
    assert [ref.path for ref in all_recordings(again)] == ["one.mp4", "aside.mp4", "two.mp4"]
    assert views_of_piece(again) == (VIEW,)


def test_adding_moving_and_removing_can_each_be_taken_back(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(AddFilms((PART,)))
    review.do(PlaceFilm("a", 32.0))
    moved = review.state.films[0]
    assert (moved.offset_s, moved.uncertainty_s, moved.how) == (32.0, None, "by hand")
    review.do(RemoveFilm("a"))
    assert review.state.films == ()
    for expected in ((moved,), (PART,), ()):
        review.undo()
        assert review.state.films == expected
    with pytest.raises(ReviewError, match="no longer there"):
        review.do(RemoveFilm("a"))
    assert review.close()


def test_one_film_is_not_added_twice_and_none_without_a_first(tmp_path: Path) -> None:
    review = opened(tmp_path)
    review.do(AddFilms((PART,)))
    for same in (FIRST, PART.ref):
        with pytest.raises(ReviewError, match="already; nothing was added"):
            review.do(AddFilms((replace(PART, id="c", ref=same),)))
    with pytest.raises(ReviewError, match="no film yet"):
        AddFilms((PART,)).apply(ReviewState())
    assert review.close()


def test_another_first_film_has_another_clock_and_a_found_one_the_same(tmp_path: Path) -> None:
    state = AddFilms((PART,)).apply(ReviewState(video=FIRST))
    assert SetVideo(replace(FIRST, path="elsewhere.mp4")).apply(state).films == (PART,)
    assert SetVideo(replace(FIRST, sha256="33")).apply(state).films == ()


def test_a_slower_clock_moves_them_along() -> None:
    state = AddFilms((PART,)).apply(ReviewState(video=FIRST))
    assert SetCaptureRate(60.0, 0.5).apply(state).films[0].offset_s == 15.75


def test_a_file_from_before_them_opens_and_gets_them_with_the_first(tmp_path: Path) -> None:
    review = opened(tmp_path)
    assert review.close()
    path = tmp_path / "a.review"
    with sqlite3.connect(path) as file:
        file.execute("DROP TABLE film")
    file.close()
    again = Review.open(path)
    assert again.state.films == ()
    again.do(AddFilms((PART,)))
    assert again.close()
    assert read_review(path).films == (PART,)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.review"]


@pytest.mark.parametrize(
    "bad",
    [
        replace(PART, offset_s=1e9),
        replace(PART, offset_s=float("nan")),
        replace(PART, uncertainty_s=-1.0),
        replace(PART, how="guessed"),
        replace(PART, role="mirror"),
        replace(PART, ref=MediaRef("trace", "two.csv", 2, "11")),
        replace(PART, ref=replace(PART.ref, path="")),
        replace(PART, ref=replace(PART.ref, capture_fps=0.0)),
    ],
)
def test_what_cannot_lie_beside_a_film_is_refused(tmp_path: Path, bad: FurtherFilm) -> None:
    with pytest.raises(ReviewError):
        create_file(tmp_path / "a.review", ReviewState(video=FIRST, films=(bad,)))
    assert list(tmp_path.iterdir()) == []
