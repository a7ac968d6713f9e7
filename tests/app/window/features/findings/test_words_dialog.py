"""Cues and drills in the coach's words, for one review or for all."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from app.bundle.wording.note_text import ways_of
from app.submission.my_defaults import read_defaults
from app.window.features.findings.findings import Findings
from app.window.features.findings.words_dialog import WordsDialog
from app.window.main_window import MainWindow


@pytest.fixture
def dialog(loaded: MainWindow, qtbot: QtBot) -> WordsDialog:
    qtbot.waitUntil(lambda: bool(loaded[Findings].found), timeout=20000)
    loaded.menus.actions["words"].trigger()
    found = loaded.findChild(WordsDialog)
    assert found is not None
    return found


def settled(qtbot: QtBot, bench: MainWindow) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def test_words_hold_in_all_reviews_from_now_on(
    loaded: MainWindow, dialog: WordsDialog, qtbot: QtBot
) -> None:
    code = dialog.code
    assert code == loaded[Findings].found[0].code
    shipped = dialog.said
    dialog.boxes["cue"].setPlainText("My own cue.")
    dialog.for_all.use.click()
    assert (code, "cue", "My own cue.") in read_defaults().words
    assert dialog.names.currentItem().text().startswith("◆")
    settled(qtbot, loaded)
    loaded[Findings].choose(code)
    loaded[Findings].keep()
    (note,) = loaded.session.state.notes
    assert ways_of(note.text)["cue"] == "My own cue."
    dialog.for_all.forget.click()
    settled(qtbot, loaded)
    assert read_defaults().words == ()
    # What was written keeps its words until they are given back.
    assert dialog.said["cue"] == "My own cue."
    dialog.for_all.back.click()
    (note,) = loaded.session.state.notes
    assert ways_of(note.text) == shipped == dialog.said
    dialog.close()


def test_words_of_one_review_keep_the_finding_with_them(
    loaded: MainWindow, dialog: WordsDialog, qtbot: QtBot
) -> None:
    dialog.boxes["drill"].setPlainText("Only for you.")
    dialog.here.click()
    (note,) = loaded.session.state.notes
    assert ways_of(note.text)["drill"] == "Only for you."
    assert [d.code for d in loaded.session.state.decisions] == [dialog.code]
    assert read_defaults().words == ()
    dialog.boxes["drill"].setPlainText("And this.")
    dialog.here.click()
    (note,) = loaded.session.state.notes
    assert ways_of(note.text)["drill"] == "And this."
    settled(qtbot, loaded)
    dialog.close()
