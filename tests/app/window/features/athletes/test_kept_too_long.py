"""What is older than the limit is shown, and goes only on a yes that is given twice."""

from __future__ import annotations

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.library.library import Library
from app.library.overview import athletes
from app.library.record import store
from app.submission.my_defaults import read_defaults
from app.window.features.athletes.deletion_dialog import DELETE, SURE, words_of
from app.window.features.athletes.retention import Retention
from app.window.features.athletes.retention_dialog import NO_LIMIT, RetentionDialog
from app.window.main_window import MainWindow
from app.window.session import coach_library
from tests.helpers.library_rows import told_review


def shown(bench: MainWindow, qtbot: QtBot) -> RetentionDialog:
    bench.menus.actions["kept_too_long"].trigger()
    dialog = bench[Retention].dialog
    assert dialog is not None
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)
    return dialog


def fill() -> None:
    """Ada was reviewed long ago; Ben never stops."""
    old = told_review("Ada", 1)
    late = told_review("Ben", 2)
    with Library.open(coach_library.own_file()) as library:
        store(library, [old, late])
        with library.writing() as connection:
            connection.exec_driver_sql(
                "UPDATE submission SET rowed_on = '2001-02-05' WHERE id = ?", (old.submission_id,)
            )
            connection.exec_driver_sql(
                "UPDATE submission SET rowed_on = '8000-02-05' WHERE id = ?", (late.submission_id,)
            )


def test_without_a_limit_nothing_is_listed(bench: MainWindow, qtbot: QtBot) -> None:
    dialog = shown(bench, qtbot)
    assert dialog.state.text() == NO_LIMIT and not dialog.delete.isEnabled()
    assert not coach_library.own_file().exists()


def test_the_limit_is_kept_and_a_yes_is_asked_twice(bench: MainWindow, qtbot: QtBot) -> None:
    fill()
    dialog = shown(bench, qtbot)
    dialog.limit.setValue(24)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)
    assert read_defaults().keep_months == 24
    (item,) = (dialog.rows.item(n) for n in range(dialog.rows.count()))
    assert item.text() == "Ada  ·  1 review, 2001-02-05  ·  all there is of them"
    assert words_of(item.data(Qt.ItemDataRole.UserRole)) == item.text()
    assert not dialog.delete.isEnabled(), "nothing is ticked by itself"
    item.setCheckState(Qt.CheckState.Checked)
    dialog.delete.click()
    assert dialog.delete.text() == SURE and "gone for good" in dialog.state.text()
    dialog.media.setChecked(True)
    assert dialog.delete.text() == DELETE, "a yes was to something else"
    dialog.delete.click()
    dialog.delete.click()
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)
    assert dialog.rows.count() == 0
    assert "What remains elsewhere" in dialog.remains.text()
    with Library.open(coach_library.own_file()) as library:
        assert [one.athlete.name for one in athletes(library)] == ["Ben"]


def test_closing_while_the_library_is_asked_harms_nothing(bench: MainWindow, qtbot: QtBot) -> None:
    fill()
    bench.session.own.change(lambda mine: mine, "")
    bench[Retention].show()
    dialog = bench[Retention].dialog
    assert dialog is not None
    dialog.limit.setValue(12)
    dialog.close()
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)
    assert bench[Retention].dialog is None
