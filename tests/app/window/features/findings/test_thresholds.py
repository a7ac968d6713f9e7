"""Changing what the findings are held against."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from analysis.findings.catalogue import read_catalogue
from analysis.findings.thresholds import TABLE
from app.submission.my_defaults import read_defaults
from app.window.features.findings.findings import Findings
from app.window.features.findings.thresholds import MINE, OWN, ThresholdsDialog
from app.window.main_window import MainWindow


def test_a_changed_threshold_is_kept_undone_and_given_back(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    loaded.menus.actions["thresholds"].trigger()
    dialog = loaded.findChild(ThresholdsDialog)
    assert dialog is not None
    own = TABLE[0]
    box = dialog._boxes[own.name]
    box.setValue(own.value + 2)
    assert dict(loaded.session.state.thresholds) == {own.name: own.value + 2}
    loaded.menus.actions["undo"].trigger()
    assert loaded.session.state.thresholds == ()
    assert box.value() == own.value
    loaded.menus.actions["redo"].trigger()
    dialog._resets[own.name].click()
    assert loaded.session.state.thresholds == ()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    dialog.close()


def test_numbers_stand_under_their_finding_in_words(loaded: MainWindow, qtbot: QtBot) -> None:
    dialog = ThresholdsDialog(loaded.session)
    qtbot.addWidget(dialog)
    words = [label.text() for label in dialog.findChildren(QLabel)]
    titles = {entry.title for entry in read_catalogue().entries.values()}
    codes = {threshold.name.split(".")[0] for threshold in TABLE}
    headings = [word for word in words if word in titles]
    assert len(headings) == len(set(headings)) >= len(codes) - 5
    # The names of the table are for files; a coach reads what each number decides.
    assert not {threshold.name for threshold in TABLE} & set(words)
    assert "severity 1" not in words
    assert set(dialog._boxes) == {threshold.name for threshold in TABLE}


def settled(qtbot: QtBot, bench: MainWindow) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def test_numbers_are_used_in_all_reviews_and_one_overrules(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    dialog = ThresholdsDialog(loaded.session)
    qtbot.addWidget(dialog)
    row, for_all = TABLE[0], dialog.for_all
    box = dialog._boxes[row.name]
    assert not for_all.use.isEnabled() and not for_all.forget.isEnabled()
    box.setValue(row.value + 2)
    assert box.prefix() == OWN and read_defaults().thresholds == ()
    for_all.use.click()
    assert read_defaults().thresholds == ((row.name, row.value + 2),)
    # The review has none of its own any more, and is judged by those of all.
    assert loaded.session.state.thresholds == ()
    assert box.value() == row.value + 2 and box.prefix() == MINE
    assert loaded.session.submission.mine.thresholds == ((row.name, row.value + 2),)
    # This review overrules, also with what is shipped; and goes back to what holds in all.
    box.setValue(row.value)
    assert loaded.session.state.thresholds == ((row.name, row.value),)
    for_all.back.click()
    assert loaded.session.state.thresholds == () and box.value() == row.value + 2
    loaded.menus.actions["undo"].trigger()
    assert box.value() == row.value
    for_all.back.click()
    for_all.forget.click()
    assert read_defaults().thresholds == () and box.value() == row.value
    assert not for_all.forget.isEnabled()
    settled(qtbot, loaded)


def test_the_findings_follow_what_holds_in_all(loaded: MainWindow, qtbot: QtBot) -> None:
    findings = loaded[Findings]
    qtbot.waitUntil(lambda: bool(findings.found), timeout=20000)
    before = {f.code for f in findings.found}
    blind = (("share-from", 1.0), ("fewest-strokes", 100.0), ("give.depth", 100.0))
    loaded.session.own.change(lambda mine: replace(mine, thresholds=blind), "Done.")
    settled(qtbot, loaded)
    assert findings.found == loaded.session.submission.findings
    assert all(f.remarks for f in findings.found) or {f.code for f in findings.found} != before


def test_a_number_is_shown_whole_and_without_needless_zeros(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    dialog = ThresholdsDialog(loaded.session)
    qtbot.addWidget(dialog)
    assert dialog._boxes["body-sure"].text() == "1.28 times"
    assert dialog._boxes["leads"].text() == "3 findings"
    assert dialog._boxes["give.strong"].text() == "35 % of peak"


def test_a_closed_dialog_is_not_told_of_later_defaults(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.menus.actions["thresholds"].trigger()
    dialog = loaded.findChild(ThresholdsDialog)
    assert dialog is not None
    with qtbot.waitSignal(dialog.destroyed):
        dialog.close()
    with qtbot.captureExceptions() as failed:
        loaded.session.own.changed.emit()
    assert not failed
