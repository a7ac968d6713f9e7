"""An explanation kept at one athlete is offered at the next, put there with a key, taken back."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QListWidget
from pytestqt.qtbot import QtBot

from app.review.parts.findings import DropFinding, ReopenFinding
from app.review.parts.marks import AddMark, new_mark
from app.review.parts.notes import EditNote, SetVoice
from app.review.voice import voice_of
from app.shelf.store import Shelf
from app.window.features.findings.findings import Findings
from app.window.features.notes.notes_panel import NotesPanel
from app.window.features.shelf.feature import ShelfFeature
from app.window.features.shelf.kept_explanations import (
    HAS_WORDS,
    NO_NOTE,
    NOTHING,
    KeptExplanations,
)
from app.window.features.shelf.shelf_dialog import ShelfDialog
from app.window.main_window import MainWindow
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from tests.app.window.features.shelf.conftest import at_rest
from tests.helpers.explained import WAV, whole
from tests.helpers.patience import HANGS_S
from tests.helpers.voices import tone

Open = Callable[[str], ReviewSession]
Key = Qt.Key


def press(bench: MainWindow, qtbot: QtBot, key: Qt.Key) -> None:
    qtbot.keyClick(bench, key)
    at_rest(bench, qtbot)


def explain(bench: MainWindow, qtbot: QtBot, open_as: Open) -> str:
    """Explain Anna's first finding and keep it; gives its code."""
    session = open_as("Anna")
    press(bench, qtbot, Key.Key_F)
    press(bench, qtbot, Key.Key_K)
    finding = bench[Findings].selected
    assert finding is not None
    note = next(n for n in session.state.notes if n.id == bench[Selection].note_id)
    assert session.review is not None
    session.review.keep_sound("b" * 32, WAV)
    session.do(EditNote(note.id, text=f"{note.text}\nAnna, like a rope.\nDose: 3 x 10"))
    session.do(SetVoice(note.id, voice_of("b" * 32, tone(0.5))))
    session.do(AddMark(new_mark("arrow", [(100.0, 90.0), (140.0, 80.0)], note.video_s)))
    bench.menus.actions["keep_explanation"].trigger()
    at_rest(bench, qtbot)
    assert "Kept on your shelf" in bench.message_line.text
    assert bench[KeptExplanations].finding is None  # not offered where it comes from
    return finding.code


@pytest.fixture
def explained(
    bench: MainWindow, qtbot: QtBot, open_as: Open, shelf_of_anna: dict[str, bytes]
) -> str:
    """What was explained to Anna is on the shelf: by hand once, then as it was left."""
    path = bench[KeptExplanations].path
    if not shelf_of_anna:
        code = explain(bench, qtbot, open_as)
        shelf_of_anna[code] = path.read_bytes()
    ((code, shelf),) = shelf_of_anna.items()
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(shelf)
    return code


