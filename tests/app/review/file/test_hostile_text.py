"""What a review from anybody cannot do, and what deleting means."""

from __future__ import annotations

import json
import random
import sqlite3
from contextlib import closing, suppress
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review import undoing
from app.review.file import guard
from app.review.file.contents import Budget
from app.review.file.sentences import sentences
from app.review.file.store import create_file, read_file, read_review
from app.review.file.writing import digest
from app.review.parts.about import SetAthlete
from app.review.parts.check import MOST_TEXT_BYTES
from app.review.parts.marks import new_mark
from app.review.parts.notes import AddNote, AddVoiceNote, DeleteNote, EditNote, Note, new_note
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import CurveShown, MarkDrawn, Moved, Shown
from app.review.parts.walkthrough_text import detail_of, event_of, kind_of
from app.review.parts.walkthroughs import new_walkthrough
from app.review.review import Review
from app.review.values.errors import DamagedReview, FileBusy, ReviewError
from app.review.values.part import UNREADABLE
from app.review.voice import to_wav, voice_of

STEERING = "a\x1b[2J\x07b\x9b31mc\x7f\x00d"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "piece.review"


def by_another_program(path: Path, *statements: tuple[str, tuple[object, ...]]) -> None:
    with closing(sqlite3.connect(path)) as db, db:
        for statement, values in statements:
            db.execute(statement, values)


def test_texts_of_a_file_cannot_steer_a_screen(path: Path) -> None:
    mark = new_mark("text", [(1, 1)], 0.0, text="here")
    walk = new_walkthrough([MarkDrawn(0.0, mark), Shown(1.0, "comparison", "c")], 2.0)
    create_file(path, ReviewState(title="t", notes=(Note("n", 1.0, "x"),), walkthroughs=(walk,)))
    by_another_program(
        path,
        ("UPDATE meta SET value = ? WHERE key = 'title'", (STEERING,)),
        ("UPDATE note SET text = ?", (STEERING + "\r\nnext\tline",)),
    )
    with closing(sqlite3.connect(path)) as db, db:
        id_, data = db.execute("SELECT id, data FROM asset").fetchone()
        data = data.replace(b"here", b"a\\u001b[2J\\u0000b").replace(b'"c"', b'"\\u009b"')
        db.execute("UPDATE asset SET data = ?, sha256 = ? WHERE id = ?", (data, digest(data), id_))
    state = read_review(path)
    assert state.title == "a[2Jb31mcd"
    assert state.notes[0].text == "a[2Jb31mcd\nnext\tline"
    drawn, shown = state.walkthroughs[0].score.events
    assert isinstance(drawn, MarkDrawn) and drawn.mark.text == "a[2Jb"
    assert isinstance(shown, Shown) and shown.ref == ""


@pytest.mark.parametrize(
    ("kind", "detail"),
    [
        ("moved", "[1]"),
        ("moved", "null"),
        ("moved", '{"video_s": "x"}'),
        ("moved", '{"video_s": 1' + "0" * 400 + "}"),
        ("mark", '{"mark": 3}'),
        ("mark", '{"mark": "text"}'),
        ("mark_gone", '{"mark_id": ["a"]}'),
        ("turned", '{"quarter_turns": 1, "mirrored": "yes", "lift": 0.5}'),
        ("turned", '{"quarter_turns": true, "mirrored": true, "lift": 0.5}'),
        ("curve", '{"on": {}}'),
        ("shown", '{"what": [], "ref": 1}'),
        ("laid", '{"look": []}'),
        ("laid", '{"look": {"fit": 1}}'),
        ("nonsense", "{}"),
        ("moved", "{" * 100_000),
    ],
)
def test_events_of_nonsense_cost_the_opening_a_sentence(path: Path, kind: str, detail: str) -> None:
    create_file(path, ReviewState(walkthroughs=(new_walkthrough([Moved(0.0, 1.0)], 2.0),)))
    line = f'{{"at_s":0.0,"is":"{kind}","says":{detail}}}\n'.encode()
    by_another_program(path, ("UPDATE asset SET data = ?, sha256 = ?", (line, digest(line))))
    with pytest.raises(ReviewError) as caught:
        read_review(path)
    assert str(caught.value).isprintable() and len(str(caught.value)) < 400


def test_events_that_are_right_are_read_as_they_were() -> None:
    for event in (Moved(1, 2), CurveShown(0.5, True), Shown(2.0, "strip", "4")):
        again = event_of(event.at_s, kind_of(event), detail_of(event))
        assert again == event


keys = st.sampled_from(["mark", "look", "fit", "video_s", "points_px"])
nonsense = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=3),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner),
    max_leaves=6,
)


@settings(max_examples=40, deadline=None)
@given(nonsense, st.sampled_from(["moved", "mark", "laid", "turned", "zoomed", "shown", "curve"]))
def test_no_event_whatsoever_raises_anything_unheard_of(told: object, kind: str) -> None:
    with suppress(UNREADABLE):
        event_of(0.0, kind, json.dumps(told))


def test_the_words_of_sqlite_cannot_speak_to_the_terminal(path: Path) -> None:
    create_file(path, ReviewState())
    error = sqlite3.DatabaseError("malformed schema (\x1b[2J\u202ename" + "x" * 5000 + ")")
    with pytest.raises(DamagedReview) as caught, sentences(path, "opened"):
        raise error
    assert str(caught.value).isprintable() and len(str(caught.value)) < 500


