"""Which further signals are shown: ticked, taken back, kept in the file."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from app.review.file.store import create_file, read_review
from app.review.parts.shown_signals import ShowSignal
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

DATA = Path(__file__).parents[2] / "data"


def test_ticks_are_kept_in_their_order_undone_and_no_work(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    create_file(path, ReviewState(draft=True))
    review = Review.open(path)
    for name in ("flurb", "hr", "flurb"):
        review.do(ShowSignal(name))
    assert review.state.shown_signals == ("flurb", "hr")
    assert review.state.draft, "to look at something is no judgement"
    review.do(ShowSignal("flurb", on=False))
    review.undo()
    assert review.state.shown_signals == ("flurb", "hr")
    assert review.close()
    assert read_review(path).shown_signals == ("flurb", "hr")


@pytest.mark.parametrize("names", [("",), ("a" * 201,), ("hr", "hr")])
def test_names_that_cannot_be_are_refused(tmp_path: Path, names: tuple[str, ...]) -> None:
    with pytest.raises(ReviewError):
        create_file(tmp_path / "a.review", ReviewState(shown_signals=names))


@pytest.mark.parametrize("version", [1, 2])
def test_older_files_show_none(tmp_path: Path, version: int) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / f"schema_{version}.review", path)
    assert read_review(path).shown_signals == ()
    review = Review.open(path)
    review.do(ShowSignal("hr"))
    assert review.close()
    assert read_review(path).shown_signals == ("hr",)