def test_one_key_puts_it_onto_the_next_athletes_frame(
    bench: MainWindow, qtbot: QtBot, open_as: Open
) -> None:
    code = explain(bench, qtbot, open_as)
    session = open_as("Ben")
    strip = bench[ShelfFeature].strip
    assert strip.isVisible() and "voice 1 s" in strip.said.text()
    before = session.state
    press(bench, qtbot, Key.Key_U)
    decision = next(d for d in session.state.decisions if d.code == code)
    note = next(n for n in session.state.notes if n.id == decision.note_id)
    assert decision.kept and bench[Selection].note_id == note.id
    assert "Ben, like a rope." in note.text and "Anna" not in note.text
    assert note.voice is not None and session.review is not None
    assert session.review.sound(note.voice.id) == WAV
    (mark,) = session.state.marks
    assert session.footage is not None
    at = session.footage.index.at
    assert at(mark.video_s) == at(note.video_s)  # on the frame that is shown
    qtbot.waitUntil(lambda: at(bench.playhead.moment_s) == at(note.video_s), timeout=20000)
    assert not strip.isVisible() and "1 mark stands where it stood" in bench.message_line.text
    qtbot.keyClick(bench, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert (session.state.notes, session.state.marks) == (before.notes, before.marks)
    assert strip.isVisible()


def test_it_is_in_the_file_and_not_offered_again(
    bench: MainWindow, qtbot: QtBot, open_as: Open, explained: str
) -> None:
    session = open_as("Ben")
    QTest.mouseClick(bench[ShelfFeature].strip.use, Qt.MouseButton.LeftButton)
    at_rest(bench, qtbot)
    assert session.review is not None and session.review.path is not None
    path, notes = session.review.path, session.state.notes
    qtbot.waitUntil(lambda: not session.safe.unsaved, timeout=20000)
    session.close_review()
    at_rest(bench, qtbot)
    session.open_review(path)
    at_rest(bench, qtbot)
    assert session.state.notes == notes
    note = next(n for n in notes if n.voice is not None)
    assert note.voice is not None and session.review is not None
    assert session.review.sound(note.voice.id) == WAV
    assert bench[KeptExplanations].offered == ()
    press(bench, qtbot, Key.Key_U)
    assert session.state.notes == notes and bench.message_line.text == NOTHING


def test_a_note_in_the_coachs_words_is_not_overwritten(
    bench: MainWindow, qtbot: QtBot, open_as: Open, explained: str
) -> None:
    session = open_as("Ben")
    bench[Findings].choose(explained, anew=True)
    press(bench, qtbot, Key.Key_K)
    note_id = bench[Selection].note_id
    session.do(EditNote(note_id, text="My own words."))
    press(bench, qtbot, Key.Key_U)
    assert bench.message_line.text == HAS_WORDS
    assert next(n for n in session.state.notes if n.id == note_id).text == "My own words."
    session.do(DropFinding(explained))
    session.do(ReopenFinding(explained))
    press(bench, qtbot, Key.Key_U)
    assert any("like a rope" in n.text for n in session.state.notes)


def test_of_several_the_newest_is_offered_and_another_can_be_picked(
    bench: MainWindow, qtbot: QtBot, open_as: Open, explained: str
) -> None:
    older = replace(whole("Told otherwise", explained), words="Heavy hands.", stroke=None)
    bench[KeptExplanations].shelf.keep(older, WAV)  # another window did
    session = open_as("Ben")
    strip = bench[ShelfFeature].strip
    assert strip.which.isVisible() and strip.which.count() == 2
    assert strip.which.itemText(0).startswith("Told otherwise")
    strip.which.setCurrentIndex(1)
    strip.which.activated.emit(1)
    press(bench, qtbot, Key.Key_U)
    assert any("like a rope" in n.text for n in session.state.notes)


def test_without_a_note_or_a_shelf_it_is_said_what_to_do(
    bench: MainWindow, qtbot: QtBot, open_as: Open
) -> None:
    open_as("Ben")
    assert not bench[ShelfFeature].strip.isVisible()
    press(bench, qtbot, Key.Key_U)
    assert bench.message_line.text == NOTHING
    bench[Selection].choose_note("")
    bench.menus.actions["keep_explanation"].trigger()
    assert bench.message_line.text == NO_NOTE
    assert not bench[KeptExplanations].path.exists()


def test_the_right_button_on_a_note_keeps_it(
    bench: MainWindow, qtbot: QtBot, open_as: Open
) -> None:
    open_as("Ben")
    panel = bench.tabs.findChild(NotesPanel)
    assert panel is not None
    bench.tabs.setCurrentWidget(panel)
    shown = panel.findChild(QListWidget)
    assert shown is not None and shown.count()
    middle = shown.visualItemRect(shown.item(0)).center()
    shown.customContextMenuRequested.emit(middle)
    menu = panel._menu
    assert menu.isVisible() and bench.menus.actions["keep_explanation"] in menu.actions()
    menu.close()
    bench.menus.actions["keep_explanation"].trigger()
    at_rest(bench, qtbot)
    assert len(bench[KeptExplanations].shelf.listed().kept) == 1


def test_a_damaged_shelf_is_one_sentence_and_stays(
    bench: MainWindow, qtbot: QtBot, open_as: Open
) -> None:
    path = bench[KeptExplanations].path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"none of ours" * 100)
    session = open_as("Ben")
    before = session.state
    bench[Selection].choose_note(before.notes[0].id)
    bench.menus.actions["keep_explanation"].trigger()
    at_rest(bench, qtbot)
    assert "its file is damaged" in bench.message_line.text
    assert path.read_bytes() == b"none of ours" * 100 and session.state == before


