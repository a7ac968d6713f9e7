"""What cannot be saved in its place: a copy beside it or in the user's folder, and its list."""

from __future__ import annotations

import contextlib
import json
import os
import threading
from pathlib import Path

import pytest

from app.review import free_name, rescue
from app.review.file import guard
from app.review.file.store import read_asset, read_review
from app.review.parts.notes import AddNote, AddVoiceNote, Note, new_note
from app.review.parts.state import ReviewState
from app.review.rescue import Rescue, put_away, rescued
from app.review.review import Review
from app.review.voice import to_wav, voice_of
from tests.helpers.patience import HANGS_S

SECOND = b"\1\2" * 24_000


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def opened(stick: Path, data: Path, name: str = "a.review") -> tuple[Review, list[str]]:
    review = Review.create(stick / name, ReviewState(notes=(Note("first", 1.0, "First"),)))
    review.protect(data)
    said: list[str] = []
    review.on_save_error = said.append
    return review, said


def test_a_pulled_stick_leaves_the_work_with_its_voice_in_the_users_folder(
    stick: Path, data: Path, tmp_path: Path
) -> None:
    review, said = opened(stick, data)
    stick.rename(tmp_path / "pulled")
    review.keep_sound("v", to_wav(SECOND))
    review.do(AddVoiceNote(new_note(2.0, "spoken", voice=voice_of("v", SECOND))))
    review.do(AddNote(new_note(3.0, "typed")))
    copy = review.rescue_path
    assert copy is not None and copy.parent == data / "rescued" and not stick.exists()
    assert str(copy) in said[-1]
    assert [n.text for n in read_review(copy).notes] == ["First", "spoken", "typed"]
    assert read_asset(copy, "v") == to_wav(SECOND)
    assert rescued(data) == (copy,)
    (tmp_path / "pulled").rename(stick)
    review.do(AddNote(new_note(4.0, "back")))
    assert len(read_review(stick / "a.review").notes) == 4
    assert read_asset(stick / "a.review", "v") == to_wav(SECOND)
    assert rescued(data) == () and not copy.exists() and review.rescue_path is None


def test_a_removed_file_leaves_a_copy_beside_that_is_not_mistaken_for_it(
    stick: Path, data: Path
) -> None:
    """The system gives the copy the inode of the file that was removed."""
    review, _said = opened(stick, data)
    assert review.path is not None
    for i in range(4):
        review.path.unlink(missing_ok=True)
        review.do(AddNote(new_note(2.0 + i, f"more {i}")))
        copy = review.rescue_path
        assert copy is not None and copy.is_file() and copy.parent == stick
        assert len(read_review(copy).notes) == 2 + i
    assert review.path == stick / "a.review" and not review.close()
    assert rescued(data) == (copy,)


def test_two_reviews_that_fail_in_one_second_have_two_copies(tmp_path: Path, data: Path) -> None:
    copies = set()
    for name in ("one", "two"):
        folder = tmp_path / name
        folder.mkdir()
        review, _said = opened(folder, data)
        folder.rename(tmp_path / f"{name} pulled")
        review.do(AddNote(new_note(2.0, name)))
        assert review.rescue_path is not None
        copies.add(review.rescue_path)
    assert len(copies) == 2 and set(rescued(data)) == copies


