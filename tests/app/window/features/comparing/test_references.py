"""The library of reference strokes on the bench: seen, reworded, removed, restored, compared."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget
from pytestqt.qtbot import QtBot

from app.prepared.reference_strokes import SIMULATED_ID
from app.review.parts.comparisons import AddComparison, new_comparison
from app.review.parts.reference import Reference
from app.review.parts.state import ReviewState
from app.review.references import add_reference, new_reference_id, read_reference
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.comparing.reference_rows import ROW, Row
from app.window.features.comparing.references_dialog import EMPTY_BUT, ReferencesDialog
from app.window.main_window import MainWindow
from app.window.session.other_recordings import library_folder

Key = Qt.Key
STEADY = Reference("Steady 20", "left", 20.0, "club", "Long and level.", 0.5, 1.5, 3.5)


def opened(bench: MainWindow, qtbot: QtBot) -> ReferencesDialog:
    bench.menus.actions["references"].trigger()
    (dialog,) = bench.findChildren(ReferencesDialog)
    qtbot.waitUntil(lambda: not bench.jobs.running and dialog.list.count() > 0, timeout=60000)
    return dialog


def rows(dialog: ReferencesDialog) -> list[Row]:
    items = (dialog.list.item(i) for i in range(dialog.list.count()))
    return [item.data(ROW) for item in items if item.data(ROW) is not None]


def take(dialog: ReferencesDialog, name: str) -> Row:
    for i in range(dialog.list.count()):
        row = dialog.list.item(i).data(ROW)
        if row is not None and row.kept.reference.name == name:
            dialog.list.setCurrentRow(i)
            return row
    raise AssertionError(f"no {name}")


@pytest.fixture
def steady() -> str:
    """A stroke of the coach's own in the library; it has neither footage nor force."""
    library_folder().mkdir(parents=True)
    return add_reference(library_folder(), new_reference_id(), ReviewState(), STEADY).id


def test_each_stroke_is_listed_with_picture_curve_and_words(
    bench: MainWindow, qtbot: QtBot, steady: str
) -> None:
    dialog = opened(bench, qtbot)
    simulated, own = sorted(rows(dialog), key=lambda row: row.kept.id != SIMULATED_ID)
    assert (simulated.sign, own.sign) == ("simulated", "")
    qtbot.waitUntil(lambda: all(row.look is not None for row in rows(dialog)), timeout=20000)
    look = take(dialog, simulated.kept.reference.name).look
    assert look is not None and look.picture_bgra is not None and look.curve_n is not None
    assert look.picture_bgra.std() > 20, "a picture, not a plain ground"
    assert 400 < look.curve_n.max() < 800
    # The simulated one is read, not rewritten.
    assert dialog.fields.name.isReadOnly() and not dialog.fields.view.isEnabled()
    bare = take(dialog, "Steady 20").look
    assert bare is not None and bare.picture_bgra is None and bare.curve_n is None
    assert not dialog.fields.name.isReadOnly()
    spoken = dialog.list.currentItem().data(Qt.ItemDataRole.AccessibleTextRole)
    for words in ("Steady 20", "from the left", "20.0 / min", "club", "Long and level."):
        assert words in spoken
    assert dialog.grab().toImage().width() <= 1280
    assert not dialog.compare.isEnabled(), "nothing on the bench to put it beside"
    dialog.close()


def test_every_field_is_edited_and_undone(bench: MainWindow, qtbot: QtBot, steady: str) -> None:
    dialog = opened(bench, qtbot)
    take(dialog, "Steady 20")
    dialog.list.setFocus()
    qtbot.keyClick(dialog.list, Key.Key_Return)
    qtbot.keyClicks(dialog.fields.name, "Long twenty")
    qtbot.keyClick(dialog.fields.name, Key.Key_Return)
    dialog.fields.view.setCurrentIndex(1)
    dialog.fields.view.activated.emit(1)
    dialog.fields.rate.setValue(21.5)
    dialog.fields.rate.editingFinished.emit()
    dialog.fields.level.setText("first year")
    dialog.fields.notes.setPlainText("Watch the hands.")
    dialog.close()  # what was not left yet is kept as well
    said = Reference("Long twenty", "right", 21.5, "first year", "Watch the hands.", 0.5, 1.5, 3.5)
    assert read_reference(library_folder(), steady).reference == said
    qtbot.waitUntil(lambda: not bench.findChildren(ReferencesDialog), timeout=5000)
    dialog = opened(bench, qtbot)
    for _ in range(4):
        qtbot.keyClick(dialog.list, Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert read_reference(library_folder(), steady).reference == STEADY
    assert "Taken back" in dialog.said.text()
    assert not dialog.undo.isEnabled() and dialog.redo.isEnabled()
    dialog.close()


def test_a_stroke_without_a_name_is_refused_and_keeps_its_words(
    bench: MainWindow, qtbot: QtBot, steady: str
) -> None:
    dialog = opened(bench, qtbot)
    take(dialog, "Steady 20")
    dialog.fields.name.setText("  ")
    dialog.fields.name.editingFinished.emit()
    assert "needs a name" in dialog.said.text()
    assert dialog.fields.name.text() == "Steady 20"
    assert read_reference(library_folder(), steady).reference == STEADY
    dialog.close()


def test_removing_says_what_is_kept_and_both_ways_lead_back(
    loaded: MainWindow, qtbot: QtBot, steady: str
) -> None:
    there = StrokeRef(steady, 0.5, 1.5, 3.5, "a model")
    loaded.session.do(AddComparison(new_comparison(replace(there, source=""), there)))
    dialog = opened(loaded, qtbot)
    take(dialog, "Steady 20")
    qtbot.keyClick(dialog.list, Key.Key_Delete)
    assert "clip, force and words are kept" in dialog.said.text()
    assert "This review shows it once" in dialog.said.text()
    assert [row.sign for row in rows(dialog)][-1] == "removed"
    assert dialog.chosen is not None and dialog.chosen.kept.id == steady
    assert dialog.fields.name.isReadOnly()
    dialog.restore.click()
    assert read_reference(library_folder(), steady).reference == STEADY
    take(dialog, "Steady 20")
    dialog.remove.click()
    dialog.undo.click()
    assert read_reference(library_folder(), steady).reference == STEADY
    # Without any stroke the list says what to do.
    for name in ("Steady 20", "Simulated stroke at 20 a minute"):
        take(dialog, name)
        dialog.remove.click()
    assert isinstance(dialog.list, QListWidget) and dialog.list.words == EMPTY_BUT
    assert "Keep this stroke" in dialog.list.words
    dialog.close()


def test_a_stroke_of_the_library_is_put_beside_the_one_on_the_bench(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    dialog = opened(loaded, qtbot)
    dialog.compare.click()
    comparing = loaded[Comparisons].comparing
    qtbot.waitUntil(lambda: comparing.selected is not None, timeout=20000)
    assert comparing.selected is not None and comparing.selected.right.source == SIMULATED_ID
    qtbot.waitUntil(lambda: comparing.stage.second.frame is not None, timeout=20000)
    # Taken out while it is on screen: said, and it comes back with the undo of the library.
    loaded[Comparisons].references.library.remove(SIMULATED_ID)
    comparing.renew_source(SIMULATED_ID)
    qtbot.waitUntil(lambda: "taken out of the library" in loaded.message_line.text, timeout=20000)
    loaded[Comparisons].references.library.undo()
    comparing.renew_source(SIMULATED_ID)
    qtbot.waitUntil(lambda: comparing.stage.second.frame is not None, timeout=20000)
