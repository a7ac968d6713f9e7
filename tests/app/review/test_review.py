from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from analysis.clocks.alignment import Alignment, Pair
from analysis.force.target import TargetCurve
from app.review import keeping
from app.review.file.store import read_review
from app.review.parts.about import SetAthlete
from app.review.parts.change import Change
from app.review.parts.findings import DropFinding, KeepFinding, ReopenFinding, SetThreshold
from app.review.parts.line_up import SetLineUp
from app.review.parts.marks import AddMark, CopyMark, DeleteMark, EditMark, SetScale
from app.review.parts.media import MediaRef, SetCaptureRate, SetTrace, SetVideo
from app.review.parts.notes import BODY_PARTS, PHASES, AddNote, DeleteNote, EditNote, new_note
from app.review.parts.picture import PictureTurn, TurnPicture
from app.review.parts.state import ReviewState
from app.review.parts.target import SetTarget
from app.review.review import Review
from app.review.values.errors import ReviewError
from tests.helpers.reviews import save_as
from tests.helpers.states import marks, media, states, targets, texts

seconds = st.floats(0, 7200)
# A change may depend on the notes there are, so what is drawn makes one from a state.
Maker = Callable[[ReviewState], Change | None]


def on_note(index: int, make: Callable[[str], Change]) -> Maker:
    return lambda s: make(s.notes[index % len(s.notes)].id) if s.notes else None


def on_mark(index: int, make: Callable[[str], Change]) -> Maker:
    return lambda s: make(s.marks[index % len(s.marks)].id) if s.marks else None


mark_makers: st.SearchStrategy[Maker] = st.one_of(
    st.builds(lambda m: lambda s: AddMark(m), marks()),
    st.builds(lambda i: on_mark(i, DeleteMark), st.integers(0, 9)),
    st.builds(
        lambda i, id_, t: on_mark(i, lambda old: CopyMark(old, id_.hex, t)),
        st.integers(0, 9),
        st.uuids(),
        seconds,
    ),
    st.builds(
        lambda i, c, g: on_mark(i, lambda id_: EditMark(id_, colour=c, end_s=None, gesture=g)),
        st.integers(0, 9),
        st.sampled_from(["yellow", "blue", "red"]),
        st.sampled_from(["", "drag"]),
    ),
    st.builds(lambda m: lambda s: SetScale(m), st.none() | st.floats(1e-4, 1.0)),
)

makers: st.SearchStrategy[Maker] = st.one_of(
    mark_makers,
    st.builds(lambda t, w: lambda s: AddNote(new_note(t, w)), seconds, texts),
    st.builds(lambda i, w: on_note(i, lambda id_: EditNote(id_, text=w)), st.integers(0, 9), texts),
    st.builds(
        lambda i, t, p, b: on_note(
            i, lambda id_: EditNote(id_, video_s=t, end_s=None, phase=p, body_part=b)
        ),
        st.integers(0, 9),
        seconds,
        st.sampled_from(["", *PHASES]),
        st.sampled_from(["", *BODY_PARTS]),
    ),
    st.builds(lambda i: on_note(i, DeleteNote), st.integers(0, 9)),
    st.builds(
        lambda a, b: lambda s: SetLineUp((Pair(a, b),), Alignment(a - b, 0.0, 0.02, "by hand")),
        seconds,
        seconds,
    ),
    st.builds(
        lambda t, g: lambda s: SetTarget(t, g), st.none() | targets, st.sampled_from(["", "drag"])
    ),
    st.builds(
        lambda c, t, w: lambda s: KeepFinding(c, new_note(t, w)),
        st.sampled_from(["give", "peaky"]),
        seconds,
        texts,
    ),
    st.builds(lambda c: lambda s: DropFinding(c), st.sampled_from(["give", "peaky"])),
    st.builds(lambda c: lambda s: ReopenFinding(c), st.sampled_from(["give", "peaky"])),
    st.builds(
        lambda n, v: lambda s: SetThreshold(n, v),
        st.sampled_from(["a", "b"]),
        st.none() | st.floats(0, 100),
    ),
    st.builds(lambda q, m: lambda s: TurnPicture(PictureTurn(q, m)), st.integers(), st.booleans()),
    st.builds(lambda n, t: lambda s: SetAthlete(n, t), texts, texts),
    st.builds(lambda r: lambda s: SetVideo(r), media("video")),
    st.builds(lambda r: lambda s: SetTrace(r), media("trace")),
)


@settings(max_examples=60, deadline=None)
@given(states, st.lists(makers, max_size=12))
def test_undoing_all_gives_the_first_state_and_redoing_all_the_last(
    first: ReviewState, many: list[Maker]
) -> None:
    review = Review(first)
    for make in many:
        change = make(review.state)
        if change is not None:
            review.do(change)
    last = review.state
    assert list(last.notes) == sorted(last.notes, key=lambda note: note.video_s)
    way_back = []
    while review.undo_label is not None:
        way_back.append(review.state)
        review.undo()
        assert review.state != way_back[-1], "an undo that changes nothing confuses"
    assert review.state == first
    for state in reversed(way_back):
        review.redo()
        assert review.state == state
    assert review.state == last and review.redo_label is None