def test_a_damaged_file_is_known_as_one_and_a_busy_one_as_busy(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    notes = tuple(Note(f"{i}", float(i), "x" * 900) for i in range(60))
    create_file(path, ReviewState(notes=notes))
    whole = path.read_bytes()
    monkeypatch.setattr(guard, "BUSY_S", 0.01)
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("BEGIN EXCLUSIVE")
        with pytest.raises(FileBusy):
            read_file(path)
        db.execute("ROLLBACK")
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(DamagedReview):
        Review.open(path)
    # What bears a review's name may have been one; recovering it says whether it was.
    path.write_bytes(b"no review" * 100)
    with pytest.raises(DamagedReview, match="not a review, or its beginning is lost"):
        Review.open(path)
    other = path.with_suffix(".txt")
    other.write_bytes(b"no review" * 100)
    with pytest.raises(ReviewError) as caught:
        Review.open(other)
    assert not isinstance(caught.value, DamagedReview)


def test_a_text_that_could_not_be_opened_again_is_refused(path: Path) -> None:
    assert Budget().longest > MOST_TEXT_BYTES
    review = Review.create(path, ReviewState())
    note = new_note(1.0)
    review.do(AddNote(note))
    for text in ("x" * (MOST_TEXT_BYTES + 1), "ü" * (MOST_TEXT_BYTES // 2 + 1)):
        with pytest.raises(ReviewError, match="longer than a review can keep"):
            review.do(EditNote(note.id, text=text))
    review.do(EditNote(note.id, text="x" * MOST_TEXT_BYTES))
    assert read_review(path) == review.state


def test_deleted_words_are_in_no_byte_of_the_closed_file(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(undoing, "MOST_STEPS", 1)
    review = Review.create(path, ReviewState(title="Piece"))
    secret = "her mother said that she is ill"
    note = new_note(1.0, secret)
    review.do(AddNote(note))
    review.do(EditNote(note.id, text="Sit up."))
    review.do(SetAthlete("Zoë", "Piece"))
    assert read_review(path).notes[0].text == "Sit up."
    assert review.close()
    assert secret.encode() not in path.read_bytes()
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_deleted_voice_is_in_no_byte_of_the_closed_file_and_its_room_is_given_back(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(undoing, "MOST_ASSET_BYTES", 100_000)
    pcm = random.Random(3).randbytes(3_000_000)
    review = Review.create(path, ReviewState(title="Piece"))
    before = path.stat().st_size
    review.keep_sound("v", to_wav(pcm))
    note = new_note(1.0, voice=voice_of("v", pcm))
    review.do(AddVoiceNote(note))
    review.do(DeleteNote(note.id))
    assert path.stat().st_size > 3_000_000, "undo may want it"
    assert review.close()
    data = path.read_bytes()
    assert len(data) <= before + 20 * 4096
    assert not any(pcm[at : at + 64] in data for at in range(0, len(pcm), 40_000))
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("PRAGMA freelist_count").fetchone() == (0,)
    assert read_review(path) == replace(review.state, notes=())


HOSTILE_ROWS = [
    "UPDATE note SET id = x'00'",
    "UPDATE note SET place = 'first'",
    "UPDATE note SET stroke = 1.5",
    "UPDATE note SET video_s = 9e999",
    "UPDATE meta SET value = x'ff' WHERE key = 'review_id'",
    "UPDATE meta SET key = x'00' WHERE key = 'revision'",
    "DELETE FROM meta",
    "DELETE FROM alignment",
    "UPDATE flywheel SET inertia_kgm2 = 0.0",
    "UPDATE turn SET quarter_turns = -1",
    "UPDATE sending SET language = '../../x'",
    "INSERT INTO voice VALUES ('n', 'gone', 1.0, 0, 0.0, 1.0)",
    "INSERT INTO blur_region VALUES ('r', 0, NULL, NULL, 'gone')",
    "INSERT INTO walkthrough VALUES ('w', 0, 't', 1.0, '', 48000)",
    "INSERT INTO self_test_item VALUES ('i', 0, '', 2.0, 1.0, 0.0, '', 1, 0, '')",
    "INSERT INTO media VALUES ('video', '', -1, '', '', NULL, NULL, NULL, NULL, NULL, NULL, NULL,"
    " NULL)",
    "INSERT INTO media VALUES ('trace', 'a', 1, '', '', 1, NULL, NULL, NULL, NULL, NULL, NULL,"
    " NULL)",
    "INSERT INTO asset VALUES ('a', 'b', 'c', 'd')",
]


@pytest.mark.parametrize("statement", HOSTILE_ROWS)
def test_odd_rows_cost_a_sentence_or_nothing(path: Path, statement: str) -> None:
    create_file(path, ReviewState(notes=(Note("n", 1.0, "x"),), review_id="0" * 32))
    by_another_program(path, (statement, ()))
    try:
        review = Review.open(path)
    except ReviewError as error:
        assert str(error).isprintable() and str(error).endswith(".")
    else:
        review.do(AddNote(new_note(2.0)))
        assert read_review(path) == review.state
        assert review.close()
