"""What is pinned to the force goes with it when the line-up changes; the rest keeps its frame."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.clocks.alignment import Alignment
from app.review.file.delta import from_text
from app.review.parts.comparisons import AddComparison, new_comparison
from app.review.parts.line_up import SetLineUp
from app.review.parts.media import MediaRef
from app.review.parts.notes import AddNote, EditNote, new_note
from app.review.parts.self_test import SelfTest, SelfTestItem
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.stroke_ref import StrokeRef

FILM = MediaRef("video", "piece.mp4", 1, "a" * 64)
LINE_UPS = st.builds(
    Alignment,
    offset_s=st.floats(-300, 300),
    drift_ppm=st.floats(-2000, 2000),
    uncertainty_s=st.just(0.02),
    method=st.just("by hand, from one catch"),
)


@given(st.floats(-500, 5000), st.lists(LINE_UPS, min_size=1, max_size=4))
def test_a_note_on_the_force_keeps_its_second_there(
    force_s: float, line_ups: list[Alignment]
) -> None:
    """Whatever line-ups follow each other: told from the force's clock alone, by hand."""
    on_curve = new_note(force_s, "a dip", end_s=force_s + 1.0, on_force=True)
    in_picture = new_note(force_s, "a hand")
    state = ReviewState(video=FILM, notes=(on_curve, in_picture))
    for line_up in line_ups:
        state = SetLineUp((), line_up).apply(state)
        rate = 1.0 + line_up.drift_ppm / 1_000_000
        by_id = {note.id: note for note in state.notes}
        note = by_id[on_curve.id]
        assert (note.video_s - line_up.offset_s) * rate == pytest.approx(force_s, abs=1e-6)
        assert note.end_s is not None
        assert (note.end_s - line_up.offset_s) * rate == pytest.approx(force_s + 1.0, abs=1e-6)
        assert by_id[in_picture.id] == in_picture
        moments = [n.video_s for n in state.notes]
        assert moments == sorted(moments)


def test_strokes_of_a_comparison_and_a_self_test_go_along() -> None:
    from_force = StrokeRef("", 10.0, 11.0, 13.0, "stroke 4", on_force=True)
    seen = StrokeRef("", 10.0, 11.0, 13.0, "by eye")
    of_others = StrokeRef("f" * 32, 10.0, 11.0, 13.0, "reference", on_force=True)
    test = SelfTest((SelfTestItem("i", from_force, True, ""), SelfTestItem("k", seen, False, "")))
    state = ReviewState(video=FILM, self_test=test)
    state = AddComparison(new_comparison(from_force, seen)).apply(state)
    state = AddComparison(new_comparison(from_force, of_others)).apply(state)
    after = SetLineUp((), Alignment(2.5, 0.0, 0.02, "by hand, from one catch")).apply(state)
    first, second = after.comparisons
    moved = StrokeRef("", 12.5, 13.5, 15.5, "stroke 4", on_force=True)
    assert (first.left, first.right) == (moved, seen)
    assert (second.left, second.right) == (moved, of_others)
    assert after.self_test is not None
    assert [item.stroke for item in after.self_test.items] == [moved, seen]


def test_without_a_film_the_review_runs_on_the_force_and_nothing_moves() -> None:
    note = new_note(4.0, on_force=True)
    state = SetLineUp((), Alignment(9.0)).apply(ReviewState(notes=(note,)))
    assert state.notes == (note,)


def test_a_clock_that_stands_still_moves_nothing() -> None:
    note = new_note(4.0, on_force=True)
    state = SetLineUp((), Alignment(9.0, -1e6)).apply(ReviewState(video=FILM, notes=(note,)))
    assert state.notes == (note,)


def test_it_is_one_step_back_and_is_kept(tmp_path: Path) -> None:
    place = tmp_path / "piece.review"
    review = Review.create(place, ReviewState(video=FILM))
    note = new_note(4.0, "late", on_force=True)
    review.do(AddNote(note))
    review.do(SetLineUp((), Alignment(2.0, 0.0, 0.02, "by hand, from one catch")))
    assert review.state.notes[0].video_s == 6.0
    review.undo()
    assert review.state.notes == (note,)
    review.redo()
    review.do(EditNote(note.id, text="too late"))
    review.close()
    again = Review.open(place)
    assert again.state.notes[0].on_force and again.state.notes[0].video_s == 6.0
    again.close()


def test_a_step_to_take_back_from_before_reads_as_pinned_to_the_picture() -> None:
    """Version 3 wrote a note's row without the column."""
    (change,) = from_text('[["note",null,["n1",0,1.5,null,"catch","",2,"words"]]]')
    assert change.after == ("n1", 0, 1.5, None, "catch", "", 2, 0, "words")
