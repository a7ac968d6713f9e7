"""A curve read from a photo with real clicks, kept, compared with, rowed towards, taken back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from analysis.force.target import sample_target
from app.review.parts.read_curves import AddReadCurves, ReadCurve
from app.window.features.curve_picture.picture_reading import PictureReading
from app.window.features.curve_picture.picture_sheet import PictureSheet
from app.window.features.curve_picture.read_panel import ReadPanel
from app.window.features.curve_picture.reading_dialog import ReadingDialog
from app.window.features.curve_picture.shown_curves import ShownCurves
from app.window.main_window import MainWindow
from app.window.session.incoming_files import IncomingFiles
from app.window.tasks.message_line import Offer
from tests.app.window.conftest import open_and_wait
from tests.benchmarks.reading_pictures import free_spot
from tests.helpers.pictured_curves import Pictured

# Half a sine of 600 N, as the athlete of the recorded piece rows it, a tenth later.
HALF_SINE = tuple((i, float(600.0 * np.sin(np.pi * (i / 100.0) ** 1.15)), 5.0) for i in range(101))
READ = ReadCurve("r", "club mean", "photo.jpg", "time", True, 0.8, HALF_SINE)


def opened(bench: MainWindow, qtbot: QtBot, photo: Path) -> ReadingDialog:
    bench[PictureReading].read_file(photo)
    settled(bench, qtbot)
    (dialog,) = bench.findChildren(ReadingDialog)
    settled(bench, qtbot)
    return dialog


def settled(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=30000)


def click(qtbot: QtBot, sheet: PictureSheet, place: np.ndarray) -> None:
    at = sheet.to_widget(float(place[0]), float(place[1])).toPoint()
    qtbot.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=at)


def calibrate(qtbot: QtBot, dialog: ReadingDialog, seen: Pictured) -> None:
    for place in (*seen.along_places, *seen.force_places):
        click(qtbot, dialog.sheet, place)
    dialog.along.values["along 2"].setValue(seen.along_ticks[1])
    dialog.force.values["force 2"].setValue(seen.force_ticks[1])


def test_two_curves_of_a_photo_are_read_with_six_clicks(
    loaded: MainWindow, qtbot: QtBot, photo: Path, pictured: Pictured
) -> None:
    dialog = opened(loaded, qtbot, photo)
    assert dialog.setting.corners is not None and pictured.corners is not None
    assert np.abs(np.array(dialog.setting.corners) - pictured.corners).max() < 2.0
    assert not dialog.keep_button.isEnabled()
    calibrate(qtbot, dialog, pictured)
    for which in (0, 1):
        click(qtbot, dialog.sheet, free_spot(pictured, which))
        settled(loaded, qtbot)
    assert dialog.keep_button.text() == "Keep 2 curves"
    dialog.accept()
    kept = loaded.session.state.read_curves
    assert [c.name for c in kept] == ["monitor", "monitor 2"]
    for read, truth in zip(kept, pictured.curves, strict=True):
        assert read.axis == "time" and read.has_scale and read.source == "monitor.jpg"
        top = max(read.points, key=lambda point: point[1])
        assert top[1] == pytest.approx(truth[:, 1].max(), abs=0.02 * pictured.full_n)
        assert 0.0 < top[2] < 0.02 * pictured.full_n
    loaded.session.undo()
    assert loaded.session.state.read_curves == (), "one picture is one step"


def test_a_shape_without_any_scale_needs_its_zero_line_only(
    loaded: MainWindow, qtbot: QtBot, photo: Path, pictured: Pictured
) -> None:
    dialog = opened(loaded, qtbot, photo)
    for fields in (dialog.along, dialog.force):
        fields.unit.setCurrentIndex(fields.unit.findData(""))
        fields.unit_changed.emit("")
    settled(loaded, qtbot)
    assert dialog.setting.missing() == ("force 1",)
    dialog.arm("force 1")
    click(qtbot, dialog.sheet, pictured.force_places[0])
    click(qtbot, dialog.sheet, free_spot(pictured, 0))
    settled(loaded, qtbot)
    assert "shape only" in dialog.lines.words[0]
    dialog.accept()
    (read,) = loaded.session.state.read_curves
    assert not read.has_scale and read.axis == "unknown" and read.extent is None
    assert max(value for _p, value, _sd in read.points) == pytest.approx(1.0, abs=0.01)


def test_the_pen_the_arrows_and_what_is_said_where_there_is_no_line(
    loaded: MainWindow, qtbot: QtBot, photo: Path, pictured: Pictured
) -> None:
    dialog = opened(loaded, qtbot, photo)
    calibrate(qtbot, dialog, pictured)
    before = dict(dialog.setting.places)["force 2"]
    qtbot.keyClick(dialog.sheet, Qt.Key.Key_Up)
    after = dict(dialog.setting.places)["force 2"]
    assert after[1] == pytest.approx(before[1] - 1.0)
    dialog.arm("pen")
    places = [dialog.sheet.to_widget(*p).toPoint() for p in pictured.lines[0][::12]]
    qtbot.mousePress(dialog.sheet, Qt.MouseButton.LeftButton, pos=places[0])
    for place in places:
        qtbot.mouseMove(dialog.sheet, place)
    qtbot.mouseRelease(dialog.sheet, Qt.MouseButton.LeftButton, pos=places[-1])
    settled(loaded, qtbot)
    assert dialog.lines.words[0].startswith("peak ")
    dialog.arm("pick")
    click(qtbot, dialog.sheet, pictured.corners.mean(axis=0) * [1.0, 0.0] + [0.0, 3.0])
    settled(loaded, qtbot)
    assert "click on the line itself" in dialog.lines.words[1]
    dialog.lines.removed.emit(1)
    assert len(dialog.strokes) == 1
    dialog.lines.renamed.emit(0, "Sunday")
    dialog.accept()
    assert loaded.session.state.read_curves[0].name == "Sunday"


def test_crossed_corners_are_said_and_can_be_dragged_back(
    loaded: MainWindow, qtbot: QtBot, photo: Path
) -> None:
    dialog = opened(loaded, qtbot, photo)
    good = dialog.setting.corners
    assert good is not None
    dialog._place("corner 0", good[2])
    dialog._released("corner 0")
    settled(loaded, qtbot)
    assert "cross each other" in dialog.said.text()
    dialog._place("corner 0", good[0])
    dialog._released("corner 0")
    settled(loaded, qtbot)
    assert "cross" not in dialog.said.text() and dialog.setting.dragged
    dialog.reject()


def test_a_dropped_picture_leads_to_the_reading(
    bench: MainWindow, submission: Path, qtbot: QtBot, photo: Path
) -> None:
    said: list[tuple[str, tuple[Offer, ...]]] = []
    bench.messages.said.connect(lambda text, _bad, offers: said.append((text, offers)))
    bench[IncomingFiles].open([photo])
    assert "open the athlete's film or force file first" in said[-1][0]
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    bench[IncomingFiles].open([photo])
    (offer,) = said[-1][1]
    assert offer.text == "Read the curve from this picture"


def test_a_damaged_picture_is_one_sentence(
    loaded: MainWindow, qtbot: QtBot, tmp_path: Path
) -> None:
    said: list[str] = []
    loaded.messages.said.connect(lambda text, _bad, _offers: said.append(text))
    bad = tmp_path / "bad.jpg"
    bad.write_bytes(b"\xff\xd8\xff\xe0nothing")
    loaded[PictureReading].read_file(bad)
    settled(loaded, qtbot)
    assert "not a whole JPEG or PNG picture" in said[-1]
    assert not loaded.findChildren(ReadingDialog)


def test_a_frame_of_the_film_is_a_picture_too(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded[PictureReading].read_frame()
    settled(loaded, qtbot)
    (dialog,) = loaded.findChildren(ReadingDialog)
    assert "the film at" in dialog.windowTitle()
    dialog.reject()


def test_a_kept_curve_is_drawn_compared_rowed_towards_and_hidden(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    panel = loaded.findChild(ReadPanel)
    assert panel is not None and panel.isHidden()
    plain = len(loaded.curve.shown)
    loaded.session.do(AddReadCurves((READ,)))
    assert not panel.isHidden() and len(loaded.curve.shown) > plain
    assert panel.words.text().startswith("Read from a picture: peak at 55 %")
    qtbot.mouseClick(panel.target, Qt.MouseButton.LeftButton)
    target = loaded.session.state.target
    assert target is not None and "read from a picture" in target.name
    curve = sample_target(target)
    mean = loaded.view.curves
    assert mean is not None
    own = float(np.trapezoid(mean.mean))
    assert np.trapezoid(curve) == pytest.approx(own, rel=0.01), "no stronger athlete is asked for"
    assert int(curve.argmax()) == pytest.approx(55, abs=2)
    loaded.session.undo()
    assert loaded.session.state.target is None
    qtbot.mouseClick(panel.hide_button, Qt.MouseButton.LeftButton)
    assert len(loaded.curve.shown) == plain
    assert not loaded.session.state.read_curves[0].shown
    loaded[ShownCurves].remove()
    assert panel.isHidden()
    loaded.session.undo()
    assert not panel.isHidden()


def test_a_shape_is_as_high_as_the_mean_and_a_holed_one_no_target(loaded: MainWindow) -> None:
    shape = replace(READ, has_scale=False, points=tuple((p, v / 600, s) for p, v, s in HALF_SINE))
    loaded.session.do(AddReadCurves((shape,)))
    loaded[ShownCurves].use_as_target()
    target, mean = loaded.session.state.target, loaded.view.curves
    assert target is not None and target.hold_equal and mean is not None
    assert np.trapezoid(sample_target(target)) == pytest.approx(np.trapezoid(mean.mean), rel=0.01)
    loaded.session.undo()
    holed = replace(READ, id="h", points=HALF_SINE[:40] + HALF_SINE[60:])
    loaded.session.do(AddReadCurves((holed,)))
    loaded[ShownCurves].choose("h")
    loaded[ShownCurves].use_as_target()
    assert loaded.session.state.target is None


def test_the_dialog_fits_a_small_screen(loaded: MainWindow, qtbot: QtBot, photo: Path) -> None:
    dialog = opened(loaded, qtbot, photo)
    dialog.resize(850, 530)
    qtbot.waitUntil(lambda: dialog.sheet.width() > 100)
    assert dialog.width() == 850 and dialog.height() == 530
    inside = dialog.rect()
    for widget in (
        dialog.sheet,
        dialog.keep_button,
        dialog.said,
        *dialog.findChildren(QToolButton),
    ):
        if widget.isVisibleTo(dialog) and widget.window() is dialog:
            corner = widget.mapTo(dialog, QPoint(widget.width() - 1, 0))
            assert corner.x() <= inside.right(), widget
    assert dialog.sheet.width() > 400 and dialog.sheet.height() > 350
    dialog.reject()
