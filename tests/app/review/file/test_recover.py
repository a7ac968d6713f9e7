"""A damaged review becomes a new one: what can be read is there, what cannot is said."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from app.review.file.recover import Recovered, recover
from app.review.file.store import create_file, read_asset, read_review
from app.review.parts.blur import new_region
from app.review.parts.comparisons import new_comparison
from app.review.parts.marks import new_mark
from app.review.parts.notes import Note, Voice
from app.review.parts.sending import SendingPlan
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import Moved
from app.review.parts.walkthroughs import new_walkthrough
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef
from app.review.voice import to_wav
from tests.helpers.patience import HANGS_S

DATA = Path(__file__).parents[3] / "data"
WAV = to_wav(bytes(range(256)) * 400)
STROKE = StrokeRef("", 0.0, 1.0, 2.0)
STATE = ReviewState(
    title="Steady piece",
    review_id="0123456789abcdef" * 2,
    notes=(
        Note("a", 1.0, "Typed"),
        Note("b", 2.0, "Spoken", voice=Voice("v" * 32, 1.0, 48_000, 0.0, 1.0)),
        Note("c", 3.0, "Last"),
    ),
    marks=(new_mark("line", [(0, 0), (1, 1)], 1.0), new_mark("text", [(5, 5)], 2.0, text="x")),
    blurs=(new_region(1.0, 5, 5, 9, 9), new_region(2.0, 7, 7, 9, 9)),
    comparisons=(new_comparison(STROKE, STROKE, title="One"), new_comparison(STROKE, STROKE)),
    walkthroughs=(
        new_walkthrough([Moved(i / 10, i / 20) for i in range(10)], 2.0, "w" * 32, "Catch"),
    ),
    sending=SendingPlan(logo_id="l" * 32),
)
ASSETS = {"v" * 32: WAV, "w" * 32: WAV + b"\0\0", "l" * 32: b"\x89PNG\r\n\x1a\nlogo"}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "hurt.review"
    create_file(path, STATE, ASSETS)
    return path


def hurt(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as db, db:
        for statement in statements:
            db.execute(statement)


def recovered(path: Path) -> tuple[Recovered, Path]:
    before = path.read_bytes()
    target = path.with_name("recovered.review")
    found = recover(path, target)
    assert path.read_bytes() == before
    assert read_review(target) == found.state, "what was recovered opens strictly"
    assert Review.open(target).state == found.state
    assert all(s[0].isupper() or s[0].isdigit() for s in found.lost)
    return found, target


def test_of_a_whole_file_everything_comes_back_and_nothing_is_said_lost(path: Path) -> None:
    found, target = recovered(path)
    assert found.state == STATE and found.lost == ()
    assert "3 notes" in found.saved and "2 marks" in found.saved
    for id_, data in ASSETS.items():
        assert read_asset(target, id_) == data


@pytest.mark.parametrize("version", ["1", "2", "4_first", "4_one_column"])
def test_older_files_are_recovered_as_todays(tmp_path: Path, version: str) -> None:
    path = tmp_path / "hurt.review"
    shutil.copyfile(DATA / f"schema_{version}.review", path)
    whole = read_review(path)
    found, target = recovered(path)
    assert found.state == whole and found.lost == ()
    hurt(path, "UPDATE note SET phase = 'middle' WHERE rowid = 3")
    target.unlink()
    found, target = recovered(path)
    assert len(found.state.notes) == len(whole.notes) - 1
    assert found.lost == ("1 note could not be read.",)
    assert found.state.marks == whole.marks and found.state.walkthroughs == whole.walkthroughs
    voice = next(n.voice for n in found.state.notes if n.voice is not None)
    assert read_asset(target, voice.id)[:4] == b"RIFF"


BAD_ROWS = {
    "note": ("UPDATE note SET phase = 'middle' WHERE id = 'a'", "notes", 2),
    "mark": ("UPDATE mark SET kind = 'spiral' WHERE place = 0", "marks", 1),
    "text for a number": ("UPDATE note SET video_s = 'soon' WHERE id = 'a'", "notes", 2),
    "endless number": ("UPDATE note SET end_s = 9e999 WHERE id = 'a'", "notes", 2),
    "blob for a text": ("UPDATE note SET stroke = x'00' WHERE id = 'a'", "notes", 2),
    "a comparison without a stroke": (
        "DELETE FROM comparison_stroke WHERE side = 'left' AND comparison_id ="
        " (SELECT id FROM comparison WHERE place = 0)",
        "comparisons",
        1,
    ),
    "a face without its places": (
        "DELETE FROM asset WHERE id = (SELECT path FROM blur_region WHERE place = 0)",
        "blurs",
        1,
    ),
    "a face whose places are no JSON": (
        "UPDATE asset SET data = x'7b7b' WHERE id = (SELECT path FROM blur_region WHERE place = 0)",
        "blurs",
        1,
    ),
}


@pytest.mark.parametrize("kind", BAD_ROWS)
def test_a_bad_row_costs_itself_and_is_said(path: Path, kind: str) -> None:
    statement, name, left = BAD_ROWS[kind]
    hurt(path, statement)
    with pytest.raises(ReviewError):
        read_review(path)
    found, _target = recovered(path)
    assert len(getattr(found.state, name)) == left and found.lost
    for other in ("notes", "marks", "comparisons", "walkthroughs", "blurs"):
        if other != name:
            assert getattr(found.state, other) == getattr(STATE, other)


def test_a_bad_event_costs_itself(path: Path) -> None:
    (events,) = STATE.walkthroughs
    with closing(sqlite3.connect(path)) as db, db:
        name, data = db.execute(
            "SELECT id, data FROM asset WHERE id IN (SELECT events FROM walkthrough_score)"
        ).fetchone()
        lines = data.split(b"\n")
        lines[3] = b'{"at_s": 9, "is": "moved", "says": [1]}'
        lines[5] = b"\xff\x00"
        lines[6] = b'{"at_s": 1' + b"0" * 400 + b', "is": "moved", "says": {"video_s": 1}}'
        db.execute("UPDATE asset SET data = ? WHERE id = ?", (b"\n".join(lines), name))
    found, _target = recovered(path)
    (walk,) = found.state.walkthroughs
    kept = [e for i, e in enumerate(events.score.events) if i not in (3, 5, 6)]
    assert list(walk.score.events) == kept and walk.sound_id == "w" * 32
    assert "3 of 10 events of a walkthrough could not be read." in found.lost


def test_a_sound_with_a_bad_bit_comes_back_and_is_said(path: Path) -> None:
    data = bytearray(path.read_bytes())
    at = data.index(WAV[3000:3200]) + 50
    data[at] ^= 1
    path.write_bytes(data)
    with pytest.raises(ReviewError, match="damaged"):
        [read_asset(path, i) for i in ("v" * 32, "w" * 32)]
    found, target = recovered(path)
    assert found.state == STATE
    assert found.lost == ("1 recording(s) or track(s) came back, but not as they were written.",)
    sounds = [read_asset(target, i) for i in ("v" * 32, "w" * 32)]
    wrong = sum(a != b for s, w in zip(sounds, (WAV, WAV + b"\0\0"), strict=True)
                for a, b in zip(s, w, strict=True))  # fmt: skip
    assert wrong == 1


def test_words_are_kept_where_the_sound_is_gone(path: Path) -> None:
    hurt(path, "DELETE FROM asset WHERE substr(id, 1, 1) IN ('v', 'w', 'l')")
    found, _target = recovered(path)
    assert [n.text for n in found.state.notes] == ["Typed", "Spoken", "Last"]
    assert all(n.voice is None for n in found.state.notes)
    (walk,) = found.state.walkthroughs
    assert walk.sound_id == "" and walk.score == STATE.walkthroughs[0].score
    assert found.state.sending.logo_id == ""
    assert "The sound of 2 note(s) or walkthrough(s) could not be read." in found.lost


def test_a_walkthrough_without_its_course_keeps_its_voice(path: Path) -> None:
    hurt(path, "DELETE FROM walkthrough_score")
    found, target = recovered(path)
    assert found.state.walkthroughs[0].score.events == ()
    assert read_asset(target, "w" * 32) == WAV + b"\0\0"


def test_of_two_rows_with_one_id_the_first_is_kept(path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA writable_schema = ON")
        db.execute(
            "UPDATE sqlite_schema SET sql = replace(sql, 'PRIMARY KEY (id)', 'CHECK (1)')"
            " WHERE name = 'note'"
        )
        db.execute("DELETE FROM sqlite_schema WHERE name LIKE 'sqlite_autoindex_note%'")
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("INSERT INTO note SELECT id, 1, video_s, end_s, phase, body_part, stroke,"
                   " on_force, 'the second' FROM note WHERE id = 'a'")  # fmt: skip
    found, _target = recovered(path)
    assert sorted(n.text for n in found.state.notes) == ["Last", "Spoken", "Typed"]


@pytest.mark.parametrize("source", ["today", "schema_1", "schema_2", "schema_3"])
def test_a_first_page_of_zeros_takes_the_version_along_and_little_else(
    path: Path, source: str
) -> None:
    if source != "today":
        shutil.copyfile(DATA / f"{source}.review", path)
    whole = read_review(path)
    size = 4096
    path.write_bytes(bytes(size) + path.read_bytes()[size:])
    found, _target = recovered(path)
    assert [n.text for n in found.state.notes] == [n.text for n in whole.notes]
    assert len(found.state.marks) == len(whole.marks)
    assert any("list of tables" in said for said in found.lost)


@pytest.mark.parametrize(
    "content", [b"", b"x", bytes(4096), bytes(range(256)) * 64, b"SQLite format 3\0" * 400]
)
def test_where_nothing_can_be_read_one_sentence_says_so(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "hurt.review"
    path.write_bytes(content)
    with pytest.raises(ReviewError, match="Nothing of a review could be read from hurt"):
        recover(path, tmp_path / "new.review")
    assert not (tmp_path / "new.review").exists()


def test_nothing_is_written_over_and_what_is_no_file_is_said(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "there.review"
    target.write_bytes(b"mine")
    with pytest.raises(ReviewError, match="exists already"):
        recover(path, target)
    assert target.read_bytes() == b"mine"
    for place in (tmp_path, tmp_path / "gone.review"):
        with pytest.raises(ReviewError, match=r"\.$"):
            recover(place, tmp_path / "new.review")
    with pytest.raises(ReviewError, match="could not be saved"):
        recover(path, tmp_path / "no" / "folder.review")


def test_recordings_are_named_as_seen_from_the_new_place(tmp_path: Path, path: Path) -> None:
    from app.review.parts.media import MediaRef

    other = tmp_path / "film.review"
    create_file(other, replace(STATE, video=MediaRef("video", "film.mp4", 1, "00")), ASSETS)
    (tmp_path / "deep").mkdir()
    found = recover(other, tmp_path / "deep" / "new.review")
    assert found.state.video is not None and found.state.video.path == "../film.mp4"


def test_what_strangers_put_into_a_damaged_file_cannot_speak(path: Path) -> None:
    hurt(path, "UPDATE note SET text = 'a' || char(27) || '[2Jb' WHERE id = 'a'",
         "UPDATE note SET phase = char(27) || '[31m' WHERE id = 'c'")  # fmt: skip
    found, _target = recovered(path)
    assert found.state.notes[0].text == "a[2Jb"
    assert all(said.isprintable() for said in found.lost)


def test_a_journal_of_a_cut_off_saving_is_taken_back_first(path: Path) -> None:
    cut = path.with_name("cut.review")
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA cache_size = 1")
        db.execute("BEGIN")
        db.execute("UPDATE note SET text = text || 'new' || hex(zeroblob(40000))")
        shutil.copyfile(path, cut)
        shutil.copyfile(f"{path}-journal", f"{cut}-journal")
        db.execute("ROLLBACK")
    found = recover(cut, path.with_name("recovered.review"))
    assert [n.text for n in found.state.notes] == ["Typed", "Spoken", "Last"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    pipe, target = tmp_path / "pipe.review", tmp_path / "new.review"
    os.mkfifo(pipe)
    code = "import sys, pathlib; from app.review.file.recover import recover; "
    code += "recover(*map(pathlib.Path, sys.argv[1:]))"
    run = subprocess.run(
        [sys.executable, "-c", code, str(pipe), str(target)],
        cwd=Path(__file__).parents[4],
        capture_output=True,
        text=True,
        timeout=HANGS_S,
        check=False,
    )
    assert "is not a file; choose the damaged .review file itself." in run.stderr
    assert not target.exists()


@pytest.mark.parametrize("end", ["-journal", "-wal", "-shm"])
def test_nothing_is_recovered_into_a_name_that_sqlite_deletes(tmp_path: Path, end: str) -> None:
    path = tmp_path / "a.review"
    create_file(path, ReviewState(title="A"))
    with pytest.raises(ReviewError, match="SQLite's own"):
        recover(path, path.with_name(path.name + end))
    assert [p.name for p in tmp_path.iterdir()] == ["a.review"]
