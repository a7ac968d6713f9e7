"""A line-up of a film with cuts: each side's own line is kept, taken back and retimed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from analysis.clocks.alignment import Alignment, Pair
from app.review.parts.line_up import PART, SIDE, SetLineUp
from app.review.parts.media import MediaRef, SetCaptureRate
from app.review.parts.notes import AddNote, new_note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError

FILM = MediaRef("video", "piece.mp4", 1, "a" * 64)
EARLY = Alignment(2.0, 40.0, 0.02, "by picture", until_s=30.0)
LATE = Alignment(-3.0, -60.0, 0.05, "by sound", from_s=30.0)
CUT = replace(EARLY, further=(LATE,))


def test_each_side_is_kept_and_taken_back(tmp_path: Path) -> None:
    place = tmp_path / "piece.review"
    review = Review.create(place, ReviewState(video=FILM))
    review.do(SetLineUp((), CUT))
    review.do(SetLineUp((Pair(40.0, 43.0),), replace(CUT, further=())))
    review.undo()
    review.close()
    again = Review.open(place)
    assert again.state.alignment == CUT and again.state.pairs == ()
    again.undo()
    assert again.state.alignment == Alignment()
    again.redo()
    again.close()
    with closing(sqlite3.connect(place)) as db:
        assert db.execute("SELECT offset_s, from_s, until_s FROM alignment_side").fetchall() == [
            (-3.0, 30.0, None)
        ]


def test_a_review_from_before_there_were_sides_opens_as_it_was(tmp_path: Path) -> None:
    place = tmp_path / "piece.review"
    Review.create(place, ReviewState(video=FILM, alignment=EARLY)).close()
    with closing(sqlite3.connect(place)) as db:
        db.execute("DROP TABLE IF EXISTS alignment_side")
        db.commit()
    review = Review.open(place)
    assert review.state.alignment == EARLY
    review.do(SetLineUp((), CUT))
    review.close()
    again = Review.open(place)
    assert again.state.alignment == CUT
    again.close()


@pytest.mark.parametrize("change", ["drift_ppm = -1e6", "from_s = NULL", "offset_s = 'x'"])
def test_a_side_that_is_none_is_refused(tmp_path: Path, change: str) -> None:
    place = tmp_path / "piece.review"
    Review.create(place, ReviewState(video=FILM, alignment=CUT)).close()
    with closing(sqlite3.connect(place)) as db:
        db.execute(f"UPDATE alignment_side SET {change}")
        db.commit()
    with pytest.raises(ReviewError):
        Review.open(place)


def test_what_is_pinned_to_the_force_goes_to_the_side_that_shows_it() -> None:
    notes = [new_note(at_s, on_force=True) for at_s in (10.0, 30.0, 40.0)]
    state = ReviewState(video=FILM)
    for note in notes:
        state = AddNote(note).apply(state)
    moved = SetLineUp((), CUT).apply(state)
    assert [n.video_s for n in moved.notes] == pytest.approx([12.0, 30.0, 37.0], abs=0.01)


def test_each_side_follows_a_slowed_film() -> None:
    state = SetCaptureRate(240.0, 0.125).apply(ReviewState(video=FILM, alignment=CUT))
    (late,) = state.alignment.further
    assert late.from_s == 3.75 and state.alignment.until_s == 3.75
    assert state.alignment.trace_time(5.0) == pytest.approx(CUT.trace_time(40.0))


def test_the_table_comes_with_its_first_row() -> None:
    assert SIDE.late and SIDE in PART.tables
