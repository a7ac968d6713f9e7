"""Whatever happens to the file, ten changes of ten are in it, in its merged form, or in a copy."""

from __future__ import annotations

import contextlib
import json
import shutil
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QToolButton
from pytestqt.qtbot import QtBot

from app.commands.program import main
from app.review import keeping
from app.review.file.store import read_review
from app.review.parts.about import SetAthlete
from app.review.parts.notes import AddNote, EditNote, new_note
from app.review.parts.state import ReviewState
from app.review.rescue import rescued
from app.review.review import Review
from app.window.actions.feature import Feature
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.main_window import MainWindow
from app.window.session import leaving
from app.window.session.leaving import AGAIN, KEEP_COPY, SAVE_AS, STAY
from app.window.session.safekeeping import after_name
from app.window.session.settings import data_folder
from tests.app.window.conftest import open_and_wait
from tests.app.window.unsaved import (
    TEN,
    answer,
    asked,
    change,
    copy_holds,
    path_of,
    refused,
    saved,
    words_in,
)
from tests.helpers.patience import HANGS_S
from tests.helpers.refusing_disks import held, protected, small_disk
from tests.helpers.reviews import write_review

FIVE = {f"change {i}" for i in range(5)}
MakeBench = Callable[..., MainWindow]


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """Those that write notes, and that name and keep the file."""
    return (NotesFeature, ReviewFileFeature)


@pytest.fixture
def force_only(bench: MainWindow, submission: Path, qtbot: QtBot) -> MainWindow:
    """A bench with a review, quickly opened."""
    open_and_wait(bench, qtbot, submission / "piece.csv")
    return bench


def test_changes_are_saved_and_the_sign_says_so(force_only: MainWindow, qtbot: QtBot) -> None:
    change(force_only)
    assert words_in(saved(force_only, qtbot)) == TEN
    assert force_only.close()


