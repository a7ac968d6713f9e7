"""A flywheel for all reviews, one for this review, and the coach's list of them."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from analysis.force.coast_down import FlywheelModel
from app.submission.my_defaults import read_defaults
from app.window.features.target.flywheel_dialog import FlywheelDialog
from app.window.main_window import MainWindow


@pytest.fixture
def dialog(loaded: MainWindow) -> FlywheelDialog:
    loaded.menus.actions["flywheel"].trigger()
    found = loaded.findChild(FlywheelDialog)
    assert found is not None
    return found


def test_a_flywheel_holds_in_all_and_one_review_overrules(
    loaded: MainWindow, dialog: FlywheelDialog, qtbot: QtBot
) -> None:
    session = loaded.session
    dialog.reading.setValue(131.0)
    assert read_defaults().flywheel is None
    dialog.for_all.use.click()
    mine = read_defaults().flywheel
    assert mine is not None and mine.drag_nms2 == pytest.approx(131e-6)
    # The review says nothing itself, and is reckoned on that of all.
    assert session.state.flywheel == FlywheelModel()
    assert session.submission.flywheel == mine and dialog.reading.value() == 131.0
    dialog.reading.setValue(99.0)
    assert session.submission.flywheel.drag_nms2 == pytest.approx(99e-6)
    assert read_defaults().flywheel == mine
    dialog.for_all.back.click()
    assert session.submission.flywheel == mine and dialog.reading.value() == 131.0
    dialog.for_all.forget.click()
    assert session.submission.flywheel == FlywheelModel() and dialog.reading.value() == 120.0
    dialog.close()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)


def test_flywheels_are_kept_under_names(loaded: MainWindow, dialog: FlywheelDialog) -> None:
    choice = dialog.choice
    assert not choice.choice.isEnabled()
    dialog.reading.setValue(140.0)
    choice.keep_as("  Club,\n heavy ")
    dialog.reading.setValue(100.0)
    assert [name for name, _ in read_defaults().flywheels] == ["Club, heavy"]
    assert choice.choice.currentIndex() == 0
    choice.choice.setCurrentIndex(1)
    choice.choice.activated.emit(1)
    assert loaded.session.state.flywheel.drag_nms2 == pytest.approx(140e-6)
    choice.remove.click()
    assert read_defaults().flywheels == ()
    assert loaded.session.state.flywheel.drag_nms2 == pytest.approx(140e-6)
    dialog.close()


def test_no_needless_zeros(dialog: FlywheelDialog) -> None:
    assert dialog.boxes["inertia_kgm2"].text() == "0.1 kg m²"
    assert dialog.boxes["sprocket_m"].text() == "13 mm"
    assert dialog.reading.text() == "120"
    dialog.boxes["sprocket_m"].setValue(13.25)
    assert dialog.boxes["sprocket_m"].text() == "13.25 mm"
    dialog.close()