def test_another_review_that_comes_in_between_gets_nothing(
    bench: MainWindow, qtbot: QtBot, open_as: Open, explained: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = open_as("Ben")
    going, held = threading.Event(), Shelf.sound

    def slow(shelf: Shelf, explanation_id: str) -> bytes:
        going.wait(HANGS_S)
        return held(shelf, explanation_id)

    monkeypatch.setattr(Shelf, "sound", slow)
    bench[KeptExplanations].use()
    session.close_review()
    qtbot.waitUntil(lambda: session.review is None, timeout=20000)
    going.set()
    at_rest(bench, qtbot)
    assert session.review is None


@pytest.fixture
def dialog(bench: MainWindow, qtbot: QtBot) -> ShelfDialog:
    """A shelf of two, one of them without a finding."""
    shelf = bench[KeptExplanations].shelf
    shelf.keep(replace(whole("Alone"), codes=()), WAV)
    shelf.keep(whole("Give", "give"), WAV)
    bench.menus.actions["shelf"].trigger()
    return bench.findChildren(ShelfDialog)[0]


def test_it_is_renamed_and_offered_elsewhere(dialog: ShelfDialog, qtbot: QtBot) -> None:
    assert [dialog.list.item(i).text().split("\n")[0] for i in range(2)] == ["Give", "Alone"]
    assert "Hang on" in dialog.words.toPlainText() and "‹" not in dialog.words.toPlainText()
    dialog.name.selectAll()
    qtbot.keyClicks(dialog.name, "Heavy hands")
    qtbot.keyClick(dialog.name, Key.Key_Return)
    assert dialog._shelf.listed().kept[0].title == "Heavy hands"
    dialog.list.setCurrentRow(1)
    row = next(i for i in range(dialog.finding.count()) if dialog.finding.itemData(i) == ("give",))
    dialog.finding.setCurrentIndex(row)
    dialog.finding.activated.emit(row)
    assert len(dialog._shelf.listed().of("give")) == 2


def test_what_is_removed_comes_back(dialog: ShelfDialog) -> None:
    before = dialog._shelf.listed().kept
    for _ in range(2):
        dialog.remove.click()
    assert dialog._shelf.listed().kept == () and not dialog.export.isEnabled()
    for _ in range(2):
        dialog.undo.click()
    assert set(dialog._shelf.listed().kept) == set(before) and not dialog.undo.isEnabled()
    assert dialog._shelf.sound(before[0].id) == WAV


def test_it_is_handed_on_as_one_file(dialog: ShelfDialog, tmp_path: Path) -> None:
    out = tmp_path / "mine.explanations.zip"
    dialog.export_to(out)
    assert dialog.said.text().startswith("2 explanations in mine")
    dialog.import_from(out)
    assert dialog.said.text().startswith("0 explanations came; 2 you have already")
    dialog.remove.click()
    dialog.import_from(out)
    assert dialog.said.text().startswith("1 explanation came; 1 you have already")
    out.write_bytes(b"PK no more")
    dialog.import_from(out)
    assert "nothing was taken from it" in dialog.said.text()
    assert len(dialog._shelf.listed().kept) == 2
