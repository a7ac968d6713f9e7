"""Walkthroughs: the clock after cuts, what is shown when, undo, the file, and kill -9."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review.file.store import read_review
from app.review.parts.marks import AddMark, DeleteMark, EditMark, new_mark
from app.review.parts.media import MediaRef, SetCaptureRate
from app.review.parts.notes import AddNote, new_note
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import MarkDrawn, MarkGone, Moved, Ran, Turned, check_score
from app.review.parts.walk_timing import Timing, shown_captions
from app.review.parts.walkthrough_text import event_of
from app.review.parts.walkthroughs import (
    AddWalkthrough,
    BringBack,
    Caption,
    Cut,
    CutOut,
    DeleteWalkthrough,
    LeaveOutMark,
    RenameWalkthrough,
    SetCaption,
    Walkthrough,
    new_walkthrough,
)
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.voice import to_wav
from app.review.walkthrough_journal import Journal, journal_folder, recover_walks
from app.review.walkthrough_scene import Scenes

SECOND = b"\1\2" * 48_000


def walk_of(*events, length_s: float = 10.0, **fields) -> Walkthrough:
    return replace(new_walkthrough(events, length_s), **fields)


spans = st.lists(
    st.tuples(st.floats(-5, 40), st.floats(0.05, 15)).map(lambda s: Cut(s[0], s[0] + s[1])),
    max_size=6,
)


@given(length_s=st.floats(0.1, 30), cuts=spans, at=st.floats(0, 1), more=st.floats(0, 1))
def test_time_after_cuts_runs_forward_and_misses_what_was_cut(length_s, cuts, at, more) -> None:
    timing = Timing(length_s, cuts)
    # An independent count: thousandths of the recording that no cut holds.
    steps = 4000
    kept = sum(
        not any(c.from_s <= (i + 0.5) * length_s / steps < c.to_s for c in cuts)
        for i in range(steps)
    )
    assert timing.length_s == pytest.approx(kept * length_s / steps, abs=14 * length_s / steps)
    first_s, second_s = sorted((at * timing.length_s, more * timing.length_s))
    early, late = timing.to_recording(first_s), timing.to_recording(second_s)
    assert 0.0 <= early <= late <= length_s
    if timing.spans:
        assert not any(c.from_s + 1e-9 < early < c.to_s - 1e-9 for c in cuts)
        assert timing.to_output(early) == pytest.approx(first_s, abs=1e-6)


@given(st.data())
def test_from_the_recording_to_what_is_left_never_goes_back(data) -> None:
    timing = Timing(20.0, data.draw(spans))
    moments = sorted(data.draw(st.lists(st.floats(0, 20), min_size=2, max_size=8)))
    out = [timing.to_output(m) for m in moments]
    assert out == sorted(out) and all(0.0 <= o <= timing.length_s for o in out)


def test_what_is_shown_when() -> None:
    walk = walk_of(
        Moved(0.0, 1.0),
        Ran(1.0, 1.0, 0.5),
        Moved(1.01, 1.0),
        Moved(1.25, 1.12),
        Ran(2.0, 1.5, 0.0),
        Moved(2.01, 1.5),
        Moved(3.0, 0.9),
        Turned(4.0, 1, True, 0.5),
    )
    scenes = Scenes(walk)
    assert [scenes.video_s(t) for t in (-1.0, 0.5, 2.5, 3.5)] == [1.0, 1.0, 1.5, 0.9]
    assert scenes.video_s(1.1) == pytest.approx(1.05)  # between two frames, evenly
    # From 1.25 on the screen stood still although time ran on: it is shown as it was.
    assert scenes.video_s(1.9) == 1.12
    assert scenes.view(3.9).turn.quarter_turns == 0
    assert scenes.view(4.0).turn.mirrored


def test_a_mark_corrected_afterwards_is_corrected_and_a_deleted_one_stays() -> None:
    early = new_mark("line", [(0, 0), (10, 10)], 1.0)
    dragged = replace(early, points_px=((0.0, 0.0), (20.0, 20.0)))
    walk = walk_of(MarkDrawn(1.0, early), MarkDrawn(2.0, dragged), MarkGone(5.0, early.id))
    now = replace(early, points_px=((0.0, 0.0), (30.0, 30.0)), colour="red")
    corrected = Scenes(walk, [now])
    assert corrected.view(0.5).marks == ()
    assert corrected.view(1.5).marks == (early,)  # what was said then was said of this one
    assert corrected.view(3.0).marks == (now,)
    assert corrected.view(5.0).marks == ()
    assert Scenes(walk, []).view(3.0).marks == (dragged,)
    without = replace(walk, left_out=(early.id,))
    assert Scenes(without, [now]).view(3.0).marks == ()


def test_every_change_can_be_undone_and_is_in_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState())
    walk = walk_of(Moved(0.0, 1.0), sound_id="s")
    review.keep_sound("s", to_wav(SECOND))
    states = [review.state]
    for change in (
        AddWalkthrough(walk),
        RenameWalkthrough(walk.id, "The catch"),
        CutOut(walk.id, 4.0, 2.0),
        CutOut(walk.id, 3.0, 5.0),
        SetCaption(walk.id, Caption("c", 1.0, 6.0, "Hang")),
        SetCaption(walk.id, Caption("d", 0.0, 1.0, "First")),
        BringBack(walk.id, 3.5),
        LeaveOutMark(walk.id, "m"),
        DeleteWalkthrough(walk.id),
    ):
        review.do(change)
        assert read_review(path) == review.state
        states.append(review.state)
    assert [c.text for c in states[6].walkthroughs[0].captions] == ["First", "Hang"]
    assert Timing(10.0, states[4].walkthroughs[0].cuts).length_s == pytest.approx(7.0)
    assert states[7].walkthroughs[0].cuts == ()
    for state in states[-2::-1]:
        review.undo()
        assert review.state == state
        assert read_review(path) == state
    for _ in states[1:]:
        review.redo()
    review.undo()
    assert Review.open(path).sound("s") == to_wav(SECOND)


def test_typing_a_caption_is_one_step() -> None:
    walk = walk_of(Moved(0.0, 1.0))
    review = Review(ReviewState(walkthroughs=(walk,)))
    for text in ("H", "Ha", "Han", "Hang"):
        review.do(SetCaption(walk.id, Caption("c", 1.0, 2.0, text)))
    review.undo()
    assert review.state.walkthroughs[0].captions == ()


def test_what_cannot_be_cut_is_refused() -> None:
    walk = walk_of(Moved(0.0, 1.0))
    review = Review(ReviewState(walkthroughs=(walk,)))
    for change in (
        CutOut(walk.id, 2.0, 2.01),
        CutOut(walk.id, -1.0, 11.0),
        CutOut("gone", 1.0, 2.0),
        BringBack(walk.id, 1.0),
    ):
        with pytest.raises(ReviewError, match=r"\.$"):
            review.do(change)
    assert review.state.walkthroughs == (walk,)


def test_captions_move_with_the_cuts() -> None:
    walk = walk_of(
        cuts=(Cut(2.0, 4.0),),
        captions=(
            Caption("a", 1.0, 3.0, "x"),
            Caption("b", 2.5, 3.5, "y"),
            Caption("c", 5, 6, "z"),
        ),
    )
    assert [(c.text, c.from_s, c.to_s) for c in shown_captions(walk)] == [
        ("x", 1.0, 2.0),
        ("z", 3.0, 4.0),
    ]


@pytest.mark.parametrize(
    "event",
    [
        Moved(float("nan"), 0),
        Moved(0, float("inf")),
        Ran(0, 0, float("nan")),
        Turned(0, 5, False, 0),
    ],
)
def test_events_that_cannot_be_shown_are_refused(event) -> None:
    with pytest.raises(ReviewError):
        check_score(new_walkthrough([event], 1.0).score)


def test_another_capture_rate_keeps_every_event_on_its_frame(tmp_path: Path) -> None:
    mark = new_mark("line", [(0, 0), (1, 1)], 2.0)
    walk = walk_of(Moved(1.0, 4.0), Ran(2.0, 4.0, 0.5), MarkDrawn(3.0, mark))
    video = MediaRef("video", "a.mp4", 1, "0" * 64)
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState(video=video, walkthroughs=(walk,)))
    review.do(SetCaptureRate(240.0, 0.125))
    moved, ran, drawn = review.state.walkthroughs[0].score.events
    assert (moved.at_s, moved.video_s) == (1.0, 0.5)
    assert (ran.at_s, ran.video_s, ran.rate) == (2.0, 0.5, 0.0625)
    assert drawn.mark.video_s == 0.25
    assert read_review(path) == review.state
    review.undo()
    assert read_review(path).walkthroughs == (walk,)


def test_its_sound_counts_as_used_and_letters_do_not_write_events_anew(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState())
    review.keep_sound("s", to_wav(SECOND))
    review.do(AddWalkthrough(walk_of(Moved(0.0, 1.0), Moved(1.0, 2.0), sound_id="s")))
    with sqlite3.connect(path) as connection:
        before = connection.execute("SELECT rowid, id FROM asset").fetchall()
    connection.close()
    assert len(before) == 2
    again = Review.open(path)
    again.do(AddNote(new_note(1.0, "still here")))
    again.do(RenameWalkthrough(again.state.walkthroughs[0].id, "Named"))
    assert again.close()
    assert Review.open(path).sound("s") == to_wav(SECOND)
    with sqlite3.connect(path) as connection:
        assert connection.execute("SELECT rowid, id FROM asset").fetchall() == before
    connection.close()


def test_a_walkthrough_cut_off_is_taken_in_once(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    Review.create(path, ReviewState())
    journal = Journal(path, "Walkthrough 1", with_sound=True)
    journal.add(Moved(0.1, 3.0))
    journal.sound.add(SECOND)
    assert recover_walks(Review.open(path)) == ()  # somebody is still at it
    journal.finish()
    with (journal_folder(path) / f"{journal.id}.jsonl").open("ab") as file:
        file.write(b'{"at_s":0.5,"is":"mo')
    review = Review.open(path)
    assert recover_walks(review) == (1.0,)
    (walk,) = review.state.walkthroughs
    assert walk.score.events == (Moved(0.1, 3.0),)
    assert walk.title == "Walkthrough 1"
    assert review.sound(walk.sound_id) == to_wav(SECOND)
    assert not journal_folder(path).exists()
    assert recover_walks(review) == ()


_CHILD = """
import sys, time
from pathlib import Path
from app.review.parts.walk_events import Moved
from app.review.walkthrough_journal import Journal

