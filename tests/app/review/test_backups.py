"""Earlier versions: one for each session that changed the review, few of each stretch of time."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from app.review import backups
from app.review.backups import BackupShelf
from app.review.file.store import read_asset, read_review
from app.review.parts.notes import AddNote, AddVoiceNote, DeleteNote, new_note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.values.errors import ReviewError
from app.review.voice import to_wav, voice_of

NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)
ID = "0123456789abcdef" * 2


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "piece.review"
    Review.create(path, ReviewState(title="Piece", review_id=ID)).close()
    return path


@pytest.fixture
def shelf(tmp_path: Path) -> BackupShelf:
    return BackupShelf(tmp_path / "data" / "backups")


def test_each_session_lays_aside_what_was_there_before_its_first_change(
    path: Path, shelf: BackupShelf
) -> None:
    review = Review.open(path)
    review.protect(shelf.folder.parent)
    assert shelf.list(ID) == (), "opening alone keeps nothing"
    review.do(AddNote(new_note(1.0, "one")))
    review.do(AddNote(new_note(2.0, "two")))
    (kept,) = shelf.list(ID)
    assert read_review(kept.path).notes == () and kept.size == kept.path.stat().st_size
    assert review.close()
    assert len(shelf.list(ID)) == 1


def test_a_voice_that_is_gone_from_the_file_is_heard_from_an_earlier_version(
    path: Path, shelf: BackupShelf
) -> None:
    wav = to_wav(b"\1\2" * 24_000)
    review = Review.open(path)
    review.keep_sound("v", wav)
    note = new_note(1.0, voice=voice_of("v", b"\1\2" * 24_000))
    review.do(AddVoiceNote(note))
    review.close()
    later = Review.open(path)
    later.protect(shelf.folder.parent)
    later.do(DeleteNote(note.id))
    import sqlite3

    with sqlite3.connect(path) as db:
        db.execute("DELETE FROM asset")
    db.close()
    later.undo()
    assert later.sound("v") == wav
    assert read_asset(path, "v") == wav, "and it is in the file again"


def days_ago(*days: float) -> list[datetime]:
    return [NOW - timedelta(days=d) for d in days]


def test_few_are_kept_of_each_stretch_of_time(path: Path, shelf: BackupShelf) -> None:
    for when in reversed(days_ago(*(i / 4 for i in range(1, 400)))):
        shelf.keep(path, ID, when)
    shelf.keep(path, ID, NOW)
    ages = [(NOW - b.when) / timedelta(days=1) for b in shelf.list(ID)]
    assert ages == sorted(ages) and ages[:3] == [0.0, 0.25, 0.5]
    dates = {b.when.date() for b in shelf.list(ID)}
    assert {(NOW - timedelta(days=day)).date() for day in range(7)} <= dates
    assert len(ages) <= 3 + 7 + 8 and max(ages) >= 35


def test_old_ones_go_by_size_and_the_newest_never(
    path: Path, shelf: BackupShelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    size = shelf.keep(path, ID, NOW - timedelta(days=3)).size
    shelf.keep(path, ID, NOW - timedelta(days=2))
    monkeypatch.setattr(backups, "MOST_BYTES", 2 * size + 1)
    shelf.keep(path, ID, NOW - timedelta(days=1))
    assert [b.when for b in shelf.list(ID)] == days_ago(1, 2)
    monkeypatch.setattr(backups, "MOST_BYTES", 1)
    shelf.keep(path, ID, NOW)
    assert [b.when for b in shelf.list(ID)] == [NOW]


def test_a_clock_that_was_wrong_costs_no_saving(
    path: Path, shelf: BackupShelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    for year in (2090, 2091, 2092, 2093):
        shelf.keep(path, ID, datetime(year, 1, 1, tzinfo=UTC))
    monkeypatch.setattr(backups, "MOST_BYTES", 1)
    kept = shelf.keep(path, ID, NOW)
    assert kept.path.exists() and kept in shelf.list(ID)


def test_what_else_lies_in_the_folder_is_left_alone(path: Path, shelf: BackupShelf) -> None:
    place = shelf.folder / ID
    place.mkdir(parents=True)
    (place / "holiday.review").write_bytes(b"not ours")
    (place / "20260101T000000Z.review").mkdir()
    (place / "99999999T999999Z.review").write_bytes(b"")
    if os.name == "posix":
        (place / "20260102T000000Z.review").symlink_to(path)
        os.mkfifo(place / "20260103T000000Z.review")
    kept = shelf.keep(path, ID, NOW)
    assert shelf.list(ID) == (kept,)
    assert (place / "holiday.review").exists() and path.exists()


@pytest.mark.parametrize(
    "review_id", ["", "..", "../" * 10 + "x", "a/b", "A" * 32, "0" * 31, "0" * 33, "0" * 31 + "\n"]
)
def test_an_identity_that_is_none_names_no_folder(
    path: Path, shelf: BackupShelf, review_id: str
) -> None:
    with pytest.raises(ReviewError, match="no identity"):
        shelf.keep(path, review_id)
    with pytest.raises(ReviewError, match="no identity"):
        shelf.list(review_id)
    assert not shelf.folder.exists()


def test_a_review_with_a_false_identity_is_saved_all_the_same(
    tmp_path: Path, shelf: BackupShelf
) -> None:
    path = tmp_path / "bad.review"
    Review.create(path, ReviewState(review_id="../../x")).close()
    review = Review.open(path)
    review.protect(shelf.folder.parent)
    review.do(AddNote(new_note(1.0, "kept")))
    assert [n.text for n in read_review(path).notes] == ["kept"]
    with pytest.raises(ReviewError, match=r"\.$"):
        review.sound("nowhere")


def test_a_shelf_that_cannot_be_written_costs_no_note(path: Path, tmp_path: Path) -> None:
    (tmp_path / "blocked").write_text("a file where the folder should be")
    review = Review.open(path)
    review.protect(tmp_path / "blocked")
    review.do(AddNote(new_note(1.0, "kept")))
    assert [n.text for n in read_review(path).notes] == ["kept"]


def test_forgetting_removes_those_of_one_review_only(path: Path, shelf: BackupShelf) -> None:
    shelf.keep(path, ID, NOW)
    other = shelf.keep(path, "f" * 32, NOW)
    shelf.forget(ID)
    assert shelf.list(ID) == () and shelf.list("f" * 32) == (other,)


def test_two_of_one_second_are_both_kept(path: Path, shelf: BackupShelf) -> None:
    shelf.keep(path, ID, NOW)
    Review.open(path).do(AddNote(new_note(1.0, "later")))
    shelf.keep(path, ID, NOW)
    notes = [len(read_review(backup.path).notes) for backup in shelf.list(ID)]
    assert notes == [len(read_review(path).notes), len(read_review(path).notes) - 1]


def test_what_is_no_identity_becomes_one_so_that_versions_are_kept(
    tmp_path: Path, shelf: BackupShelf
) -> None:
    path = tmp_path / "bad.review"
    Review.create(path, ReviewState(review_id="../../x")).close()
    review, other = Review.open(path), Review.open(path)
    review.protect(shelf.folder.parent)
    review.do(AddNote(new_note(1.0, "kept")))
    assert [backup.size > 0 for backup in shelf.list(review.state.review_id)] == [True]
    other.do(AddNote(new_note(2.0, "of the other window")))
    assert len(read_review(path).notes) == 2, "it is known to be the same review"
    assert {p.parent.name for p in tmp_path.rglob("*Z.review")} == {review.state.review_id}
