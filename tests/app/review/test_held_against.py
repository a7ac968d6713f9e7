"""The earlier review that was picked is kept in the review's file, also in one from before it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from app.review.file.store import create_file, read_review
from app.review.parts.held_against import HoldAgainst
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

DATA = Path(__file__).parents[2] / "data"
ONE, OTHER = "a" * 32, "b" * 32


def test_what_was_picked_is_there_again(tmp_path: Path) -> None:
    path = tmp_path / "one.review"
    create_file(path, ReviewState())
    review = Review.open(path)
    review.do(HoldAgainst(ONE))
    review.do(HoldAgainst(OTHER))
    review.close()
    assert read_review(path).held_against == OTHER
    review = Review.open(path)
    review.do(HoldAgainst(""))
    review.close()
    assert read_review(path).held_against == ""


@pytest.mark.parametrize("version", [1, 2, 3])
def test_older_files_are_held_against_the_proposed_one(version: int, tmp_path: Path) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / f"schema_{version}.review", path)
    assert read_review(path).held_against == ""
    review = Review.open(path)
    review.do(HoldAgainst(ONE))
    review.close()
    assert read_review(path).held_against == ONE


def test_what_is_no_identity_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ReviewError):
        create_file(tmp_path / "x.review", ReviewState(held_against="../x"))
