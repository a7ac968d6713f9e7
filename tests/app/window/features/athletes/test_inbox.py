"""A watched folder: what comes is proposed, and nothing is paired or opened in silence."""

from __future__ import annotations

import json
import os
import shutil
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.drafts.batch import RECORD
from app.drafts.job import DraftJob
from app.drafts.prepare import prepare
from app.review.parts.notes import AddNote, new_note
from app.review.recordings.fingerprint import fingerprint
from app.window.features.athletes.first_screen import FirstScreen
from app.window.features.athletes.inbox import Inbox
from app.window.features.athletes.inbox_look import InboxItem, look
from app.window.features.athletes.inbox_strip import InboxStrip, words_of
from app.window.main_window import MainWindow


def seen(folder: Path, known: frozenset[tuple[int, str]] = frozenset()) -> tuple[InboxItem, ...]:
    return look(folder, known, lambda _share, _text: None).items


@pytest.fixture
def inbox(tmp_path: Path, recorded: Path) -> Path:
    """Ada's film and force in a folder of hers, settled."""
    folder = tmp_path / "inbox"
    (folder / "Ada").mkdir(parents=True)
    for name in ("piece.mp4", "piece.csv"):
        shutil.copyfile(recorded / name, folder / "Ada" / name)
        settle(folder / "Ada" / name)
    return folder


def settle(path: Path) -> None:
    os.utime(path, (time.time() - 60.0, time.time() - 60.0))


def record(folder: Path, **row: Any) -> None:
    told = {"films": [], "force": None, "status": "ready", "review": None, **row}
    (folder / RECORD).write_text(json.dumps({"rows": {"k": told}}), "utf-8")


def test_what_came_is_proposed_as_one_submission(inbox: Path) -> None:
    (item,) = seen(inbox)
    assert (item.athlete, item.why, item.review) == ("Ada", "folder", None)
    assert item.films == (inbox / "Ada" / "piece.mp4",)
    assert item.force == inbox / "Ada" / "piece.csv"
    assert words_of(item) == "New  ·  Ada  ·  piece.mp4 + piece.csv"


def test_what_is_being_written_is_waited_for(inbox: Path) -> None:
    (inbox / "Ada" / "piece.csv").touch()
    looked = look(inbox, frozenset(), lambda _share, _text: None)
    assert looked.items == () and looked.unsettled


def test_what_has_a_review_is_not_proposed_again(inbox: Path) -> None:
    force = inbox / "Ada" / "piece.csv"
    whole = fingerprint(force)
    assert seen(inbox, frozenset({(whole.size, "0" * 64)})) != ()  # as long, and another
    assert seen(inbox, frozenset({(whole.size, whole.sha256)})) == ()
    force.with_suffix(".review").touch()
    assert seen(inbox) == ()


def test_a_damaged_record_costs_nothing(inbox: Path) -> None:
    for text in ("", "[]", "{", '{"rows": {"k": {"status": "ready", "review": 3, "films": 1}}}'):
        (inbox / RECORD).write_text(text, "utf-8")
        assert len(seen(inbox)) == 1
    record(inbox, review="/etc/../../passwd")  # only what lies beside the record is looked at
    assert len(seen(inbox)) == 1


def test_a_draft_that_is_ready_stands_for_its_files(
    bench: MainWindow, qtbot: QtBot, inbox: Path
) -> None:
    drafts, files = inbox / "drafts", [str(inbox / "Ada" / n) for n in ("piece.mp4", "piece.csv")]
    drafts.mkdir()
    draft = drafts / "Ada piece.review"
    assert prepare(DraftJob((), files[1], str(draft), "Ada")).row.status == "ready"
    record(drafts, review=str(draft), films=files[:1], force=files[1])
    (item,) = seen(inbox)
    assert words_of(item) == "Draft ready  ·  Ada  ·  Ada piece"
    bench[Inbox].open(item)
    qtbot.waitUntil(lambda: bench.session.review is not None, timeout=60000)
    assert bench.session.state.draft
    bench.session.do(AddNote(new_note(0.0, "Well begun.")))
    qtbot.waitUntil(lambda: not bench.session.safe.unsaved, timeout=20000)
    assert seen(inbox) == ()  # a coach has been at it: it waits no more, nor do its files
    record(drafts, review="nothing.review", films=files[:1], force=files[1])
    assert [item.athlete for item in seen(inbox)] == ["Ada"]


def test_on_the_first_screen_it_is_opened_and_named(
    bench: MainWindow, qtbot: QtBot, inbox: Path
) -> None:
    box, screen = bench[Inbox], bench[FirstScreen]
    box.watch(inbox)
    qtbot.waitUntil(lambda: bool(box.items), timeout=60000)
    assert screen.is_shown
    (strip,) = screen.page.findChildren(InboxStrip)
    assert strip.isVisible() and strip.heading.text() == "Inbox: 1 new"
    assert inbox / "Ada" in [Path(name) for name in box._watcher.directories()]
    strip.list.setCurrentRow(0)
    qtbot.keyClick(strip.list, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bench.session.review is not None, timeout=60000)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)
    assert bench.session.state.athlete == "Ada" and bench.session.state.video is not None
    bench.session.undo()
    assert bench.session.state.athlete == ""
    box.look()
    qtbot.waitUntil(lambda: box.items == (), timeout=60000)  # it has a review now


def test_further_films_of_a_submission_are_laid_beside_its_first(
    bench: MainWindow, qtbot: QtBot, inbox: Path
) -> None:
    wanted: list[tuple[Path, ...]] = []
    bench.session.further_wanted.disconnect()  # laying them is tried in the session's own tests
    bench.session.further_wanted.connect(wanted.append)
    (item,) = seen(inbox)
    side = inbox / "Ada" / "piece side.mp4"
    bench[Inbox].open(replace(item, films=(*item.films, side)))
    qtbot.waitUntil(lambda: bench.session.review is not None, timeout=60000)
    qtbot.waitUntil(lambda: wanted == [(side,)], timeout=60000)


def test_what_comes_later_is_seen_and_watching_can_be_stopped(
    bench: MainWindow, qtbot: QtBot, inbox: Path, tmp_path: Path
) -> None:
    box = bench[Inbox]
    box._rest.setInterval(0)
    away = tmp_path / "away"
    shutil.move(inbox / "Ada", away)
    box.watch(inbox)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)
    assert box.items == ()
    shutil.move(away, inbox / "Ada")
    qtbot.waitUntil(lambda: bool(box.items), timeout=60000)
    box.stop()
    assert box.items == () and box.folder is None and box._watcher.directories() == []


def test_a_folder_that_is_gone_is_said(bench: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    said: list[str] = []
    bench.messages.said.connect(lambda text, _problem, _offers: said.append(text))
    bench[Inbox].watch(tmp_path / "nowhere")
    qtbot.waitUntil(lambda: len(said) > 1, timeout=60000)
    assert "is not there any more" in said[-1]
