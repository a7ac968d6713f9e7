"""The sending panel: picking and ordering, words, size, a look, and the same bytes written."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.review.file.store import read_review
from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.blurs import AddBlur
from app.review.parts.comparisons import AddComparison, new_comparison
from app.review.parts.films import AddFilms, new_film
from app.review.parts.media import MediaRef
from app.review.parts.notes import AddNote, Voice, new_note
from app.review.parts.self_test import SetSelfTest, new_self_test
from app.review.parts.sending import SELF_TEST, LeaveOut, PickNotes, SetSending, WriteWords
from app.review.parts.walk_events import Moved
from app.review.parts.walkthroughs import AddWalkthrough, new_walkthrough
from app.review.safety import SECOND_VIEW
from app.review.values.stroke_ref import StrokeRef
from app.submission.my_defaults import read_defaults
from app.window.features.notes.feature import NotesFeature
from app.window.features.notes.notes import Notes
from app.window.features.sending import sending as panels
from app.window.features.sending.sending import Sending
from app.window.features.sending.sending_check import goes_out
from app.window.features.sending.sending_notes import EMPTY
from app.window.features.sending.sending_panel import SendingPanel
from app.window.features.sending.shapes import SHAPES, row_of
from app.window.main_window import MainWindow
from app.window.widgets.scroll_frame import OF_SCREEN
from tests.app.window.unsaved import saved

Key = Qt.Key


def texts(panel: SendingPanel) -> list[str]:
    rows = range(panel.notes.list.count())
    return [panel.notes.list.item(row).text().split("\n")[1] for row in rows]


def sent(bench: MainWindow) -> list[str]:
    by_id = {note.id: note.text for note in bench.session.state.notes}
    return [by_id[i] for i in bench.session.state.sending.notes]


def make_ready(bench: MainWindow, qtbot: QtBot) -> None:
    preparing = bench[Sending]._preparing
    qtbot.waitUntil(lambda: preparing.current is not None, timeout=60_000)


def digests(folder: Path) -> dict[str, str]:
    return {
        str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in folder.rglob("*")
        if p.is_file()
    }


def test_notes_are_picked_and_moved_with_keys_and_undone(
    panel: SendingPanel, noted: MainWindow
) -> None:
    notes = panel.notes.list
    assert texts(panel) == ["one", "two", "three"]
    notes.setCurrentRow(2)
    QTest.keyClick(notes, Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert sent(noted) == ["one", "three", "two"]
    assert notes.currentItem().text().endswith("three")
    notes.setCurrentRow(0)
    QTest.keyClick(notes, Key.Key_Space)
    assert sent(noted) == ["three", "two"]
    assert texts(panel) == ["three", "two", "one"]
    assert "2 of 3" in panel.notes.said.text()
    noted.session.undo()
    assert texts(panel) == ["one", "three", "two"]
    panel.notes.all.click()
    assert noted.session.state.sending.notes == ()


def test_the_last_tick_stays(panel: SendingPanel, noted: MainWindow) -> None:
    notes = panel.notes.list
    for _ in range(3):
        notes.setCurrentRow(0)
        QTest.keyClick(notes, Key.Key_Space)
    assert len(sent(noted)) == 1
    assert "At least one" in panel.notes.said.text()


def test_comparisons_walkthroughs_and_self_test_are_picked_and_undone(
    panel: SendingPanel, noted: MainWindow, qtbot: QtBot
) -> None:
    parts = panel.parts
    assert "Shift+C" in parts.said.text() and not parts.list.isVisible()
    left, right = StrokeRef("", 1.0, 2.0, 3.0, "a"), StrokeRef("", 3.0, 4.0, 5.0, "b")
    pair = new_comparison(left, right, title="Hands")
    walk = new_walkthrough([Moved(0.0, 0.5)], 65.0, title="The start")
    noted.session.do(AddWalkthrough(walk))
    noted.session.do(AddComparison(pair))
    noted.session.do(SetSelfTest(new_self_test([(left, True, "")], 1)))
    rows = [parts.list.item(i) for i in range(parts.list.count())]
    assert [row.text().split(":")[0] for row in rows[:2]] == ["Walkthrough", "Side by side"]
    assert "The start" in rows[0].text() and "Hands" in rows[1].text()
    assert all(row.checkState() == Qt.CheckState.Checked for row in rows)
    parts.list.setFocus()
    parts.list.setCurrentRow(1)
    QTest.keyClick(parts.list, Key.Key_Space)
    assert noted.session.state.sending.left_out == (pair.id,)
    assert parts.said.text() == "2 of 3 are sent."
    assert parts.list.currentRow() == 1
    QTest.keyClick(parts.list, Key.Key_Space)
    assert noted.session.state.sending.left_out == ()
    noted.session.undo()
    assert parts.list.item(1).checkState() == Qt.CheckState.Unchecked
    # What is looked at honours it.
    noted.session.do(LeaveOut(walk.id, True))
    noted.session.do(LeaveOut(SELF_TEST, True))
    make_ready(noted, qtbot)
    ready = noted[Sending]._preparing.current
    assert ready is not None
    record = json.loads((ready.built.folder / "review.json").read_text("utf-8"))
    assert (record["comparisons"], record["walkthroughs"], record["self_test"]) == ([], [], [])


def test_without_notes_the_list_says_what_to_do(loaded: MainWindow) -> None:
    loaded.menus.actions["send_plan"].trigger()
    (panel,) = loaded.findChildren(SendingPanel)
    panel.notes.list.grab()  # painted without a complaint
    assert "press N" in EMPTY and panel.notes.list.count() == 0
    assert not panel.notes.said.isVisible()
    panel.close()


def test_a_template_is_used_shown_filled_and_kept(
    panel: SendingPanel, noted: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    box = panel.opening
    box.choice.setCurrentIndex(1)
    box.choice.activated.emit(1)
    assert "{athlete}" in noted.session.state.sending.opening
    box.text.setPlainText("There are {notes} notes.")
    assert box.said.text() == "Reads: There are 3 notes."
    box.text.setPlainText("Row {fast}.")
    assert "{fast}" in box.said.text()
    assert noted.session.state.sending.opening == "Row {fast}."
    box.keep_as("Quick")
    assert box.choice.currentText() == "Quick"
    assert box.remove.isEnabled()
    box.remove.click()
    assert box.choice.findText("Quick") < 0


def test_a_text_begins_every_new_review(panel: SendingPanel, noted: MainWindow) -> None:
    box = panel.following
    box.text.setPlainText("Three easy hours.")
    box._renew_for_all()
    assert box.use.isEnabled() and not box.back.isEnabled() and not box.forget.isEnabled()
    box.use.trigger()
    assert read_defaults().next_session == "Three easy hours." and read_defaults().opening == ""
    box.text.setPlainText("Rest.")
    box._renew_for_all()
    box.back.trigger()
    assert noted.session.state.sending.next_session == "Three easy hours."
    box.forget.trigger()
    assert read_defaults().next_session == ""
    assert noted.session.state.sending.next_session == "Three easy hours."


def test_what_is_looked_at_is_what_is_written(
    panel: SendingPanel, noted: MainWindow, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[Path] = []
    monkeypatch.setattr(panels, "open_in_system", opened.append)
    panel.shapes.button(row_of("folder")).click()
    panel.look.click()
    make_ready(noted, qtbot)
    assert len(opened) == 1
    assert opened[0].name == "index.html"
    seen = digests(opened[0].parent)
    for number, button in enumerate(panel.shapes.buttons()):
        assert "MB" in button.text(), number
    panel.write.click()
    assert panel.said.text().startswith("Nothing was written yet.")
    with qtbot.waitSignal(noted[Sending].written, timeout=30_000) as told:
        panel.write.click()
    assert digests(told.args[0].path) == seen
    panel.close()
    assert not opened[0].exists()


def test_a_phone_can_open_what_is_sent_unless_recordings_go_along(
    panel: SendingPanel, noted: MainWindow
) -> None:
    """A page opens at a touch; it carries no recordings, so those bring the .zip."""
    assert panel.shape == "page" and SHAPES[0][0] == "page"
    panel.details.originals.click()
    assert panel.shape == "zip"
    panel.details.originals.click()
    assert panel.shape == "page"
    panel.shapes.button(row_of("folder")).click()
    panel.details.originals.click()
    assert panel.shape == "folder", "what the coach chose stays"


@pytest.mark.parametrize("size", [(1280, 800), (850, 530)])
def test_consent_and_send_are_seen_without_scrolling(
    panel: SendingPanel, noted: MainWindow, size: tuple[int, int]
) -> None:
    """However long the text boxes are; the panel is no larger than such a screen."""
    panel.resize(*(round(side * OF_SCREEN) for side in size))
    noted.session.do(WriteWords("opening", "\n".join("A long line of words." for _ in range(80))))
    QTest.qWait(1)
    assert panel.width() <= size[0] and panel.height() <= size[1]
    for part in (panel.details.consent, panel.details.minor, panel.write, panel.look):
        place = QRect(part.mapTo(panel, QPoint(0, 0)), part.size())
        assert panel.rect().contains(place), part
        assert part.visibleRegion().boundingRect().size() == part.size()


def test_a_change_makes_the_look_outdated(
    panel: SendingPanel, noted: MainWindow, qtbot: QtBot
) -> None:
    make_ready(noted, qtbot)
    noted.session.do(SetSending(quality="mail"))
    assert noted[Sending]._preparing.current is None
    assert "…" in panel.shapes.button(0).text()
    make_ready(noted, qtbot)
    assert "MB" in panel.shapes.button(0).text()


def test_fitting_takes_the_best_quality_that_fits_or_says_none_does(
    panel: SendingPanel, noted: MainWindow, qtbot: QtBot
) -> None:
    preparing = noted[Sending]._preparing
    noted.session.do(SetSending(quality="mail"))
    with qtbot.waitSignal(preparing.fitted, timeout=60_000):
        preparing.fit("folder", 100_000_000)
    assert noted.session.state.sending.quality == "full"
    with qtbot.waitSignal(preparing.fitted, timeout=60_000) as told:
        preparing.fit("folder", 1000)
    assert "Even the smallest" in told.args[0]
    assert noted.session.state.sending.quality == "full"


def test_flags_are_kept_and_reminded_of(
    panel: SendingPanel, noted: MainWindow, qtbot: QtBot
) -> None:
    details = panel.details
    details.minor.click()
    details.consent.button(False).click()
    details.originals.click()
    plan = noted.session.state.sending
    assert (plan.minor, plan.consent, plan.include_originals) == (True, False, True)
    for word in ("minor", "safeguarding", "did not agree", "every face"):
        assert word in panel.reminder.text()
    assert read_review(saved(noted, qtbot)).sending == plan


def test_the_language_of_the_coachs_own_words_is_kept_and_settled(
    panel: SendingPanel, noted: MainWindow
) -> None:
    box = panel.details.own_language
    box.setCurrentIndex(box.findData("fa"))
    box.activated.emit(box.currentIndex())
    assert noted.session.state.sending.own_language == "fa"
    panel.details.for_all.click()
    assert read_defaults().own_language == "fa"
    noted.session.do(SetSending(own_language="cy"))
    assert box.currentData() == "cy", "a language that is not offered is shown as it is"


def test_the_second_view_has_a_tick_where_there_is_one(
    panel: SendingPanel, noted: MainWindow
) -> None:
    tick, session = panel.details.second_view, noted.session
    assert not tick.isVisible(), "one camera, nothing to ask"
    ref = MediaRef("video", "front.mp4", 1, "aa")
    session.do(AddFilms((new_film(ref, 1.0, 0.02, "picture", "view"),)))
    assert tick.isVisible() and tick.isChecked() and SECOND_VIEW in panel.reminder.text()
    assert SECOND_VIEW in goes_out(session.state).words
    tick.click()
    assert session.state.sending.second_view is False
    assert SECOND_VIEW not in panel.reminder.text() + goes_out(session.state).words
    tick.click()
    session.do(AddBlur(BlurRegion("f", (BlurKey(0.0, 60.0, 40.0, 30.0, 30.0, True),))))
    assert not tick.isEnabled() and not tick.isChecked()
    assert SECOND_VIEW not in goes_out(session.state).words


def test_a_spoken_note_without_words_is_reminded_of_where_it_is_sent(
    panel: SendingPanel, noted: MainWindow
) -> None:
    said = "no text for those who cannot hear"
    assert said not in panel.reminder.text()
    spoken = replace(new_note(0.9, ""), voice=Voice("v", 1.0, 48_000, 0.0, 1.0))
    noted.session.do(AddNote(spoken))
    assert f"A spoken note has {said}" in panel.reminder.text()
    first = noted.session.state.notes[0].id
    noted.session.do(PickNotes((first,)))
    assert said not in panel.reminder.text(), "it is not sent"
    noted.session.do(PickNotes((first, spoken.id)))
    assert said in panel.reminder.text()


def test_the_reminder_leads_to_the_spoken_note(panel: SendingPanel, noted: MainWindow) -> None:
    assert panel.unread.isHidden()
    spoken = [
        replace(new_note(at, ""), voice=Voice(f"v{at}", 1.0, 48_000, 0.0, 1.0)) for at in (0.7, 0.9)
    ]
    noted.session.do(AddNote(spoken[0]))
    assert panel.unread.text() == "Go to it"
    noted.session.do(AddNote(spoken[1]))
    assert panel.unread.text() == "Go to the first of 2"
    noted.session.do(PickNotes((spoken[1].id, noted.session.state.notes[0].id)))
    went: list[str] = []
    noted[Sending].note_wanted.connect(went.append)
    panel.unread.click()
    assert went == [spoken[1].id]
    assert noted[Notes].selected is not None
    assert noted[Notes].selected.id == spoken[1].id
    assert noted.tabs.currentWidget() is noted[NotesFeature].panel
    assert not panel.isVisible()


def test_the_panel_closes_when_another_review_comes(
    panel: SendingPanel, noted: MainWindow, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(panel.destroyed, timeout=10_000):
        noted.session.opening.emit()
    assert noted[Sending]._preparing.current is None


def test_nothing_is_lost_of_a_picked_note_that_goes(panel: SendingPanel, noted: MainWindow) -> None:
    panel.notes.list.setCurrentRow(2)
    QTest.keyClick(panel.notes.list, Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    plan = noted.session.state.sending
    noted.session.do(AddNote(new_note(0.1, "late")))
    assert noted.session.state.sending == plan
    assert texts(panel)[-1] == "late"
    assert panel.notes.list.item(3).checkState() == Qt.CheckState.Unchecked
    assert replace(plan, notes=()) == replace(noted.session.state.sending, notes=())


def test_closing_the_window_does_not_lose_a_bundle_that_is_being_written(
    noted: MainWindow, qtbot: QtBot
) -> None:
    place = noted[Sending].usual_place()
    assert place is not None
    noted[Sending].write()
    noted.close()
    assert noted.isVisible()
    question = noted.unfinished.question
    assert question is not None
    question.defaultButton().click()
    qtbot.waitUntil(lambda: not noted.isVisible(), timeout=60_000)
    assert (place / "index.html").is_file()