journal = Journal(Path(sys.argv[1]), "Walkthrough 1", sys.argv[2] == "sound")
for i in range(100):
    at_s = i * 0.02
    if journal.sound is not None:
        journal.sound.add(b"\\1\\2" * 960)
    journal.add(Moved(at_s, 10.0 + at_s))
    journal.beat(at_s)
print("ready", flush=True)
time.sleep(60)
"""


@pytest.mark.parametrize("with_sound", [True, False])
def test_kill_9_in_the_middle_loses_nothing_that_was_taken_in(tmp_path, with_sound) -> None:
    path = tmp_path / "a.review"
    Review.create(path, ReviewState())
    kind = "sound" if with_sound else "silent"
    child = subprocess.Popen(
        [sys.executable, "-c", _CHILD, str(path), kind], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None and child.stdout.readline() == "ready\n"
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    child.stdout.close()
    review = Review.open(path)
    (length_s,) = recover_walks(review)
    (walk,) = review.state.walkthroughs
    assert length_s == pytest.approx(2.0 if with_sound else 1.98)
    assert len(walk.score.events) == 100
    assert Scenes(walk).video_s(1.5) == 11.5
    assert bool(walk.sound_id) == with_sound


def test_a_full_disk_keeps_the_events_in_memory(tmp_path, monkeypatch) -> None:
    from app.files import atomic

    path = tmp_path / "a.review"
    Review.create(path, ReviewState())
    journal = Journal(path, "", with_sound=False)

    def full(file: int, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic, "write_all", full)
    journal.add(Moved(0.0, 1.0))
    journal.add(Moved(1.0, 2.0))
    assert journal.problem is not None
    assert len(journal.events) == 2
    journal.finish()
    journal.discard()
    assert not journal_folder(path).exists()


def test_marks_of_the_review_follow_into_the_walkthrough() -> None:
    mark = new_mark("line", [(0, 0), (10, 10)], 1.0)
    walk = walk_of(MarkDrawn(1.0, mark))
    review = Review(ReviewState(walkthroughs=(walk,)))
    review.do(AddMark(mark))
    review.do(EditMark(mark.id, colour="blue"))
    shown = Scenes(walk, review.state.marks).view(2.0).marks
    assert [m.colour for m in shown] == ["blue"]
    review.do(DeleteMark(mark.id))
    assert Scenes(walk, review.state.marks).view(2.0).marks == (mark,)


@settings(max_examples=20, deadline=None)
@given(st.integers(1, 40))
def test_thousands_of_events_cost_a_change_nothing(count: int) -> None:
    """The check of a state walks past events; they are checked once, when they come in."""
    walk = walk_of(*(Moved(i * 0.1, float(i)) for i in range(count)), length_s=count * 0.1)
    review = Review(ReviewState(walkthroughs=(walk,)))
    review.do(RenameWalkthrough(walk.id, "x"))
    assert review.state.walkthroughs[0].score is walk.score


def test_half_a_character_in_an_event_is_no_event() -> None:
    mark = {"id": "a", "kind": "text", "colour": "red", "points_px": [[1, 2]], "video_s": 1.0}
    with pytest.raises(ValueError, match="surrogates"):
        event_of(1.0, "mark", json.dumps({"mark": {**mark, "text": "\ud800"}}))
