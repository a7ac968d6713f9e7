"""Undo that survives closing: what it keeps, its bounds, and what strangers put in its place."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review import undoing
from app.review.file.store import asset_names, read_file, read_review
from app.review.parts.about import SetAthlete
from app.review.parts.media import MediaRef, SetVideo
from app.review.parts.notes import (
    AddNote,
    AddVoiceNote,
    DeleteNote,
    EditNote,
    Note,
    new_note,
)
from app.review.parts.picture import PictureTurn, TurnPicture
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.voice import to_wav, voice_of
from tests.helpers.reviews import save_as

VOICE = b"\1\2" * 48_000


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "piece.review"


def worked_on(path: Path) -> Review:
    """A review with three changes, closed and opened again."""
    review = Review.create(path, ReviewState(notes=(Note("first", 1.0, "First"),)))
    review.do(EditNote("first", text="Changed"))
    review.do(AddNote(Note("second", 2.0, "Second")))
    review.do(TurnPicture(PictureTurn(1)))
    assert review.close()
    return Review.open(path)


def test_everything_can_be_taken_back_and_brought_back_after_opening_again(path: Path) -> None:
    review = worked_on(path)
    last = review.state
    labels = []
    while review.undo_label is not None:
        labels.append(review.undo_label)
        review.undo()
        assert read_review(path) == review.state
    assert labels == ["turn picture", "add note", "edit note"]
    assert review.state.notes == (Note("first", 1.0, "First"),)
    assert review.redo_label == "edit note"
    for _ in labels:
        review.redo()
    assert review.redo_label is None
    assert review.state == last == read_review(path)
    review.undo()
    review.undo()
    assert [n.id for n in review.state.notes] == ["first"]


def test_it_goes_on_over_many_sessions(path: Path) -> None:
    Review.create(path, ReviewState()).close()
    for i in range(5):
        review = Review.open(path)
        review.do(AddNote(Note(f"n{i}", float(i), str(i))))
        assert review.close()
    review = Review.open(path)
    assert Review.open(path).close(), "opening and closing alone keeps it"
    for left in (4, 3, 2, 1, 0):
        review.undo()
        assert len(review.state.notes) == left
    assert review.undo_label is None


def test_what_was_taken_back_before_closing_is_not_there_to_be_taken_back(path: Path) -> None:
    review = worked_on(path)
    review.undo()
    review.undo()
    review.do(SetAthlete("Zoë", ""))
    assert review.close()
    review = Review.open(path)
    assert review.undo_label == "name the review"
    review.undo()
    review.undo()
    assert review.state.notes[0].text == "First" and review.undo_label is None


def test_a_deleted_voice_comes_back_and_closing_again_keeps_it(path: Path) -> None:
    review = Review.create(path, ReviewState())
    review.keep_sound("v", to_wav(VOICE))
    note = new_note(1.0, voice=voice_of("v", VOICE))
    review.do(AddVoiceNote(note))
    review.do(DeleteNote(note.id))
    review.close()
    review = Review.open(path)
    review.undo()
    assert review.state.notes == (note,) and review.sound("v") == to_wav(VOICE)
    review.close()
    assert Review.open(path).sound("v") == to_wav(VOICE)


@pytest.mark.parametrize(
    ("bound", "most", "left"),
    [
        ("MOST_STEPS", 2, 2),
        ("MOST_BYTES", 330, 2),
        ("MOST_BYTES", 160, 1),
        ("MOST_BYTES", 1, 0),
        ("MOST_STEPS", 50, 3),
    ],
)
def test_it_is_bounded_and_the_last_steps_are_those_kept(
    path: Path, monkeypatch: pytest.MonkeyPatch, bound: str, most: int, left: int
) -> None:
    monkeypatch.setattr(undoing, bound, most)
    review = Review.create(path, ReviewState())
    for i in range(3):
        review.do(AddNote(Note(f"n{i}", float(i), "x" * 100)))
    review.close()
    opened = read_file(path)
    assert len(opened.undo) == left
    assert sum(len(json.dumps([c.after for c in s.changes])) for s in opened.undo) <= 600
    review = Review.open(path)
    for i in range(left):
        review.undo()
        assert len(review.state.notes) == 2 - i


def test_bulky_things_are_kept_for_undo_only_so_far(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(undoing, "MOST_ASSET_BYTES", len(to_wav(VOICE)) + 10)
    review = Review.create(path, ReviewState())
    for name in ("a", "b"):
        review.keep_sound(name, to_wav(VOICE))
        note = new_note(1.0, name, voice=voice_of(name, VOICE))
        review.do(AddVoiceNote(note))
        review.do(DeleteNote(note.id))
    review.close()
    assert asset_names(path) == {"b"}
    assert len(read_file(path).undo) == 2


def test_a_change_by_another_program_ends_what_was_kept(path: Path) -> None:
    worked_on(path)
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE note SET text = 'Edited elsewhere' WHERE id = 'first'")
        db.execute("UPDATE meta SET value = 'other' WHERE key = 'revision'")
    review = Review.open(path)
    assert review.undo_label is None and review.state.notes[0].text == "Edited elsewhere"


def test_a_session_that_was_killed_leaves_nothing_wrong_to_take_back(path: Path) -> None:
    review = worked_on(path)
    review.do(AddNote(Note("third", 3.0)))
    assert Review.open(path).undo_label is None, "it was never closed"


def test_saving_elsewhere_keeps_steps_seen_from_the_same_folder_only(
    path: Path, tmp_path: Path
) -> None:
    film = MediaRef("video", "film.mp4", 1, "00")
    review = Review.create(path, ReviewState())
    review.do(SetVideo(film))
    review.do(SetVideo(replace(film, path="other.mp4")))
    review.close()
    beside, deeper = tmp_path / "beside.review", tmp_path / "deep" / "copy.review"
    deeper.parent.mkdir()
    again = Review.open(path)
    save_as(again, beside)
    again.undo()
    assert again.state.video == film
    again = Review.open(path)
    again.undo()
    again.redo()
    again.do(AddNote(Note("n", 1.0)))
    save_as(again, deeper)
    again.close()
    again = Review.open(deeper)
    paths = []
    while again.undo_label is not None:
        again.undo()
        paths.append(again.state.video and again.state.video.path)
    assert paths == ["../other.mp4", "../film.mp4"], "as seen from the new folder, or not at all"


def test_a_voice_deleted_before_saving_elsewhere_can_be_taken_back_there(
    path: Path, tmp_path: Path
) -> None:
    review = Review.create(path, ReviewState())
    review.keep_sound("v", to_wav(VOICE))
    note = new_note(1.0, voice=voice_of("v", VOICE))
    review.do(AddVoiceNote(note))
    review.close()
    review = Review.open(path)
    review.do(DeleteNote(note.id))
    save_as(review, tmp_path / "copy.review")
    path.unlink()
    review.undo()
    assert Review.open(tmp_path / "copy.review").sound("v") == to_wav(VOICE)


def put(path: Path, *rows: tuple[object, object, object]) -> None:
    """Put rows in place of the steps, as any program can."""
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("DELETE FROM undo")
        db.executemany("INSERT INTO undo VALUES (?, ?, ?)", rows)


def note_row(**said: object) -> list[object]:
    row = {"id": "x", "place": 0, "video_s": 1.0, "end_s": None, "phase": "", "body_part": "",
           "stroke": None, "text": "t", **said}  # fmt: skip
    return list(row.values())


HOSTILE = {
    "no JSON": "{",
    "nothing": "",
    "a number": "1",
    "an object": '{"note": 1}',
    "deep": "[" * 900_000,
    "deep in a row": '[["note", null, ' + "[" * 100_000 + "]]",
    "an unknown table": json.dumps([["sqlite_schema", None, [1]]]),
    "the assets": json.dumps([["asset", None, ["a", "b", 1, "c"]]]),
    "the steps": json.dumps([["undo", ["0", "x", "[]"], None]]),
    "a table that is a list": json.dumps([[["note"], None, None]]),
    "too few values": json.dumps([["note", None, [1, 2]]]),
    "too many values": json.dumps([["note", None, [*note_row(), 1]]]),
    "values that are lists": json.dumps([["note", None, note_row(text=["a"])]]),
    "an endless number": json.dumps([["note", note_row(video_s=float("inf")), None]]),
    "no number": json.dumps([["note", note_row(video_s=float("nan")), None]]),
    "a huge number": '[["note", ' + json.dumps(note_row()).replace("1.0", "9" * 400) + ", null]]",
    "half a character": json.dumps([["note", note_row(text="\ud800"), None]]),
    "a phase of nonsense": json.dumps([["note", note_row(phase="middle"), None]]),
    "text for a number": json.dumps([["note", note_row(video_s="soon"), None]]),
    "a face without places": json.dumps([["blur_region", ["r", 0, None, None, "gone"], None]]),
    "the identity": json.dumps([["meta", ["review_id", "../../x"], None]]),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_steps_of_a_stranger_cost_only_the_undo(path: Path, kind: str) -> None:
    before = worked_on(path).state
    put(path, (0, "\x1b[2Jlabel\u202e" * 50, HOSTILE[kind]))
    review = Review.open(path)
    assert review.state == before
    assert (review.undo_label or "x").isprintable() and len(review.undo_label or "") < 100
    try:
        review.undo()
    except ReviewError as error:
        assert str(error).endswith(".") and review.state == before
        assert review.undo_label is None
    assert review.state.review_id == before.review_id
    review.do(AddNote(Note("works", 9.0)))
    assert read_review(path) == review.state and review.close()


def test_odd_rows_of_steps_are_passed_over(path: Path) -> None:
    before = worked_on(path).state
    good = json.dumps([["note", note_row(), None]])
    put(path, (0, "bad", "{"), (1, "good", good), (5, "blank", "[]"))
    assert [step.label for step in read_file(path).undo] == ["good", "blank"]
    put(path, *((i, "x", "[]") for i in range(20_000)))
    assert len(read_file(path).undo) <= 200
    put(path, *((i, "x", " " * 900_000 + "[]") for i in range(9)))
    assert len(read_file(path).undo) == 2
    put(path, (-1, b"\xff", b"\x00"), (2**62, "x", "[]"))
    assert Review.open(path).state == before


values = st.none() | st.integers() | st.floats() | st.text(max_size=5)
changes = st.lists(
    st.tuples(
        st.sampled_from(["note", "voice", "mark", "mark_point", "turn", "walkthrough", "meta"]),
        st.none() | st.lists(values, max_size=9),
        st.none() | st.lists(values, max_size=9),
    ),
    max_size=4,
)


@settings(max_examples=60, deadline=None)
@given(changes)
def test_no_steps_whatsoever_raise_anything_but_a_sentence(
    tmp_path_factory: pytest.TempPathFactory, told: list[object]
) -> None:
    path = tmp_path_factory.mktemp("undo") / "a.review"
    before = worked_on(path).state
    put(path, (0, "x", json.dumps(told)))
    review = Review.open(path)
    assert review.state == before
    try:
        review.undo()
    except ReviewError:
        assert review.state == before
    assert read_review(path) == review.state


def test_half_a_character_in_a_strangers_step_stops_neither_closing_nor_another_name(
    path: Path, tmp_path: Path
) -> None:
    Review.create(path, ReviewState(notes=(Note("n", 1.0, "First"),))).close()
    voice = ["voice", None, ["n", "\ud800", 1.0, 48_000, 0.0, 1.0]]
    with closing(sqlite3.connect(path)) as connection:
        said = (json.dumps([voice]),)
        connection.execute("INSERT INTO undo VALUES (0, 'voice of the note', ?)", said)
        fits = "(SELECT value FROM meta WHERE key = 'revision')"
        connection.execute(f"UPDATE meta SET value = {fits} WHERE key = 'undo_revision'")
        connection.commit()
    review = Review.open(path)
    assert review.undo_label is None
    review.do(SetAthlete("Me", "Piece"))
    assert save_as(review, tmp_path / "other.review") == ()
    assert review.close()
