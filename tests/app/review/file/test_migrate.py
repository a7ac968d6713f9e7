"""Genuine files of earlier versions, written by the code of their time, become today's."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.files import atomic
from app.review.file import migrate, schema, store, writing
from app.review.file.store import asset_names, read_asset, read_file, read_review
from app.review.parts.notes import AddNote, DeleteNote, Note, new_note
from app.review.parts.sections import SetSections, new_section
from app.review.parts.sending import SetSending
from app.review.parts.walkthrough_text import detail_of, kind_of
from app.review.review import Review
from app.review.values.errors import DamagedReview, FileBusy, ReviewError

DATA = Path(__file__).parents[3] / "data"


@pytest.fixture(params=[1, 2])
def version(request: pytest.FixtureRequest) -> int:
    return int(request.param)


@pytest.fixture
def path(tmp_path: Path, version: int) -> Path:
    (tmp_path / "reviews").mkdir()
    path = tmp_path / "reviews" / "old.review"
    shutil.copyfile(DATA / f"schema_{version}.review", path)
    return path


def test_a_file_of_version_3_keeps_everything_and_gets_sections(tmp_path: Path) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / "schema_3.review", path)
    before, first = path.read_bytes(), read_review(path)
    assert first.sections == () and first.notes and first.walkthroughs and first.blurs
    names = asset_names(path)
    review = Review.open(path)
    assert path.read_bytes() == before, "opening alone changes nothing"
    review.do(SetSections((new_section(12.5, "10 easy"),)))
    assert review.close()
    assert kept_of(path, 3).read_bytes() == before
    again = read_review(path)
    assert [s.name for s in again.sections] == ["10 easy"]
    assert replace(again, sections=()) == first
    assert asset_names(path) == names
    assert all(read_asset(path, n) == read_asset(kept_of(path, 3), n) for n in names)


def told(path: Path, table: str) -> list[dict[str, Any]]:
    """Rows as SQLite reads them, whatever this program thinks of them."""
    with closing(sqlite3.connect(path)) as db:
        db.row_factory = sqlite3.Row
        return [dict(row) for row in db.execute(f"SELECT * FROM {table} ORDER BY rowid")]


def kept_of(path: Path, version: int) -> Path:
    return path.with_name(f"old.schema-{version}.review")


def brought_up(path: Path) -> Review:
    review = Review.open(path)
    review.do(AddNote(Note("new", 100.0, "new words")))
    return review


def test_opening_alone_changes_nothing(path: Path, version: int) -> None:
    before = path.read_bytes()
    review = Review.open(path)
    assert review.close() and path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == ["old.review"]
    assert Review.open(path).state == review.state and len(review.state.review_id) == 32


def test_every_row_of_the_older_file_is_in_the_new_one(path: Path, version: int) -> None:
    before = path.read_bytes()
    brought_up(path).close()
    kept = kept_of(path, version)
    assert kept.read_bytes() == before, "the older file lies beside it as it was"
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (4,)
        tables = [n for (n,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
    rebuilt = {"meta", "voice_sound", "logo", "blur_key", "blur_unsure", "blur_content",
               "walkthrough_event", "comparison_marks"}  # fmt: skip
    with closing(sqlite3.connect(kept)) as db:
        older = [n for (n,) in db.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
    for table in set(older) - rebuilt:
        assert table in tables
        new = told(path, table)
        for row in told(kept, table):
            # A place tells rows of one parent apart; where it counts moments it is made anew.
            wanted = {
                n: v for n, v in row.items() if n in new[0] and (table, n) != ("note", "place")
            }
            assert any(wanted.items() <= found.items() for found in new), (table, wanted)
        added = 1 if table == "note" else 0
        assert len(new) == len(told(kept, table)) + added, table
    meta = {row["key"]: row["value"] for row in told(path, "meta")}
    for row in told(kept, "meta"):
        assert row["key"] == "revision" or meta[row["key"]] == row["value"]


def test_voices_and_logos_are_the_same_bytes_under_the_same_names(path: Path, version: int) -> None:
    brought_up(path)
    kept = kept_of(path, version)
    bulky = {row["id"]: row["wav"] for row in told(kept, "voice_sound")}
    if version == 2:
        bulky |= {row["id"]: row["png"] for row in told(kept, "logo")}
    assert len(bulky) == (1 if version == 1 else 3)
    for id_, data in bulky.items():
        assert read_asset(path, id_) == data
        (row,) = [r for r in told(path, "asset") if r["id"] == id_]
        assert row["sha256"] == hashlib.sha256(data).hexdigest() and row["size"] == len(data)


def test_places_of_faces_and_events_are_the_same_numbers(tmp_path: Path) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / "schema_2.review", path)
    before = read_review(path)
    keys = told(path, "blur_key")
    events = told(path, "walkthrough_event")
    assert len(keys) == 60 and len(events) == 3
    brought_up(path)
    for state in (before, read_review(path)):
        (region,) = state.blurs
        names = ("video_s", "x_px", "y_px", "w_px", "h_px", "by_hand")
        assert [tuple(k) for k in region.keyframes] == [tuple(r[n] for n in names) for r in keys]
        (walk,) = state.walkthroughs
        assert walk.score.id == events[0]["score_id"]
        by_time = sorted(events, key=lambda r: r["at_s"])
        assert [(e.at_s, kind_of(e), json.loads(detail_of(e))) for e in walk.score.events] == [
            (r["at_s"], r["kind"], json.loads(r["detail"])) for r in by_time
        ]


def test_a_second_saving_makes_no_second_copy(path: Path, version: int) -> None:
    review = brought_up(path)
    review.do(AddNote(new_note(101.0)))
    review.close()
    assert len(list(path.parent.iterdir())) == 2
    review = Review.open(path)
    assert review.undo_label == "add note"
    review.undo()
    review.undo()
    assert len(review.state.notes) == len(read_review(kept_of(path, version)).notes)


FAULTS: dict[str, tuple[object, str]] = {
    "the copy beside": (migrate, "_keep"),
    "the new file's rows": (store, "apply"),
    "the new file's undo": (store, "write_undo"),
    "the new file's assets": (writing, "insert_asset"),
    "the sync": (atomic, "sync_path"),
}


@pytest.mark.parametrize("where", FAULTS)
def test_cut_off_at_any_moment_the_older_file_is_whole(
    path: Path, version: int, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    before = path.read_bytes()

    def full(*_args: object, **_more: object) -> None:
        raise OSError(28, "No space left on device")

    review = Review.open(path)
    said: list[str] = []
    review.on_save_error = said.append
    monkeypatch.setattr(*FAULTS[where], full)
    for i in range(3):
        review.do(AddNote(Note(f"new{i}", 100.0 + i)))
        assert path.read_bytes() == before
        names = {p.name for p in path.parent.iterdir()}
        assert not any("schema" in name or ".part" in name for name in names), "nothing piles up"
        assert len(names) <= 2, "the review and one rescue copy"
    assert len(said) == 3 and all(s.endswith(".") for s in said)
    monkeypatch.undo()
    assert review.save()
    assert read_review(path) == review.state
    assert kept_of(path, version).read_bytes() == before


@pytest.mark.parametrize("linked", [True, False])
def test_killed_between_the_copy_and_the_new_file_it_is_not_kept_twice(
    path: Path, version: int, linked: bool
) -> None:
    kept = kept_of(path, version)
    if linked:
        kept.hardlink_to(path)
    else:
        shutil.copyfile(path, kept)
    brought_up(path)
    assert sorted(p.name for p in path.parent.iterdir()) == sorted(["old.review", kept.name])


def test_a_name_that_is_taken_by_something_else_is_left_alone(path: Path, version: int) -> None:
    taken = kept_of(path, version)
    taken.write_bytes(b"somebody's own")
    before = path.read_bytes()
    brought_up(path)
    assert taken.read_bytes() == b"somebody's own"
    assert path.with_name(f"old.schema-{version}-2.review").read_bytes() == before


def test_two_windows_on_one_older_file_both_end_up_in_the_new_one(path: Path, version: int) -> None:
    one, other = Review.open(path), Review.open(path)
    one.do(AddNote(Note("one", 100.0)))
    other.do(AddNote(Note("other", 101.0)))
    assert other.path == path
    assert {"one", "other"} <= {n.id for n in read_review(path).notes}
    kept = read_review(kept_of(path, version))
    assert not {"one", "other"} & {n.id for n in kept.notes}
    one.do(AddNote(Note("one more", 102.0)))
    assert {"one", "other", "one more"} <= {n.id for n in read_review(path).notes}
    assert len(list(path.parent.iterdir())) == 2


def test_another_window_at_it_just_now_is_waited_for(path: Path, version: int) -> None:
    from app.files import locks

    opened = read_file(path)
    held = locks.take(path.with_name(f".{path.name}.lock"))
    assert held is not None
    with pytest.raises(FileBusy):
        store.save(path, opened.stamp, opened.state, opened.state, {})
    held.release()
    store.save(path, opened.stamp, opened.state, opened.state, {})


def test_an_older_program_that_saved_meanwhile_is_not_written_over(path: Path) -> None:
    review = Review.open(path)
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("UPDATE meta SET value = 'newer' WHERE key = 'revision'")
        db.execute("UPDATE note SET text = 'saved by the older program'")
    before = path.read_bytes()
    with pytest.raises(ReviewError, match="earlier version of Strokeside"):
        review.do(AddNote(new_note(100.0)))
    assert path.read_bytes() == before


def test_a_voice_on_a_damaged_page_stops_it_and_a_missing_one_does_not(
    path: Path, version: int
) -> None:
    voice = told(path, "voice")[0]["sound_id"]
    whole = path.read_bytes()
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("DELETE FROM voice_sound WHERE id = ?", (voice,))
    brought_up(path)
    assert voice not in asset_names(path), "it dangled before, and still does"
    kept_of(path, version).unlink()
    path.write_bytes(whole)
    wav = told(path, "voice_sound")[0]["wav"]
    data = bytearray(whole)
    # The first page of its samples points to itself, so that the rest cannot be followed.
    at = data.index(wav[5000:5040]) // 4096 * 4096
    data[at : at + 4] = (at // 4096 + 1).to_bytes(4, "big")
    review = Review.open(path)
    path.write_bytes(data)
    with pytest.raises(DamagedReview):
        review.do(DeleteNote(review.state.notes[0].id))
    assert path.read_bytes() == data
    assert [p.name for p in path.parent.iterdir() if ".schema" in p.name] == []


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE walkthrough_event SET at_s = x'00'",
        "UPDATE walkthrough_event SET detail = x'00'",
        "UPDATE walkthrough_event SET kind = x'ff'",
        "UPDATE walkthrough_event SET detail = '[1]' WHERE kind = 'moved'",
        "UPDATE walkthrough_event SET detail = '{\"mark\": \"x\"}' WHERE kind = 'mark'",
        "UPDATE walkthrough_event SET detail = '{\"video_s\": [1]}' WHERE kind = 'moved'",
        "UPDATE blur_key SET x_px = x'00'",
        "UPDATE blur_key SET x_px = 'left'",
        "UPDATE blur_unsure SET from_s = x'00'",
        "UPDATE blur_region SET id = x'00'",
        "UPDATE walkthrough SET score_id = x'00'",
        "UPDATE meta SET value = x'00' WHERE key = 'revision'",
        "UPDATE comparison SET id = x'00'",
    ],
)
def test_odd_rows_of_an_older_file_cost_a_sentence(tmp_path: Path, statement: str) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / "schema_2.review", path)
    with closing(sqlite3.connect(path)) as db, db:
        db.execute(statement)
    try:
        read_review(path)
    except ReviewError as error:
        assert str(error).isprintable() and str(error).endswith(".")


@pytest.mark.parametrize("name", ["first", "one_column"])
def test_a_file_of_this_version_from_before_columns_were_added_opens_and_is_brought_up(
    name: str, tmp_path: Path
) -> None:
    path = tmp_path / "old.review"
    shutil.copyfile(DATA / f"schema_4_{name}.review", path)
    before, first, names = path.read_bytes(), read_review(path), asset_names(path)
    was = told(path, "comparison_stroke")
    assert first.sending is not None and first.sending.coach == "Anna"
    assert first.sending.second_view and not first.sending.skeleton
    review = Review.open(path)
    assert path.read_bytes() == before, "opening alone changes nothing"
    review.undo()
    assert review.state.sending is not None and review.state.sending.coach == "K"
    review.undo()
    review.do(SetSending(second_view=False))
    assert review.close()
    again = read_review(path)
    assert again.sending is not None and not again.sending.second_view
    assert [n.text for n in again.notes if n.id == "new"] == ["new words"]
    assert asset_names(path) == names
    is_now = told(path, "comparison_stroke")
    assert was and [{column: row[column] for column in was[0]} for row in is_now] == was
    with closing(sqlite3.connect(path)) as db:
        made = dict(db.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'table'"))
    today = schema.statements(schema.SCHEMA_VERSION)
    assert all(today[table] == text for table, text in made.items())
    assert list(tmp_path.iterdir()) == [path]
