"""Two windows at one review, and files that are moved, removed or put back meanwhile."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.review import keeping
from app.review.file import store
from app.review.file.store import read_asset, read_file, read_review
from app.review.merging import Merged
from app.review.parts.about import SetAthlete
from app.review.parts.notes import AddNote, AddVoiceNote, DeleteNote, EditNote, Note, new_note
from app.review.parts.state import ReviewState
from app.review.review import Review
from app.review.saver import SaveStatus, Saving
from app.review.values.errors import ChangedElsewhere, ReviewError
from app.review.voice import to_wav, voice_of
from tests.helpers.patience import HANGS_S
from tests.helpers.reviews import save_as

ROOT = Path(__file__).parents[3]
LONG_S = HANGS_S
SECOND = b"\1\2" * 24_000


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "piece.review"
    Review.create(path, ReviewState(title="Piece", notes=(Note("first", 1.0, "First"),))).close()
    return path


class Background:
    """A review that saves in the background, its statuses settled when the test says so."""

    def __init__(self, path: Path) -> None:
        self.review = Review.open(path)
        self.heard: list[SaveStatus] = []
        self.told = threading.Semaphore(0)
        self.review.save_in_background(self._hear)

    def _hear(self, status: SaveStatus) -> None:
        self.heard.append(status)
        self.told.release()

    def await_told(self, times: int = 1) -> None:
        for _ in range(times):
            assert self.told.acquire(timeout=LONG_S)

    def settle(self) -> None:
        while self.heard:
            self.review.settle(self.heard.pop(0))


@pytest.fixture
def background(path: Path) -> Iterator[Background]:
    made = Background(path)
    yield made
    made.review.close()


def texts(state: ReviewState) -> list[str]:
    return sorted(note.text for note in state.notes)


def test_what_two_windows_wrote_is_in_both_and_each_takes_back_its_own(path: Path) -> None:
    one, other = Review.open(path), Review.open(path)
    one.do(AddNote(new_note(2.0, "mine")))
    said: list[Merged] = []
    other.on_merge = said.append
    other.do(AddNote(new_note(3.0, "theirs")))
    assert texts(other.state) == texts(read_review(path)) == ["First", "mine", "theirs"]
    assert len(said) == 1 and said[0].doubled == 0
    one.do(SetAthlete("Zoë", "Piece"))
    assert texts(one.state) == ["First", "mine", "theirs"]
    other.undo()
    assert texts(read_review(path)) == ["First", "mine"]
    assert read_review(path).athlete == "Zoë"
    one.undo()
    one.undo()
    assert texts(read_review(path)) == ["First"] and read_review(path).athlete == ""


def test_a_note_written_in_both_is_there_twice_and_undo_takes_back_ours_alone(path: Path) -> None:
    one, other = Review.open(path), Review.open(path)
    one.do(EditNote("first", text="theirs"))
    other.do(EditNote("first", text="ours"))
    assert texts(read_review(path)) == ["ours", "theirs"]
    other.undo()
    assert texts(other.state) == texts(read_review(path)) == ["First", "theirs"]


def test_a_title_both_set_keeps_a_copy_of_theirs_beside(path: Path) -> None:
    one, other = Review.open(path), Review.open(path)
    said: list[Merged] = []
    other.on_merge = said.append
    one.do(SetAthlete("", "theirs"))
    other.do(SetAthlete("", "ours"))
    assert read_review(path).title == "ours"
    assert said[0].overruled == ("title",) and said[0].copy is not None
    assert said[0].copy.parent == path.parent
    assert read_review(said[0].copy).title == "theirs"


def test_a_window_in_the_background_merges_as_well(path: Path, background: Background) -> None:
    other = Review.open(path)
    other.do(AddNote(new_note(2.0, "theirs")))
    background.review.do(AddNote(new_note(3.0, "mine")))
    background.await_told()
    assert background.heard[-1].saving is Saving.CHANGED
    background.settle()
    assert background.review.save()
    assert texts(read_review(path)) == ["First", "mine", "theirs"]
    background.review.undo()
    assert background.review.save()
    assert texts(read_review(path)) == ["First", "theirs"]


def test_old_news_of_a_change_elsewhere_takes_nothing_back(
    path: Path, background: Background
) -> None:
    """Two savings failed before the window heard of the first: it must not merge twice."""
    Review.open(path).do(AddNote(new_note(2.0, "theirs")))
    background.review.do(AddNote(new_note(3.0, "one")))
    background.await_told()
    background.review.do(AddNote(new_note(4.0, "two")))
    background.await_told()
    changed = list(background.heard)
    assert [s.saving for s in changed] == [Saving.CHANGED] * 2
    background.heard.clear()
    background.review.settle(changed[0])
    assert background.review.save()
    seen: list[ReviewState] = []
    background.review.subscribe(lambda state, _previous: seen.append(state))
    background.review.settle(changed[1])
    assert seen == []
    assert texts(background.review.state) == ["First", "one", "theirs", "two"]
    assert texts(read_review(path)) == ["First", "one", "theirs", "two"]


def test_closing_merges_without_anybody_to_settle(path: Path) -> None:
    mine = Background(path)
    Review.open(path).do(AddNote(new_note(2.0, "theirs")))
    mine.review.do(AddNote(new_note(3.0, "mine")))
    assert mine.review.close()
    assert texts(read_review(path)) == ["First", "mine", "theirs"]


WRITE_NOTES = """
import sys
from pathlib import Path
from app.review.file import guard
from app.review.parts.notes import AddNote, new_note
from app.review.review import Review
guard.BUSY_S = 120.0  # a busy machine may leave the other one standing while it holds the file
review = Review.open(Path(sys.argv[1]))
if sys.argv[3] == "background":
    review.save_in_background(lambda status: None)