def test_every_change_is_in_the_file_at_once(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState())
    note = new_note(2.0, "early")
    for change in (AddNote(note), EditNote(note.id, phase="catch"), DeleteNote(note.id)):
        review.do(change)
        assert read_review(path) == review.state
    review.undo()
    assert read_review(path) == review.state == Review.open(path).state
    assert review.state.notes[0].phase == "catch"


def test_words_of_the_undo_menu() -> None:
    review = Review(ReviewState())
    assert review.undo_label is None and review.redo_label is None
    review.do(AddNote(new_note(1.0)))
    assert review.undo_label == "add note"
    review.undo()
    assert (review.undo_label, review.redo_label) == (None, "add note")
    review.do(TurnPicture(PictureTurn(5)))
    assert review.state.turn == PictureTurn(1)
    assert (review.undo_label, review.redo_label) == ("turn picture", None)


def test_typing_is_one_step_until_something_else_happens() -> None:
    review = Review(ReviewState())
    note, other = new_note(1.0, "x"), new_note(2.0)
    review.do(AddNote(note))
    review.do(AddNote(other))
    for text in ("T", "To", "Too"):
        review.do(EditNote(note.id, text=text))
    review.do(EditNote(other.id, text="y"))
    review.do(EditNote(note.id, text="Too s"))
    review.seal()
    review.do(EditNote(note.id, text="Too soon"))
    texts_ = []
    for _ in range(4):
        review.undo()
        texts_.append(review.state.notes[0].text)
    assert texts_ == ["Too s", "Too", "Too", "x"]


def test_tags_set_one_after_the_other_are_undone_one_by_one() -> None:
    review = Review(ReviewState())
    note = new_note(1.0, "x")
    review.do(AddNote(note))
    review.do(EditNote(note.id, text="xy"))
    review.do(EditNote(note.id, phase="catch"))
    review.do(EditNote(note.id, phase="drive"))
    review.undo()
    assert (review.state.notes[0].phase, review.state.notes[0].text) == ("catch", "xy")
    review.undo()
    assert (review.state.notes[0].phase, review.state.notes[0].text) == ("", "xy")


def test_typing_and_taking_it_away_leaves_nothing_to_undo() -> None:
    review = Review(ReviewState())
    note = new_note(1.0, "x")
    review.do(AddNote(note))
    review.do(EditNote(note.id, text="xy"))
    review.do(EditNote(note.id, text="x"))
    assert review.undo_label == "add note"
    review.do(EditNote(note.id, text="x"))
    assert review.undo_label == "add note", "the same again is no change"


def test_one_drag_is_one_step_and_one_saving(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState())
    savings: list[object] = []
    real = keeping.save
    monkeypatch.setattr(keeping, "save", lambda *args: savings.append(args) or real(*args))
    for level in range(100, 200):
        review.do(SetTarget(TargetCurve(level_n=level), gesture="level 1"), save=False)
    assert review.unsaved and not savings
    assert review.save() and review.save() and not review.unsaved
    assert len(savings) == 1 and read_review(path) == review.state
    review.do(SetTarget(TargetCurve(level_n=7), gesture="level 2"))
    review.undo()
    assert review.state.target == TargetCurve(level_n=199)
    review.undo()
    assert review.state.target is None


def test_a_change_that_cannot_be_made_changes_nothing() -> None:
    review = Review(ReviewState())
    note = new_note(1.0)
    review.do(AddNote(note))
    before = review.state
    impossible = (
        DeleteNote("gone"),
        EditNote("gone", text="x"),
        EditNote(note.id, video_s=float("nan")),
        EditNote(note.id, end_s=0.5),
        EditNote(note.id, phase="nonsense"),
        AddNote(note),
        SetLineUp((), Alignment(offset_s=float("inf"))),
    )
    for change in impossible:
        with pytest.raises(ReviewError):
            review.do(change)
        assert review.state is before and review.undo_label == "add note"


