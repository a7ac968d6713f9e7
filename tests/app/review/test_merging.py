"""Two sets of changes to one review: nothing either side added is lost."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.clocks.alignment import Alignment, Pair
from app.review.merging import differences, merged
from app.review.parts.check import check_state
from app.review.parts.findings import Decision
from app.review.parts.marks import new_mark
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from tests.helpers.states import marks, notes, states

NAMES = [f.name for f in fields(ReviewState)]
few = settings(max_examples=30, deadline=None)


def ordered(many: Any) -> tuple[Note, ...]:
    return tuple(sorted(many, key=lambda note: note.video_s))


@few
@given(states, states)
def test_what_only_one_side_touched_is_as_that_side_left_it(
    base: ReviewState, other: ReviewState
) -> None:
    for both in (merged(base, other, base), merged(base, base, other), merged(base, other, other)):
        assert both.state == other
        assert (both.doubled, both.overruled) == (0, ())


@few
@given(states, states, st.data())
def test_each_field_comes_from_the_side_that_changed_it(
    base: ReviewState, other: ReviewState, data: st.DataObject
) -> None:
    together = {"pairs": "alignment"}
    ours_of = {n for n in NAMES if data.draw(st.booleans(), n)}
    ours_of = {n for n in NAMES if together.get(n, n) in ours_of}
    ours = replace(base, **{n: getattr(other, n) for n in ours_of})
    theirs = replace(base, **{n: getattr(other, n) for n in NAMES if n not in ours_of})
    both = merged(base, ours, theirs)
    assert both.state == other and both.overruled == ()


@few
@given(
    st.lists(notes(), max_size=5, unique_by=lambda n: n.id),
    st.lists(notes(), max_size=3, unique_by=lambda n: n.id),
    st.lists(notes(), max_size=3, unique_by=lambda n: n.id),
    st.lists(marks(), max_size=3, unique_by=lambda m: m.id),
    st.data(),
)
def test_nothing_either_side_added_is_lost_and_what_either_deleted_is_gone(
    base_notes: list[Note], ours_new: list[Note], theirs_new: list[Note], drawn: list[Any],
    data: st.DataObject,
) -> None:  # fmt: skip
    base = ReviewState(notes=ordered(base_notes))
    gone_here = {n.id for n in base.notes if data.draw(st.booleans())}
    gone_there = {n.id for n in base.notes if data.draw(st.booleans())}
    ours = replace(base, notes=ordered([n for n in base.notes if n.id not in gone_here] + ours_new))
    kept = [n for n in base.notes if n.id not in gone_there]
    theirs = replace(base, notes=ordered(kept + theirs_new), marks=tuple(drawn))
    both = merged(base, ours, theirs).state
    ids = {n.id for n in both.notes}
    assert {n.id for n in [*ours_new, *theirs_new]} <= ids
    assert not (gone_here | gone_there) & ids
    assert both.marks == tuple(drawn)
    check_state(both)


@few
@given(states, states, states)
def test_whatever_is_merged_can_be_kept(
    base: ReviewState, ours: ReviewState, theirs: ReviewState
) -> None:
    both = merged(base, ours, theirs)
    check_state(both.state)
    for note in ours.notes:
        if note not in base.notes:
            assert note in both.state.notes


def test_a_note_both_changed_is_there_twice_and_ours_keeps_its_id() -> None:
    old = Note("a", 1.0, "old")
    base = ReviewState(notes=(old,))
    both = merged(
        base,
        replace(base, notes=(replace(old, text="ours"),)),
        replace(base, notes=(replace(old, text="theirs"),)),
    )
    assert both.doubled == 1 and both.overruled == ()
    told = {note.text: note.id for note in both.state.notes}
    assert told["ours"] == "a" and told["theirs"] != "a" and len(told) == 2


def test_what_one_deleted_and_the_other_changed_is_kept() -> None:
    old, new = Note("a", 1.0, "old"), Note("a", 1.0, "new")
    base, without = ReviewState(notes=(old,)), ReviewState()
    changed = replace(base, notes=(new,))
    assert merged(base, without, changed).state.notes == (new,)
    assert merged(base, changed, without).state.notes == (new,)
    assert merged(base, without, base).state.notes == ()


def test_of_one_value_both_set_ours_stands_and_it_is_said() -> None:
    base = ReviewState(title="old", athlete="Zoë")
    ours, theirs = replace(base, title="ours"), replace(base, title="theirs", athlete="Z")
    both = merged(base, ours, theirs)
    assert (both.state.title, both.state.athlete) == ("ours", "Z")
    assert both.overruled == ("title",)


def test_a_threshold_or_a_decision_both_set_is_said_to_be_overruled() -> None:
    base = ReviewState(thresholds=(("a", 1.0), ("b", 1.0)), decisions=(Decision("give", False),))
    ours = replace(base, thresholds=(("a", 2.0), ("b", 1.0)))
    theirs = replace(base, thresholds=(("a", 3.0), ("b", 4.0)))
    both = merged(base, ours, theirs)
    assert dict(both.state.thresholds) == {"a": 2.0, "b": 4.0}
    assert both.overruled == ("thresholds",)
    kept = replace(base, decisions=(Decision("give", True, "n"),))
    other = replace(base, decisions=(Decision("give", True, "m"),))
    assert merged(base, kept, other).overruled == ("decisions",)


def test_a_line_up_is_taken_whole_from_one_side() -> None:
    base = ReviewState()
    ours = replace(base, alignment=Alignment(1.0, 0.0, 0.1, "picture"))
    theirs = replace(base, alignment=Alignment(2.0, 0.0, 0.1, "by hand"), pairs=(Pair(3.0, 1.0),))
    both = merged(base, ours, theirs)
    assert (both.state.alignment, both.state.pairs) == (ours.alignment, ())
    assert set(both.overruled) == {"alignment", "pairs"}


def test_differences_are_told_in_a_coachs_words() -> None:
    old = Note("a", 1.0, "old")
    before = ReviewState(notes=(old, Note("b", 2.0)))
    after = ReviewState(
        notes=(replace(old, text="new"), Note("c", 3.0), Note("d", 4.0)),
        marks=(new_mark("line", [(0, 0), (1, 1)], 0.0),),
    )
    said = differences(before, after)
    assert "2 notes added, 1 note removed, 1 note changed" in said
    assert "1 mark added" in said and len(said) == 2, "points of a mark are no things of their own"