for i in range(12):
    review.do(AddNote(new_note(float(i), f"{sys.argv[2]} {i}")))
sys.exit(0 if review.close() else 3)
"""


@pytest.mark.parametrize("how", ["at once", "background"])
def test_two_processes_lose_nothing(path: Path, how: str) -> None:
    children = [
        subprocess.Popen([sys.executable, "-c", WRITE_NOTES, str(path), who, how], cwd=ROOT)
        for who in ("one", "other")
    ]
    assert [child.wait() for child in children] == [0, 0]
    wanted = {"First", *(f"{who} {i}" for who in ("one", "other") for i in range(12))}
    assert set(texts(read_review(path))) == wanted
    assert len(read_review(path).notes) == 25


def test_a_file_renamed_while_it_is_open_is_followed(path: Path, tmp_path: Path) -> None:
    review = Review.open(path)
    review.protect(tmp_path / "data")
    renamed = path.with_name("renamed.review")
    path.rename(renamed)
    review.do(AddNote(new_note(2.0, "more")))
    assert review.path == renamed and texts(read_review(renamed)) == ["First", "more"]
    assert not path.exists()
    assert list((tmp_path / "data" / "backups").rglob("*.review")), "its earlier version is kept"


def test_a_voice_is_heard_from_a_renamed_file(path: Path) -> None:
    review = Review.open(path)
    review.keep_sound("v", to_wav(SECOND))
    review.do(AddVoiceNote(new_note(1.0, voice=voice_of("v", SECOND))))
    again = Review.open(path)
    path.rename(path.with_name("renamed.review"))
    assert again.sound("v") == to_wav(SECOND)


def test_a_file_removed_or_replaced_by_another_review_is_not_written_over(
    path: Path, tmp_path: Path
) -> None:
    review = Review.open(path)
    said: list[str] = []
    review.on_save_error = said.append
    path.unlink()
    review.do(AddNote(new_note(2.0, "one")))
    assert "is no longer in" in said[-1] and review.rescue_path is not None
    assert texts(read_review(review.rescue_path)) == ["First", "one"]
    Review.create(path, ReviewState(title="another"))
    before = path.read_bytes()
    review.do(AddNote(new_note(3.0, "two")))
    assert "Another review lies under the name" in said[-1] and path.read_bytes() == before
    assert texts(read_review(review.rescue_path)) == ["First", "one", "two"]
    assert not review.close(), "somebody must be asked first"
    save_as(review, tmp_path / "elsewhere.review")
    assert review.close() and review.rescue_path is None
    assert texts(read_review(tmp_path / "elsewhere.review")) == ["First", "one", "two"]


def test_a_synchronised_copy_of_the_same_saving_is_the_same_file(path: Path) -> None:
    review = Review.open(path)
    shutil.copyfile(path, path.with_name("copy"))
    path.unlink()
    path.with_name("copy").rename(path)
    review.do(AddNote(new_note(2.0, "more")))
    review.do(AddNote(new_note(3.0, "and more")))
    assert texts(read_review(path)) == ["First", "and more", "more"]


def test_an_earlier_copy_put_back_takes_no_note_away(path: Path) -> None:
    """A folder kept the same on two machines may put an older saving in a newer one's place."""
    earlier = path.read_bytes()
    review = Review.open(path)
    review.do(AddNote(new_note(2.0, "second")))
    path.with_name("earlier").write_bytes(earlier)
    path.unlink()
    path.with_name("earlier").rename(path)
    review.do(AddNote(new_note(3.0, "third")))
    assert texts(review.state) == texts(read_review(path)) == ["First", "second", "third"]