def test_answers_taken_in_by_a_command_stand_beside_the_changes(
    force_only: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    change(force_only, FIVE)
    path = saved(force_only, qtbot)
    note = read_review(path).notes[0].id
    said = {"strokeside_answers": 1, "ticks": [{"note": note, "done": True}], "comment": "ok"}
    (tmp_path / "answers.json").write_text(json.dumps(said), "utf-8")
    assert main(["answers", str(path), str(tmp_path / "answers.json")]) == 0
    change(force_only, TEN - FIVE)
    qtbot.waitUntil(lambda: "Answers came in" in force_only.message_line.text, timeout=15000)
    assert words_in(saved(force_only, qtbot)) == TEN
    assert read_review(path).answers[0].comment == "ok"
    assert force_only.session.state.answers[0].comment == "ok"


@pytest.mark.parametrize(
    "reason, left",
    [
        ("a.review could not be saved because the disk is full.", "the disk is full."),
        ("a.review could not be opened because another is using it.", "another is using it."),
        ("a.review is no longer in /there.", "it is no longer in /there."),
        ("Another review lies there.", "Another review lies there."),
    ],
)
def test_a_reason_behind_the_name_does_not_say_the_name_again(reason: str, left: str) -> None:
    assert after_name(reason, "a.review") == left


def test_two_windows_on_one_file_lose_nothing(
    make_bench: MakeBench, submission: Path, qtbot: QtBot
) -> None:
    first, second = make_bench(), make_bench()
    open_and_wait(first, qtbot, submission / "piece.csv")
    path = saved(first, qtbot)
    open_and_wait(second, qtbot, path)
    change(first, FIVE)
    saved(first, qtbot)
    change(second, TEN - FIVE)
    qtbot.waitUntil(lambda: "Another program changed" in second.message_line.text, timeout=15000)
    assert words_in(saved(second, qtbot)) == TEN
    first.session.do(SetAthlete("Zoë", "Steady"))
    assert words_in(saved(first, qtbot)) == TEN
    assert first.close() and second.close()
    assert words_in(path) == TEN


def test_what_both_windows_changed_is_there_twice_and_told(
    make_bench: MakeBench, submission: Path, qtbot: QtBot
) -> None:
    first, second = make_bench(), make_bench()
    open_and_wait(first, qtbot, submission / "piece.csv")
    change(first, {"as it was"})
    path = saved(first, qtbot)
    open_and_wait(second, qtbot, path)
    note = first.session.state.notes[0].id
    first.session.do(EditNote(note, "mine"))
    first.session.do(SetAthlete("Ann", ""))
    saved(first, qtbot)
    second.session.do(EditNote(note, "yours"))
    second.session.do(SetAthlete("Bea", ""))
    qtbot.waitUntil(lambda: "is there twice" in second.message_line.text, timeout=15000)
    assert words_in(saved(second, qtbot)) == {"mine", "yours"}
    (copy,) = path.parent.glob("*changed elsewhere*.review")
    assert copy.name in second.message_line.text
    assert read_review(copy).athlete == "Ann"
    assert read_review(path).athlete == "Bea"


def test_a_folder_that_is_removed_leaves_a_copy_that_is_offered(
    make_bench: MakeBench, recorded: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    folder = tmp_path / "gone"
    folder.mkdir()
    shutil.copyfile(recorded / "piece.csv", folder / "piece.csv")
    bench = make_bench()
    open_and_wait(bench, qtbot, folder / "piece.csv")
    saved(bench, qtbot)
    shutil.rmtree(folder)
    change(bench)
    assert "no longer" in refused(bench, qtbot)
    assert bench.message_line.text.count("kept here") == 1
    assert not bench.close()
    assert set(asked(bench, qtbot)) == {SAVE_AS, AGAIN, KEEP_COPY, STAY}
    answer(bench, KEEP_COPY)
    qtbot.waitUntil(lambda: not bench.isVisible(), timeout=10000)
    (copy,) = rescued(data_folder())
    assert words_in(copy) == TEN
    again = make_bench()
    again[ReviewFileFeature].invitation.show()
    buttons = {b.text(): b for b in again[ReviewFileFeature].invitation.findChildren(QToolButton)}
    buttons["Open"].click()
    qtbot.waitUntil(lambda: again.session.review is not None, timeout=10000)
    assert {note.text for note in again.session.state.notes} == TEN


def test_another_review_under_the_name_is_not_written_over(
    force_only: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    path = saved(force_only, qtbot)
    other = tmp_path / "other.review"
    write_review(other, ReviewState(title="Somebody else's", review_id="b" * 32))
    other.replace(path)
    change(force_only)
    refused(force_only, qtbot)
    assert copy_holds(lambda: rescued(data_folder()), TEN, qtbot).parent == path.parent
    force_only.session.saving_as.save(tmp_path / "mine.review")
    assert words_in_when_saved(force_only, qtbot, tmp_path / "mine.review") == TEN
    assert read_review(path).title == "Somebody else's"
    assert rescued(data_folder()) == ()


def test_saving_as_the_own_name_keeps_what_another_program_wrote(
    force_only: MainWindow, qtbot: QtBot
) -> None:
    path = saved(force_only, qtbot)
    Review.open(path).do(AddNote(new_note(1.0, "of another program")))
    done: list[bool] = []
    force_only.session.saving_as.save(path, done.append)
    qtbot.waitUntil(lambda: bool(done), timeout=10000)
    assert done == [True]
    assert "of another program" in words_in(saved(force_only, qtbot))
    assert "of another program" in {note.text for note in force_only.session.state.notes}


def words_in_when_saved(bench: MainWindow, qtbot: QtBot, path: Path) -> set[str]:
    qtbot.waitUntil(lambda: not bench.jobs.running and path_of(bench) == path, timeout=10000)
    return words_in(saved(bench, qtbot))


def test_a_renamed_file_is_followed_by_title_and_recent_list(
    force_only: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    path = saved(force_only, qtbot)
    renamed = path.rename(tmp_path / "another name.review")
    change(force_only)
    qtbot.waitUntil(lambda: "another name" in force_only.windowTitle(), timeout=10000)
    assert words_in(saved(force_only, qtbot)) == TEN
    assert path_of(force_only) == renamed
    assert not path.exists()
    assert force_only.session._settings.recent_reviews()[0] == renamed


def test_a_full_disk_is_told_and_the_copy_lies_elsewhere(
    bench: MainWindow, recorded: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    with small_disk(tmp_path / "disk", "3m") as disk:
        shutil.copyfile(recorded / "piece.csv", disk / "piece.csv")
        open_and_wait(bench, qtbot, disk / "piece.csv")
        path = saved(bench, qtbot)
        filling = disk / "filling"
        with contextlib.suppress(OSError):
            filling.write_bytes(bytes(3_000_000))
        long = {f"{text} {'x' * 20_000}" for text in TEN}
        change(bench, long)
        assert "full" in refused(bench, qtbot)
        copy_holds(lambda: rescued(data_folder()), long, qtbot)
        filling.unlink()
        assert words_in(saved(bench, qtbot)) == long
        assert path_of(bench) == path
        assert rescued(data_folder()) == ()
        bench.close()


def test_a_held_file_does_not_hold_the_window(
    force_only: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(force_only, qtbot)
    threads: set[threading.Thread] = set()
    real = keeping.save

    def watched(*args: object) -> object:
        threads.add(threading.current_thread())
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(keeping, "save", watched)
    with held(path):
        for i in range(10):
            qtbot.keyClick(force_only, Qt.Key.Key_N)
            words = force_only[NotesFeature].panel._words
            qtbot.waitUntil(words.hasFocus)
            qtbot.keyClicks(words, f"change {i}")
            assert f"change {i}" in {note.text for note in force_only.session.state.notes}
            qtbot.keyClick(words, Qt.Key.Key_Escape)
        assert force_only.session.safe.unsaved
        assert "another program is using it" in refused(force_only, qtbot)
        assert force_only.session.safe.words.startswith("Not saved: ")
    assert words_in(saved(force_only, qtbot)) == TEN
    assert "saved in piece.review again" in force_only.message_line.text
    assert threads and threading.main_thread() not in threads


def test_a_protected_file_asks_on_closing_and_save_as_ends_it(
    force_only: MainWindow, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(force_only, qtbot)
    target = tmp_path / "elsewhere.review"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    with protected(path):
        change(force_only)
        refused(force_only, qtbot)
        assert not force_only.close()
        asked(force_only, qtbot)
        answer(force_only, STAY)
        assert force_only.isVisible()
        assert not force_only.close()
        asked(force_only, qtbot)
        answer(force_only, SAVE_AS)
        qtbot.waitUntil(lambda: not force_only.isVisible(), timeout=20000)
    assert words_in(target) == TEN
    assert words_in(path) == set()
    assert rescued(data_folder()) == ()


def test_trying_again_closes_once_the_file_can_be_written(
    force_only: MainWindow, qtbot: QtBot
) -> None:
    path = saved(force_only, qtbot)
    with protected(path):
        change(force_only)
        assert not force_only.close()
        asked(force_only, qtbot)
    answer_or_saved(force_only)
    qtbot.waitUntil(lambda: not force_only.isVisible(), timeout=20000)
    assert words_in(path) == TEN


def answer_or_saved(bench: MainWindow) -> None:
    """Try again, unless it was saved by itself meanwhile."""
    if bench.session.leaving.question is not None:
        answer(bench, AGAIN)


def test_where_no_copy_can_be_made_losing_is_called_losing(
    force_only: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(force_only, qtbot)
    review = force_only.session.review
    assert review is not None
    monkeypatch.setattr(type(review._keeping._rescue), "keep", lambda *_args: False)
    with protected(path):
        change(force_only)
        assert not force_only.close()
        texts = asked(force_only, qtbot)
        since = force_only.session.safe.unsaved_since
        assert since is not None
        lose = f"Close and lose the changes since {since:%H:%M}"
        assert lose in texts and KEEP_COPY not in texts
        answer(force_only, lose)
        qtbot.waitUntil(lambda: not force_only.isVisible(), timeout=10000)


def test_a_copy_that_comes_late_is_told_while_it_is_asked(
    force_only: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, review, go_on = path_of(force_only), force_only.session.review, threading.Event()
    assert review is not None
    lay_aside = review.lay_aside
    monkeypatch.setattr(leaving, "PATIENCE_MS", 100)
    monkeypatch.setattr(review, "lay_aside", lambda: go_on.wait(HANGS_S) and lay_aside())
    with protected(path):
        change(force_only)
        refused(force_only, qtbot)
        force_only.close()
        assert KEEP_COPY not in asked(force_only, qtbot)
        question = force_only.session.leaving.question
        assert question is not None and question.informativeText() == leaving.NO_COPY
        go_on.set()
        qtbot.waitUntil(lambda: KEEP_COPY in asked(force_only, qtbot), timeout=10000)
        assert "(rescued" in question.informativeText()
        answer(force_only, STAY)


def closing() -> bool:
    return any(thread.name == "closing a review" for thread in threading.enumerate())


def test_another_review_waits_until_the_open_one_is_kept(
    force_only: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    path = saved(force_only, qtbot)
    other = tmp_path / "other.review"
    write_review(other, ReviewState(title="The other one"))
    with protected(path):
        change(force_only)
        refused(force_only, qtbot)
        force_only.session.open_paths([other])
        asked(force_only, qtbot)
        assert path_of(force_only) == path
        answer(force_only, STAY)
        assert not force_only.jobs.running
        assert path_of(force_only) == path
        force_only.session.open_paths([other])
        asked(force_only, qtbot)
        answer(force_only, KEEP_COPY)
        qtbot.waitUntil(lambda: path_of(force_only) == other, timeout=10000)
        # A closing that finds the place writable again saves there and needs no copy.
        qtbot.waitUntil(lambda: not closing(), timeout=10000)
    (copy,) = rescued(data_folder())
    assert words_in(copy) == TEN
    qtbot.waitUntil(lambda: not force_only.jobs.running, timeout=10000)
    open_and_wait(force_only, qtbot, path)
    assert copy.name in force_only.message_line.text
