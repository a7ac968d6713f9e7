"""What is sent, as the review keeps it."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from app.review.file.store import asset_names, read_asset, read_review
from app.review.parts.comparisons import AddComparison, DeleteComparison, new_comparison
from app.review.parts.notes import DeleteNote, new_note
from app.review.parts.self_test import new_self_test
from app.review.parts.sending import (
    LONGEST_TEXT,
    SELF_TEST,
    LeaveOut,
    PickNotes,
    SendingPlan,
    SetSending,
    WriteWords,
    sent_comparisons,
    sent_notes,
    sent_self_test,
    sent_walkthroughs,
)
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import COMPARISON, Moved, Shown
from app.review.parts.walkthroughs import Cut, new_walkthrough
from app.review.review import Review
from app.review.safety import left_out_reminders, safety_reminders
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef
from tests.helpers.reviews import save_as

DATA = Path(__file__).parents[3] / "data"
ONE, TWO, THREE = new_note(1.0, "one"), new_note(2.0, "two"), new_note(3.0, "three")
STATE = ReviewState(notes=(ONE, TWO, THREE), draft=True)


def test_every_setting_is_kept_in_the_file_and_undone_one_by_one(tmp_path: Path) -> None:
    review = Review.create(tmp_path / "r.review", STATE)
    review.do(PickNotes((THREE.id, ONE.id)))
    review.do(WriteWords("opening", "Well rowed."))
    review.do(WriteWords("next_session", "Film again."))
    review.do(SetSending(language="de", quality="mail", coach="Kim", consent=True, minor=True))
    review.do(SetSending(own_language="ar", second_view=False))
    plan = SendingPlan(
        (THREE.id, ONE.id), "Well rowed.", "Film again.", "de", "mail", "Kim", "", False, True,
        True,
        own_language="ar",
        second_view=False,
    )  # fmt: skip
    assert read_review(tmp_path / "r.review").sending == plan
    for _ in range(5):
        review.undo()
    assert review.state.sending == SendingPlan()
    assert read_review(tmp_path / "r.review").sending == SendingPlan()


def test_typing_is_one_undo_step_for_each_text(tmp_path: Path) -> None:
    review = Review.create(tmp_path / "r.review", STATE)
    for text in ("W", "We", "Wel"):
        review.do(WriteWords("opening", text))
    review.do(WriteWords("next_session", "N"))
    review.undo()
    assert review.state.sending.opening == "Wel"
    review.undo()
    assert review.state.sending.opening == ""


def test_how_it_is_sent_is_no_work_on_a_draft_but_what_is_said_is() -> None:
    review = Review(STATE)
    review.do(SetSending(language="de", include_originals=True))
    assert review.state.draft
    review.do(WriteWords("opening", "Hello"))
    assert not review.state.draft


def test_a_picked_note_that_is_gone_is_left_out_and_a_new_one_is_not_sent() -> None:
    review = Review(STATE)
    assert sent_notes(review.state.sending, review.state.notes) is None
    review.do(PickNotes((THREE.id, ONE.id)))
    assert sent_notes(review.state.sending, review.state.notes) == (THREE, ONE)
    review.do(DeleteNote(THREE.id))
    assert sent_notes(review.state.sending, review.state.notes) == (ONE,)


@pytest.mark.parametrize(
    "change",
    [
        PickNotes((ONE.id, ONE.id)),
        SetSending(quality="superb"),
        SetSending(language="../../x"),
        SetSending(own_language='x" onload="'),
    ],
)
def test_a_plan_that_cannot_be_is_refused(change: PickNotes | SetSending) -> None:
    review = Review(STATE)
    with pytest.raises(ReviewError):
        review.do(change)
    assert review.state == STATE


PAIR = new_comparison(StrokeRef("", 0.0, 1.0, 2.0), StrokeRef("", 3.0, 4.0, 5.0), title="Knees")
OTHER = new_comparison(StrokeRef("", 0.0, 1.0, 2.0), StrokeRef("", 6.0, 7.0, 8.0))
WALK = new_walkthrough([Moved(0.0, 0.0), Shown(1.0, COMPARISON, PAIR.id)], 3.0, title="Start")


def test_parts_are_left_out_and_sent_again_and_new_ones_go_along(tmp_path: Path) -> None:
    test = new_self_test([(PAIR.left, True, "")], 1)
    state = replace(STATE, comparisons=(PAIR,), walkthroughs=(WALK,), self_test=test)
    review = Review.create(tmp_path / "r.review", state)
    assert sent_comparisons(review.state) == (PAIR,)
    for part in (PAIR.id, WALK.id, SELF_TEST):
        review.do(LeaveOut(part, True))
    review.do(AddComparison(OTHER))
    for kept in (review.state, read_review(tmp_path / "r.review")):
        assert kept.sending.left_out == (PAIR.id, WALK.id, SELF_TEST)
        assert sent_comparisons(kept) == (OTHER,)
        assert sent_walkthroughs(kept) == () and sent_self_test(kept) is None
    review.do(LeaveOut(PAIR.id, True))  # once more is once
    review.do(LeaveOut(PAIR.id, False))
    assert sent_comparisons(review.state) == (PAIR, OTHER)
    for _ in range(6):
        review.undo()
    kept = replace(state, review_id=review.state.review_id)
    assert review.state == kept == read_review(tmp_path / "r.review")


def test_a_part_left_out_stays_so_when_its_deletion_is_undone() -> None:
    review = Review(replace(STATE, comparisons=(PAIR,)))
    review.do(LeaveOut(PAIR.id, True))
    review.do(DeleteComparison(PAIR.id))
    review.undo()
    assert sent_comparisons(review.state) == ()


def test_a_comparison_left_out_is_named_where_a_walkthrough_still_shows_it() -> None:
    plan = SendingPlan(left_out=(PAIR.id,))
    state = ReviewState(comparisons=(PAIR, OTHER), walkthroughs=(WALK,), sending=plan)
    (said,) = left_out_reminders(state)
    assert "“Knees”" in said and "“Start”" in said
    assert said in safety_reminders(state, consent=True, minor=False)
    for quiet in (
        replace(state, sending=SendingPlan(left_out=(OTHER.id,))),
        replace(state, sending=SendingPlan(left_out=(PAIR.id, WALK.id))),
        # All that showed it was cut out.
        replace(state, walkthroughs=(replace(WALK, cuts=(Cut(0.9, 3.0),)),)),
    ):
        assert left_out_reminders(quiet) == ()


def test_a_text_without_end_is_cut() -> None:
    review = Review(STATE)
    review.do(WriteWords("opening", "x" * (LONGEST_TEXT + 5) + "\ud800"))
    assert len(review.state.sending.opening) == LONGEST_TEXT


PNG = b"\x89PNG\r\n\x1a\n"


def test_a_logo_that_is_a_voice_does_not_go_along_with_the_page(tmp_path: Path) -> None:
    path = tmp_path / "r.review"
    review = Review.create(path, STATE)
    review.keep_sound("v", b"RIFF and what a coach said")
    review.do(SetSending(logo_id="v"))
    assert Review.open(path).sound("v") and Review.open(path).logo() is None


def test_a_logo_without_end_is_not_brought_into_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "r.review"
    review = Review.create(path, STATE)
    review.keep_logo("a", PNG + bytes(92))
    review.do(SetSending(logo_id="a"))
    monkeypatch.setattr("app.review.filed._MOST_LOGO_BYTES", 100)
    assert Review.open(path).logo() == PNG + bytes(92)
    monkeypatch.setattr("app.review.filed._MOST_LOGO_BYTES", 99)
    assert Review.open(path).logo() is None


def test_a_logo_lies_in_the_file_survives_undo_and_goes_when_unused(tmp_path: Path) -> None:
    path = tmp_path / "r.review"
    review = Review.create(path, STATE)
    first = PNG + b"first"
    review.keep_logo("a", first)
    review.do(SetSending(logo_id="a"))
    review.keep_logo("b", PNG + b"second" * 2_000_000)
    review.do(SetSending(logo_id="b"))
    review.undo()
    assert review.logo() == first
    assert asset_names(path) == {"a", "b"}, "redo may want it"
    assert review.close()
    assert asset_names(path) == {"a"}
    review = Review.open(path)
    assert review.logo() == first
    with pytest.raises(ReviewError, match="record it anew"):
        read_asset(path, "b")
    save_as(review, tmp_path / "other.review")
    assert Review.open(tmp_path / "other.review").logo() == first


def test_a_review_without_its_logo_still_opens(tmp_path: Path) -> None:
    path = tmp_path / "r.review"
    state = replace(STATE, sending=SendingPlan(logo_id="gone"))
    Review.create(path, state)
    assert Review.open(path).logo() is None


def test_a_review_of_before_the_tick_sends_the_second_view(tmp_path: Path) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / "schema_3.review", path)
    with contextlib.closing(sqlite3.connect(path)) as db:
        kept = db.execute("SELECT coach FROM sending").fetchall()
    plan = read_review(path).sending
    assert plan.second_view and [(plan.coach,)] == kept, "a row of before is there, and is read"