def test_a_saving_said_to_have_failed_that_had_not_doubles_nothing(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real: Callable[..., object] = store.save

    def late(*args: object) -> object:
        real(*args)
        raise ReviewError("Its disk did not answer.")

    review = Review.open(path)
    review.on_save_error = lambda _sentence: None
    monkeypatch.setattr(keeping, "save", late)
    review.do(EditNote("first", text="One"))
    monkeypatch.setattr(keeping, "save", real)
    merges: list[Merged] = []
    review.on_merge = merges.append
    review.do(EditNote("first", text="Once"))
    assert texts(read_review(path)) == ["Once"] and merges == []


def test_undo_after_another_window_closed_finds_the_voice(path: Path) -> None:
    one = Review.open(path)
    one.keep_sound("v", to_wav(SECOND))
    note = new_note(2.0, voice=voice_of("v", SECOND))
    one.do(AddVoiceNote(note))
    one.do(DeleteNote(note.id))
    other = Review.open(path)
    other.do(AddNote(new_note(3.0, "theirs")))
    assert other.close()  # it knows nothing of that voice, and tidies it away
    with pytest.raises(ReviewError):
        read_asset(path, "v")
    one.undo()
    assert read_asset(path, "v") == to_wav(SECOND)
    assert Review.open(path).sound("v") == to_wav(SECOND)


def test_saving_elsewhere_while_the_background_fails_keeps_the_new_files_own_words(
    path: Path, tmp_path: Path
) -> None:
    mine = Background(path)
    path.unlink()
    mine.review.do(AddNote(new_note(2.0, "more")))
    mine.await_told()
    (tmp_path / "deep").mkdir()
    save_as(mine.review, tmp_path / "deep" / "b.review")
    assert mine.review.close()
    assert read_review(tmp_path / "deep" / "b.review") == mine.review.state


def test_a_copy_under_another_name_has_an_identity_of_its_own(path: Path, tmp_path: Path) -> None:
    review = Review.open(path)
    review.do(AddNote(new_note(2.0, "more")))
    before = review.state.review_id
    save_as(review, tmp_path / "copy.review")
    assert review.state.review_id not in ("", before)
    review.undo()
    assert read_review(tmp_path / "copy.review").review_id == review.state.review_id != before
    assert read_review(path).review_id == before


def test_what_waits_for_a_saving_is_saved_once_the_background_begins(path: Path) -> None:
    review = Review.open(path)
    review.do(AddNote(new_note(2.0, "waiting")), save=False)
    review.save_in_background(lambda _status: None)
    assert review.unsaved and review.close()
    assert texts(read_review(path)) == ["First", "waiting"]


def test_a_review_that_is_given_a_path_makes_its_file_and_takes_nobodys(tmp_path: Path) -> None:
    path = tmp_path / "new.review"
    review = Review(ReviewState(title="New"), path)
    review.do(AddNote(new_note(1.0, "kept")))
    assert texts(read_review(path)) == ["kept"]
    other = Review(ReviewState(), path)
    with pytest.raises(ReviewError, match="exists already"):
        other.do(AddNote(new_note(1.0, "not here")))
    assert texts(read_review(path)) == ["kept"]


def test_what_somebody_else_saved_is_checked_like_any_file(path: Path) -> None:
    import sqlite3

    opened = read_file(path)
    with sqlite3.connect(path) as db:
        db.execute("UPDATE note SET end_s = -5.0")
        db.execute("UPDATE meta SET value = 'x' WHERE key = 'revision'")
    db.close()
    with pytest.raises(ReviewError, match="cannot end before it starts") as caught:
        store.save(path, opened.stamp, opened.state, replace(opened.state, title="x"), {})
    assert not isinstance(caught.value, ChangedElsewhere)


@pytest.mark.skipif(os.name != "posix", reason="needs links")
def test_a_link_to_a_review_is_saved_through(path: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.review"
    link.symlink_to(path)
    review = Review.open(link)
    review.do(AddNote(new_note(2.0, "more")))
    assert link.is_symlink() and texts(read_review(path)) == ["First", "more"]


def test_news_do_not_wait_behind_a_saving_that_waits(
    path: Path, background: Background, monkeypatch: pytest.MonkeyPatch
) -> None:
    Review.open(path).do(AddNote(new_note(2.0, "theirs")))
    background.review.do(AddNote(new_note(3.0, "mine")))
    background.await_told()
    writing, may_go = threading.Event(), threading.Event()
    save = keeping.save

    def held(*args: Any) -> Any:
        writing.set()
        assert may_go.wait(LONG_S)
        return save(*args)

    monkeypatch.setattr(keeping, "save", held)
    background.review.do(AddNote(new_note(4.0, "meanwhile")))
    assert writing.wait(LONG_S)
    settling = threading.Thread(target=background.settle)
    settling.start()
    settling.join(LONG_S / 4)
    is_free = not settling.is_alive()
    may_go.set()
    settling.join()
    assert is_free, "the window's thread waited for the file"
    assert background.review.save()
    assert texts(read_review(path)) == ["First", "meanwhile", "mine", "theirs"]


def test_saving_under_the_own_name_writes_over_nothing_of_the_other_window(path: Path) -> None:
    here, there = Review.open(path), Review.open(path)
    there.do(AddNote(new_note(2.0, "of the other window")))
    here.do(EditNote("first", text="mine"), save=False)
    assert save_as(here, path) == ()
    texts = [note.text for note in read_review(path).notes]
    assert texts == ["mine", "of the other window"] and not here.unsaved
    assert save_as(here, path) == () and [n.text for n in read_review(path).notes] == texts


def test_saving_under_the_own_name_puts_a_damaged_file_right(path: Path) -> None:
    review = Review.open(path)
    path.write_bytes(b"SQLite format 3\0" + bytes(5000))
    assert save_as(review, path) == ()
    assert read_review(path) == review.state


def test_a_name_that_leaves_no_room_for_a_journal_is_refused(path: Path) -> None:
    review = Review.open(path)
    with pytest.raises(ReviewError, match="too long"):
        save_as(review, path.with_name("x" * 241 + ".review"))
    longest = path.with_name("x" * 240 + ".review")
    save_as(review, longest)
    review.do(EditNote("first", text="kept"))
    assert read_review(longest).notes[0].text == "kept"


def test_what_fails_after_a_saving_keeps_nobody_from_hearing_of_the_change(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    failed: list[object] = []
    monkeypatch.setattr(sys, "excepthook", lambda kind, error, where: failed.append(kind))
    review = Review.open(path)
    heard: list[str] = []
    review.subscribe(lambda state, before: heard.append(state.notes[0].text))
    review.do(EditNote("first", text="new"), save=False)

    def fail() -> None:
        raise OSError("gone")

    review.when_saved(fail)
    review.when_saved(lambda: heard.append("tidied"))
    review.do(AddNote(new_note(3.0, "one more")))
    assert failed == [OSError] and heard == ["new", "tidied", "new"]
