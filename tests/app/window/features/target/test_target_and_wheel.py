"""What the target would change, and the strip of a stroke."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.window.features.stroke_strip.strips import Strips
from app.window.features.target.feature import TargetFeature
from app.window.features.target.flywheel_dialog import FlywheelDialog
from app.window.features.target.target_panel import TargetPanel
from app.window.main_window import MainWindow


def test_the_table_follows_target_and_flywheel(loaded: MainWindow, qtbot: QtBot) -> None:
    with qtbot.waitSignal(
        loaded[TargetFeature].wheel.told, timeout=20000, check_params_cb=bool
    ) as told:
        qtbot.keyClick(loaded, Qt.Key.Key_T)
    first = told.args[0]
    assert first.after.work_j == pytest.approx(first.before.work_j, rel=1e-6)
    loaded.menus.actions["flywheel"].trigger()
    dialog = loaded.findChild(FlywheelDialog)
    assert dialog is not None
    with qtbot.waitSignal(
        loaded[TargetFeature].wheel.told, timeout=20000, check_params_cb=bool
    ) as told:
        dialog.boxes["inertia_kgm2"].setValue(0.2)
    assert loaded.session.state.flywheel.inertia_kgm2 == pytest.approx(0.2)
    # Twice the inertia swings less.
    assert told.args[0].before.fluctuation_pct < first.before.fluctuation_pct
    loaded.menus.actions["undo"].trigger()
    assert loaded.session.state.flywheel.inertia_kgm2 == pytest.approx(0.1)
    dialog.close()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)


def _is(panel: TargetPanel, low: bool) -> bool:
    return panel.is_low == low


def test_the_curve_keeps_its_height_with_a_target_at_1280_by_800(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    """What a flywheel would do gives way to it, and is told where the pointer rests."""
    with qtbot.waitSignal(loaded[TargetFeature].wheel.told, timeout=20000, check_params_cb=bool):
        qtbot.keyClick(loaded, Qt.Key.Key_T)
    panel = loaded.findChild(TargetPanel)
    assert panel is not None
    for size, is_low in (((1280, 800), True), ((1900, 1400), False)):
        loaded.resize(*size)
        qtbot.waitUntil(partial(_is, panel, is_low))
        wheel = [w for w in panel.findChildren(QLabel) if w.text() == "Peak power"]
        assert [w.isVisible() for w in wheel] == [not is_low]
        peak = next(w for w in panel.findChildren(QLabel) if w.text() == "Peak")
        assert ("Peak power: " in peak.toolTip()) == is_low
        qtbot.waitUntil(lambda: loaded.curve.getViewBox().rect().height() >= 150)
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)


@pytest.fixture
def dialog(loaded: MainWindow) -> FlywheelDialog:
    loaded.menus.actions["flywheel"].trigger()
    found = loaded.findChild(FlywheelDialog)
    assert found is not None
    return found


def test_a_monitors_drag_is_taken_as_it_is_read(loaded: MainWindow, dialog: FlywheelDialog) -> None:
    dialog.reading.setValue(105.0)
    flywheel = loaded.session.state.flywheel
    assert flywheel.drag_nms2 == pytest.approx(105e-6)
    assert 0.0 < flywheel.drag_sd < 0.1 * flywheel.drag_nms2
    dialog.close()


def test_a_run_that_was_timed_gives_the_drag_for_this_inertia(
    loaded: MainWindow, dialog: FlywheelDialog
) -> None:
    dialog.first.setValue(10.0)
    dialog.later.setValue(5.0)
    dialog.between.setValue(4.0)
    dialog.use_timed.click()
    # I dw/dt = -k w^2, so k = I (1/w2 - 1/w1) / t with w in radians a second.
    by_hand = 0.1 * (1 / (5.0 * 6.283185307) - 1 / (10.0 * 6.283185307)) / 4.0
    assert loaded.session.state.flywheel.drag_nms2 == pytest.approx(by_hand, rel=1e-6)
    assert dialog.reading.value() == pytest.approx(round(by_hand * 1e6))
    dialog.later.setValue(11.0)
    dialog.use_timed.click()
    assert "slows down" in dialog.said.text()
    assert loaded.session.state.flywheel.drag_nms2 == pytest.approx(by_hand, rel=1e-6)
    dialog.close()


def test_the_strip_is_shown_and_written(loaded: MainWindow, submission: Path, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Qt.Key.Key_Down)
    qtbot.keyClick(loaded, Qt.Key.Key_V)
    assert loaded[Strips].is_shown
    shown = loaded.stage.currentWidget()
    qtbot.waitUntil(lambda: shown.pixmap().width() > 200, timeout=20000)  # type: ignore[attr-defined]
    loaded.menus.actions["save_strip"].trigger()
    png, svg = submission / "piece-stroke-1.png", submission / "piece-stroke-1.svg"
    qtbot.waitUntil(lambda: png.exists() and not loaded.jobs.running, timeout=20000)
    assert QImage(str(png)).width() == 2000
    assert "<svg" in svg.read_text("utf-8")
    qtbot.keyClick(loaded, Qt.Key.Key_V)
    assert not loaded[Strips].is_shown