def test_broken_characters_from_a_clipboard_do_not_cost_the_note(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    review = Review.create(path, ReviewState())
    note = new_note(1.0)
    review.do(AddNote(note))
    review.do(EditNote(note.id, text="go\ud83d on\0 \ud83d\udea3"))
    review.do(SetAthlete("\udc80Zoë", "t\0"))
    state = read_review(path)
    assert state.notes[0].text == "go\ufffd on 🚣"
    assert (state.athlete, state.title) == ("\ufffdZoë", "t")


def test_a_failed_saving_keeps_the_work_and_is_tried_again(tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    review = Review.create(folder / "a.review", ReviewState())
    said: list[str] = []
    review.on_save_error = said.append
    folder.rename(tmp_path / "pulled out")
    review.do(AddNote(new_note(1.0, "first")))
    assert review.unsaved and len(review.state.notes) == 1
    assert len(said) == 1 and "is no longer in" in said[0] and "kept here" in said[0]
    assert not folder.exists(), "nothing is put where a disk is mounted"
    (tmp_path / "pulled out").rename(folder)
    review.do(AddNote(new_note(2.0, "second")))
    assert not review.unsaved and len(said) == 1
    assert [n.text for n in read_review(folder / "a.review").notes] == ["first", "second"]


def test_saving_elsewhere_keeps_sight_of_the_recordings(tmp_path: Path) -> None:
    ref = MediaRef("video", "film.mp4", 1, "00")
    review = Review.create(tmp_path / "a.review", ReviewState())
    review.do(SetVideo(ref))
    review.do(AddNote(new_note(1.0)))
    (tmp_path / "deeper").mkdir()
    save_as(review, tmp_path / "deeper" / "a.review")
    assert review.state.video == replace(ref, path="../film.mp4")
    review.undo()
    assert review.state.video == replace(ref, path="../film.mp4")


def test_everyone_hears_of_changes_in_order(tmp_path: Path) -> None:
    review = Review(ReviewState())
    heard: list[tuple[str, int, int]] = []

    def answering(state: ReviewState, previous: ReviewState) -> None:
        heard.append(("answering", len(previous.notes), len(state.notes)))
        if len(state.notes) == 1:
            review.do(AddNote(new_note(2.0)))

    stop = review.subscribe(answering)
    review.subscribe(lambda s, p: heard.append(("plain", len(p.notes), len(s.notes))))
    review.do(AddNote(new_note(1.0)))
    assert heard == [("answering", 0, 1), ("plain", 0, 1), ("answering", 1, 2), ("plain", 1, 2)]
    stop()
    stop()
    review.undo()
    assert heard[4:] == [("plain", 2, 1)]


def test_a_failing_listener_does_not_cost_the_note(tmp_path: Path) -> None:
    review = Review.create(tmp_path / "a.review", ReviewState())

    def broken(state: ReviewState, previous: ReviewState) -> None:
        raise RuntimeError("widget")

    review.subscribe(broken)
    with pytest.raises(RuntimeError, match="widget"):
        review.do(AddNote(new_note(1.0, "kept")))
    assert read_review(tmp_path / "a.review").notes[0].text == "kept"


def test_a_draft_is_one_until_a_coach_has_worked_on_it() -> None:
    review = Review(ReviewState(draft=True))
    review.do(TurnPicture(PictureTurn(1)))
    review.do(SetAthlete("Zoë", ""))
    assert review.state.draft, "turning and naming is not coaching"
    review.do(AddNote(new_note(1.0, "seen")))
    assert not review.state.draft
    review.undo()
    assert review.state.draft


def test_another_recording_forgets_the_line_up_but_a_moved_one_keeps_it() -> None:
    lined_up = Alignment(3.0, 0.0, 0.02, "by hand")
    video, trace = MediaRef("video", "a.mp4", 9, "aa"), MediaRef("trace", "a.csv", 9, "bb")
    review = Review(ReviewState(video=video, trace=trace))
    review.do(SetLineUp((Pair(4.0, 1.0),), lined_up))
    review.do(SetVideo(replace(video, path="elsewhere/a.mp4")))
    assert review.state.alignment == lined_up
    review.do(SetTrace(replace(trace, sha256="cc")))
    assert review.state.alignment == Alignment() and review.state.pairs == ()


def test_creating_over_a_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.review"
    Review.create(path, ReviewState(title="first"))
    with pytest.raises(ReviewError, match="exists already"):
        Review.create(path, ReviewState())
    assert read_review(path).title == "first"
    Review.create(path, ReviewState(title="second"), replace_existing=True)
    assert read_review(path).title == "second"


def test_a_finding_kept_then_dropped_leaves_no_note() -> None:
    review = Review(ReviewState())
    review.do(KeepFinding("give", new_note(2.0, "Hang on.")))
    assert [note.text for note in review.state.notes] == ["Hang on."]
    review.do(DropFinding("give"))
    assert review.state.notes == ()
    assert [(d.code, d.kept) for d in review.state.decisions] == [("give", False)]
    review.undo()
    assert len(review.state.notes) == 1
    review.do(ReopenFinding("give"))
    assert review.state.decisions == ()
    assert review.state.notes == ()


def test_saying_the_capture_rate_keeps_everything_on_its_frame() -> None:
    """A clip of 240 frames a second played at 30 shows each second for eight."""
    start = Alignment(8.0, 0.0, 0.02, "by hand")
    state = ReviewState(
        video=MediaRef("video", "a.mp4", 1, "00"),
        alignment=replace(start, drift_ppm=(1 / 8 - 1) * 1e6),
        notes=(new_note(16.0, "here", end_s=24.0),),
        pairs=(Pair(16.0, 1.0),),
    )
    review = Review(state)
    review.do(SetCaptureRate(240.0, 1 / 8))
    now = review.state
    assert now.video is not None
    assert now.video.capture_fps == 240.0
    assert (now.notes[0].video_s, now.notes[0].end_s) == (2.0, 3.0)
    assert now.alignment.drift_ppm == pytest.approx(0.0, abs=1e-6)
    # The same frame still meets the same moment of the trace.
    assert now.alignment.trace_time(2.0) == pytest.approx(state.alignment.trace_time(16.0))
    review.undo()
    assert review.state == state