def test_a_file_that_is_held_for_a_moment_needs_no_copy(
    stick: Path, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sqlite3

    monkeypatch.setattr(guard, "BUSY_S", 0.01)
    review, said = opened(stick, data)
    with sqlite3.connect(stick / "a.review", isolation_level=None) as other:
        other.execute("BEGIN EXCLUSIVE")
        review.do(AddNote(new_note(2.0, "one")))
        review.do(AddNote(new_note(3.0, "two")))
        assert review.rescue_path is None and len(said) == 2
        review.do(AddNote(new_note(4.0, "three")))
        copy = review.rescue_path
        assert copy is not None and len(read_review(copy).notes) == 4
        other.execute("ROLLBACK")
    other.close()
    assert review.save() and review.rescue_path is None and not copy.exists()


def test_without_any_place_nothing_is_raised_but_the_failure_itself(
    stick: Path, tmp_path: Path
) -> None:
    (tmp_path / "data").write_text("a file where the folder should be")
    review, said = opened(stick, tmp_path / "data")
    stick.rename(tmp_path / "pulled")
    review.do(AddNote(new_note(2.0)))
    assert review.rescue_path is None and "kept here" in said[-1]


def test_a_copy_on_a_disk_that_is_away_is_not_forgotten(stick: Path, data: Path) -> None:
    away = stick / "away" / "a (rescued).review"
    data.mkdir()
    (data / "rescued.json").write_text(json.dumps([str(away)]))
    assert rescued(data) == ()
    review, _said = opened(stick, data)
    assert review.path is not None
    review.path.unlink()
    review.do(AddNote(new_note(2.0)))
    away.parent.mkdir()
    away.write_bytes(b"")
    assert rescued(data) == (away, review.rescue_path)
    put_away(data, away)
    assert rescued(data) == (review.rescue_path,) and away.exists()


@pytest.mark.parametrize(
    "told",
    [
        b"",
        b"{}",
        b"null",
        b"\xff\xfe\x00",
        b"[" * 1_000_000,
        b"[1, null, {}, [], true]",
        json.dumps(["x" * 100_000, "nul\0", "", ".", "relative.review", "/"]).encode(),
        b'["/gone.review"' + b', "/gone.review"' * 200_000 + b"]",
    ],
    ids=["empty", "object", "null", "bytes", "deep", "others", "names", "huge"],
)
def test_a_list_of_nonsense_lists_nothing_and_is_written_anew(
    data: Path, stick: Path, told: bytes
) -> None:
    data.mkdir()
    (data / "rescued.json").write_bytes(told)
    assert rescued(data) == ()
    copy = stick / "copy.review"
    copy.write_bytes(b"x")
    put_away(data, copy)
    review, _said = opened(stick, data)
    assert review.path is not None
    review.path.unlink()
    review.do(AddNote(new_note(2.0)))
    assert rescued(data) == (review.rescue_path,)


@pytest.mark.skipif(os.name != "posix", reason="needs links")
def test_a_list_that_is_a_link_is_replaced_not_followed(data: Path, stick: Path) -> None:
    data.mkdir()
    precious = stick / "precious.json"
    precious.write_text("[]")
    (data / "rescued.json").symlink_to(precious)
    Rescue(data).keep(stick / "a.review", ReviewState(title="kept"), {})
    assert precious.read_text() == "[]" and len(rescued(data)) == 1


@pytest.mark.parametrize("letter", ["漕", "🚣"])
def test_a_name_of_long_letters_is_rescued_too(stick: Path, data: Path, letter: str) -> None:
    review, said = opened(stick, data, letter * (240 // len(letter.encode())) + ".review")
    path = review.path
    assert path is not None
    path.unlink()
    path.mkdir()
    review.do(AddNote(new_note(1.0, "typed")))
    copy = review.rescue_path
    assert said and copy is not None and rescued(data) == (copy,)
    assert read_review(copy).notes == review.state.notes


def test_two_windows_that_fail_at_one_moment_have_a_copy_each(
    stick: Path, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    review, _ = opened(stick, data)
    path = review.path
    assert path is not None
    other = Review.open(path)
    other.protect(data)
    other.on_save_error = lambda _said: None
    path.unlink()
    path.mkdir()
    find, waiting = free_name.free_name, [other]

    def and_then_the_other_one_finds_it(beside: Path, words: str) -> Path:
        free = find(beside, words)
        if waiting:
            waiting.pop().do(AddNote(new_note(2.0, "of the other")))
        return free

    monkeypatch.setattr(free_name, "free_name", and_then_the_other_one_finds_it)
    review.do(AddNote(new_note(1.0, "of the one")))
    copies = (review.rescue_path, other.rescue_path)
    assert None not in copies and set(rescued(data)) == set(copies)
    for window, copy in zip((review, other), copies, strict=True):
        assert copy is not None and read_review(copy).notes == window.state.notes


def test_a_copy_that_is_noted_while_another_window_notes_one_is_not_forgotten(
    stick: Path, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reviews = [opened(stick, data, name)[0] for name in ("a.review", "b.review")]
    both = threading.Barrier(2)
    listed = rescue._listed

    def at_one_moment(folder: Path) -> list[Path]:
        found = listed(folder)
        with contextlib.suppress(threading.BrokenBarrierError):
            both.wait(0.2)  # where the other one comes in meanwhile, as it must not
        return found

    monkeypatch.setattr(rescue, "_listed", at_one_moment)
    for review in reviews:
        assert review.path is not None
        review.path.unlink()
        review.path.mkdir()
    threads = [
        threading.Thread(target=review.do, args=(AddNote(new_note(1.0, "typed")),))
        for review in reviews
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(rescued(data)) == {review.rescue_path for review in reviews}


def test_nothing_is_left_where_a_copy_fails(stick: Path) -> None:
    with pytest.raises(OSError), free_name.held_name(stick / "a.review", "rescued"):
        raise OSError("the disk is full")
    assert list(stick.iterdir()) == []


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_place_of_the_list_is_not_waited_for(stick: Path, data: Path) -> None:
    review, said = opened(stick, data)
    data.mkdir(exist_ok=True)
    os.mkfifo(data / "rescued.json")
    found: list[tuple[Path, ...]] = []
    looking = threading.Thread(target=lambda: found.append(rescued(data)), daemon=True)
    looking.start()
    looking.join(HANGS_S)
    assert found == [()]
    assert review.path is not None
    review.path.unlink()
    review.path.mkdir()
    review.do(AddNote(new_note(1.0, "typed")))
    assert said and rescued(data) == (review.rescue_path,), "the list is made anew"
