"""Answers dropped on the bench stand beside the notes; a stranger's bundle is only looked at."""

from __future__ import annotations

import base64
import csv
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent, QGuiApplication
from PySide6.QtWidgets import QLabel, QToolButton
from pytestqt.qtbot import QtBot

from app.review.answers import bundle_mark
from app.review.parts.about import SetAthlete
from app.review.parts.notes import AddNote, new_note
from app.window.features.answers.bundle_view import BundleView
from app.window.features.answers.feature import AnswersFeature
from app.window.features.notes.feature import NotesFeature
from app.window.main_window import MainWindow
from app.window.session.incoming_files import IncomingFiles
from tests.app.window.conftest import open_and_wait
from tests.helpers.pieces import GIVING


@pytest.fixture
def noted(loaded: MainWindow) -> MainWindow:
    loaded.session.do(AddNote(new_note(1.0, "Hang off the handle first.")))
    loaded.session.do(AddNote(new_note(2.0, "Sit tall at the finish.")))
    return loaded


def drop(bench: MainWindow, qtbot: QtBot, path: Path) -> None:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path))])
    bench.dropEvent(
        QDropEvent(
            QPointF(5, 5), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
    )  # fmt: skip
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def a_file(folder: Path, **said: Any) -> Path:
    path = folder / "answers.json"
    path.write_text(json.dumps({"strokeside_answers": 1} | said), "utf-8")
    return path


def words_in(bench: MainWindow) -> list[str]:
    return [label.text() for label in bench[AnswersFeature].panel.widget().findChildren(QLabel)]


def test_answers_stand_beside_the_notes_and_can_be_undone(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    first, second = noted.session.state.notes
    ticks = [{"note": first.id, "done": True}, {"note": second.id, "done": False}]
    comment = "<b>Better</b> by the third piece"
    mark = bundle_mark(noted.session.state)
    drop(noted, qtbot, a_file(tmp_path, bundle=mark, ticks=ticks, comment=comment))
    assert noted.tabs.currentWidget() is noted[AnswersFeature].panel
    assert noted.tabs.tabText(noted.tabs.indexOf(noted[AnswersFeature].panel)) == "Answers 1"
    said = words_in(noted)
    assert f"“{comment}”" in said and "✓ Hang off the handle first." in said
    assert "○ Sit tall at the finish." in said
    labels = noted[AnswersFeature].panel.widget().findChildren(QLabel)
    assert all(label.textFormat() == Qt.TextFormat.PlainText for label in labels)
    rows = [noted[NotesFeature].panel._list.item(i).text() for i in range(2)]
    assert "✓ done" in rows[0] and "○ not yet" in rows[1]
    assert "1 of 2" in noted.message_line.text
    drop(noted, qtbot, tmp_path / "answers.json")
    assert len(noted.session.state.answers) == 1, "twice is once"
    (remove,) = noted[AnswersFeature].panel.widget().findChildren(QToolButton)
    remove.click()
    assert noted.session.state.answers == ()
    noted.session.undo()
    noted.session.undo()
    assert noted.session.state.answers == ()
    assert "✓" not in noted[NotesFeature].panel._list.item(0).text()


def test_answers_to_no_review_known_here_are_not_kept(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    ticks = [{"note": "0" * 32, "done": False, "how": "hurts", "words": "left side"}]
    drop(noted, qtbot, a_file(tmp_path, bundle="f" * 16, ticks=ticks))
    said = noted.message_line.text
    assert "none of the reviews known here" in said and "nothing of them was kept" in said
    assert said.startswith("The athlete says in them that it hurts")
    assert noted.session.state.answers == ()
    assert not noted.tabs.isTabVisible(noted.tabs.indexOf(noted[AnswersFeature].panel))


def test_answers_without_a_mark_go_where_they_are_put_and_stand_apart(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    drop(noted, qtbot, a_file(tmp_path, ticks=[{"note": "0" * 32, "done": True}]))
    assert "another review" in noted.message_line.text
    assert any("another review" in words for words in words_in(noted))
    assert "✓" not in noted[NotesFeature].panel._list.item(0).text()


def test_a_folder_with_nothing_but_answers_is_answers(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    sent = tmp_path / "from Maren"
    sent.mkdir()
    note = noted.session.state.notes[0]
    drop(noted, qtbot, a_file(sent, ticks=[{"note": note.id, "done": True}]).parent)
    assert "ticked 1 of 1" in noted.message_line.text
    assert len(noted.session.state.answers) == 1


def test_answers_on_the_wrong_review_name_the_right_one_and_go_there(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    session = noted.session
    session.do(SetAthlete("Maren", "Autumn"))
    qtbot.waitUntil(lambda: not session.safe.unsaved, timeout=20000)
    noted.filling.keep_now()
    qtbot.waitUntil(lambda: not noted.jobs.running, timeout=60000)
    right = session.state
    ticks = [{"note": right.notes[0].id, "done": True, "how": "got"}]
    path = a_file(tmp_path, bundle=bundle_mark(right), ticks=ticks, comment="Longer")
    (tmp_path / "other").mkdir()
    GIVING.write(tmp_path / "other" / "other.csv")
    open_and_wait(noted, qtbot, tmp_path / "other" / "other.csv")
    wrong = session.state
    assert wrong.review_id != right.review_id
    drop(noted, qtbot, path)
    said = noted.message_line.text
    assert "Maren's review “Autumn” of " in said and "nothing was written into this one" in said
    assert session.state is wrong, "nothing is written into the wrong one"
    (button,) = [b for b in noted.message_line.findChildren(QToolButton) if "Open" in b.text()]
    button.click()
    qtbot.waitUntil(lambda: bool(session.state.answers), timeout=20000)
    assert session.state.review_id == right.review_id
    assert session.state.answers[0].comment == "Longer"
    assert noted.tabs.currentWidget() is noted[AnswersFeature].panel
    assert "✓ got it" in noted[NotesFeature].panel._list.item(0).text()
    qtbot.waitUntil(lambda: not noted.jobs.running, timeout=20000)


def test_with_no_review_open_the_right_one_is_offered_where_it_is_known(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    noted.session.do(SetAthlete("Maren", ""))
    qtbot.waitUntil(lambda: not noted.session.safe.unsaved, timeout=20000)
    noted.filling.keep_now()
    qtbot.waitUntil(lambda: not noted.jobs.running, timeout=60000)
    path = a_file(tmp_path, bundle=bundle_mark(noted.session.state), comment="Longer")
    assert noted.session.review is not None and noted.session.review.path is not None
    place = noted.session.review.path
    noted.menus.actions["close"].trigger()
    qtbot.waitUntil(lambda: noted.session.review is None)
    drop(noted, qtbot, path)
    assert "Maren's review" in noted.message_line.text
    place.rename(tmp_path / "elsewhere.txt")
    drop(noted, qtbot, path)
    assert "not where it was" in noted.message_line.text


@pytest.mark.parametrize("data", [b"", b"{}", b"[[[[", b"\xff\xfe", b'{"strokeside_answers": 9}'])
def test_what_is_no_answer_is_refused_in_place(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path, data: bytes
) -> None:
    (tmp_path / "x.json").write_bytes(data)
    drop(noted, qtbot, tmp_path / "x.json")
    assert noted.session.state.answers == ()
    assert noted.message_line.text.startswith("x.json")


@pytest.mark.parametrize("how", ["folder", "zip", "json"])
def test_recordings_that_come_packed_or_in_a_folder_are_no_answers(
    bench: MainWindow, submission: Path, qtbot: QtBot, how: str
) -> None:
    """What an athlete sent is opened, though answers and bundles come in such files too."""
    path = submission
    if how == "zip":
        path = submission / "from Maren.zip"
        with zipfile.ZipFile(path, "w") as archive:
            archive.write(submission / "piece.mp4", "piece.mp4")
            archive.write(submission / "piece.csv", "piece.csv")
    elif how == "json":
        path = submission / "piece.json"
        lines = (submission / "piece.csv").read_text("utf-8").splitlines()
        heads, *rows = csv.reader(lines)
        path.write_text(json.dumps([dict(zip(heads, map(float, r), strict=True)) for r in rows]))
    bench[IncomingFiles].open([path])
    qtbot.waitUntil(lambda: bench.session.submission.piece is not None, timeout=20000)
    assert (bench.session.footage is not None) == (how != "json")
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def test_without_a_review_answers_have_nowhere_to_go(
    bench: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    drop(bench, qtbot, a_file(tmp_path, bundle="f" * 16))
    assert "Open the review" in bench.message_line.text


def test_a_bundle_is_looked_at_and_its_answers_can_be_kept(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    folder = tmp_path / "sent"
    folder.mkdir()
    note = noted.session.state.notes[0]
    record = {
        "format": "strokeside-feedback", "version": 1, "title": "Autumn", "athlete": "Maren",
        "notes": [{"id": note.id, "video_s": 1.0, "text": note.text, "phase": "catch"}],
    }  # fmt: skip
    (folder / "review.json").write_text(json.dumps(record), "utf-8")
    a_file(folder, ticks=[{"note": note.id, "done": True}], comment="Good")
    drop(noted, qtbot, folder)
    (view,) = noted.findChildren(BundleView)
    said = view._words.toPlainText()
    assert "Autumn, for Maren" in said and note.text in said and "✓ note 1" in said
    (button,) = [b for b in noted.message_line.findChildren(QToolButton) if "Keep" in b.text()]
    button.click()
    assert noted.session.state.answers[0].comment == "Good"
    view.close()


def test_the_text_of_a_page_is_pasted_and_what_hurts_stands_first(
    noted: MainWindow, qtbot: QtBot
) -> None:
    first, second = noted.session.state.notes
    said = {
        "strokeside_answers": 1,
        "bundle": bundle_mark(noted.session.state),
        "ticks": [
            {"note": first.id, "done": True, "how": "got", "words": ""},
            {"note": second.id, "done": False, "how": "hurts", "words": "left side"},
        ],
        "comment": "Better",
    }
    packed = base64.b64encode(json.dumps(said).encode()).decode()
    clipboard = QGuiApplication.clipboard()
    clipboard.setText("")
    noted[AnswersFeature].answers.paste()
    assert "no text on the clipboard" in noted.message_line.text
    clipboard.setText(f"Answers, 2026-11-29\n[strokeside-answers:{packed}:end]\n")
    noted[AnswersFeature].answers.paste()
    assert "it hurts" in noted.message_line.text
    words = [w for w in words_in(noted) if w]
    pain = next(i for i, w in enumerate(words) if "licensed clinician" in w)
    assert words[pain + 1] == "▲ it hurts: Sit tall at the finish. “left side”"
    assert words.index("✓ got it: Hang off the handle first.") > pain
    rows = [noted[NotesFeature].panel._list.item(i).text() for i in range(2)]
    assert "✓ got it" in rows[0] and "▲ it hurts" in rows[1]


def test_a_text_file_with_answers_is_taken_in_and_a_force_file_is_not(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    packed = base64.b64encode(b'{"strokeside_answers": 1, "comment": "By mail"}').decode()
    (tmp_path / "mail.txt").write_text(f"[strokeside-answers:{packed}:end]", "utf-8")
    (tmp_path / "force.txt").write_text("time_s,force_N\n0,1\n", "utf-8")
    answers = noted[AnswersFeature].answers
    assert answers.take([tmp_path / "mail.txt"]) and not answers.take([tmp_path / "force.txt"])
    qtbot.waitUntil(lambda: not noted.jobs.running, timeout=20000)
    assert noted.session.state.answers[0].comment == "By mail"


def test_a_review_without_answers_has_no_tab_of_them_after_one_that_has(
    noted: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    mark = bundle_mark(noted.session.state)
    drop(noted, qtbot, a_file(tmp_path, bundle=mark, comment="Longer already"))
    place = noted.tabs.indexOf(noted[AnswersFeature].panel)
    assert noted.tabs.isTabVisible(place)
    noted.menus.actions["close"].trigger()
    qtbot.waitUntil(lambda: noted.session.review is None)
    assert not noted.tabs.isTabVisible(place)
