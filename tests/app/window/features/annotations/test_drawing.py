"""Drawing with a real mouse on the shown picture, however it is turned, mirrored and zoomed."""

from __future__ import annotations

import math

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.review.file.store import read_review
from app.review.mark_shapes import angle_deg, length_px
from app.review.parts.marks import MARK_COLOURS
from app.review.parts.picture import PictureTurn, TurnPicture
from app.window.features.annotations.annotation_tools import AnnotationTools
from app.window.features.annotations.drawing import Drawing
from app.window.features.annotations.drawing_bar import DrawingBar
from app.window.main_window import MainWindow
from tests.app.window.unsaved import saved

Key = Qt.Key
LEFT = Qt.MouseButton.LeftButton
SIZE = (320, 180)


def on_screen(bench: MainWindow, x: float, y: float) -> QPoint:
    """Widget pixel of a video pixel."""
    return bench.picture.video_transform().map(QPointF(x, y)).toPoint()


def drag(bench: MainWindow, *points: tuple[float, float]) -> None:
    """Press, move and let go with the mouse, at video pixels."""
    places = [on_screen(bench, *p) for p in points]
    QTest.mousePress(bench[AnnotationTools].marks, LEFT, pos=places[0])
    for place in places[1:]:
        QTest.mouseMove(bench[AnnotationTools].marks, place)
    QTest.mouseRelease(bench[AnnotationTools].marks, LEFT, pos=places[-1])


def go_to_frame(bench: MainWindow, qtbot: QtBot, frame: int) -> None:
    footage = bench.session.footage
    assert footage is not None
    bench.playhead.seek(float(footage.index.time_s[frame]))
    qtbot.waitUntil(
        lambda: bench.picture.frame is not None and bench.picture.frame.index == frame,
        timeout=10000,
    )


def seen_at(bench: MainWindow, place: QPoint, name: str) -> bool:
    """Whether a colour is on the screen at a place, to the pixel beside it."""
    image = bench.picture.grab().toImage()
    around = [place + QPoint(dx, dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
    return any(near(image.pixelColor(p), name) for p in around)


def near(colour: QColor, name: str) -> bool:
    wanted = QColor(MARK_COLOURS[name])
    pairs = zip(colour.getRgb()[:3], wanted.getRgb()[:3], strict=True)
    return all(abs(a - b) < 40 for a, b in pairs)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("zoom", [1.0, 2.5])
def test_a_line_lies_on_the_pixels_under_the_mouse(
    loaded: MainWindow, qtbot: QtBot, mirrored: bool, zoom: float
) -> None:
    for quarter in range(4):
        _draw_from_the_corner(loaded, qtbot, PictureTurn(quarter, mirrored), zoom)
        loaded.session.undo()
        assert loaded.session.state.marks == ()


def _draw_from_the_corner(loaded: MainWindow, qtbot: QtBot, turn: PictureTurn, zoom: float) -> None:
    if loaded.session.state.turn != turn:
        loaded.session.do(TurnPicture(turn))
    loaded.picture.zoom_to_fit()
    # The clip's lower left corner is red, whichever way it is shown.
    corner = (20.0, 165.0)
    loaded.picture.zoom_by(zoom, QPointF(on_screen(loaded, *corner)))
    place = on_screen(loaded, *corner)
    shown = loaded.picture.grab().toImage().pixelColor(place)
    assert shown.red() > 150 and shown.green() < 90
    qtbot.keyClick(loaded, Key.Key_1)
    drag(loaded, corner, (45.0, 120.0), (60.0, 80.0))
    (mark,) = loaded.session.state.marks
    a_widget_pixel = 1.0 / math.sqrt(abs(loaded.picture.video_transform().determinant()))
    for got, wanted in zip(mark.points_px, (corner, (60.0, 80.0)), strict=True):
        assert math.dist(got, wanted) <= a_widget_pixel
    middle = on_screen(loaded, 40.0, 122.5)
    assert seen_at(loaded, middle, "yellow")
    assert read_review(saved(loaded, qtbot)).marks == (mark,)


def test_a_mark_moves_with_turn_mirror_and_zoom(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Key.Key_1)
    drag(loaded, (60.0, 150.0), (200.0, 60.0))
    for turn in (PictureTurn(1), PictureTurn(2, True), PictureTurn(0, True), PictureTurn()):
        loaded.session.do(TurnPicture(turn))
        loaded.picture.zoom_to_fit()
        loaded.picture.zoom_by(1.6)
        place = on_screen(loaded, 130.0, 105.0)
        assert seen_at(loaded, place, "yellow")


def test_a_mark_stands_on_its_frame_only_until_it_gets_a_span(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    go_to_frame(loaded, qtbot, 10)
    qtbot.keyClick(loaded, Key.Key_2)
    drag(loaded, (60.0, 150.0), (200.0, 60.0))
    assert len(loaded[Drawing].shown) == 1
    for frame in (9, 11):
        go_to_frame(loaded, qtbot, frame)
        assert loaded[Drawing].shown == ()
    go_to_frame(loaded, qtbot, 14)
    loaded.menus.actions["mark_to_here"].trigger()
    for frame, count in ((9, 0), (10, 1), (12, 1), (14, 1), (15, 0)):
        go_to_frame(loaded, qtbot, frame)
        assert len(loaded[Drawing].shown) == count, frame


def test_an_angle_by_drag_and_click_says_its_degrees(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Key.Key_5)
    drag(loaded, (220.0, 120.0), (100.0, 120.0))
    assert loaded.session.state.marks == ()
    drag(loaded, (100.0, 40.0))
    (mark,) = loaded.session.state.marks
    assert mark.kind == "angle" and angle_deg(mark.points_px) == pytest.approx(90.0, abs=1.5)
    for place in ((220.0, 150.0), (150.0, 150.0), (150.0, 60.0)):  # or by three clicks
        drag(loaded, place)
    assert [m.kind for m in loaded.session.state.marks] == ["angle", "angle"]


def test_plumb_and_level_are_straight_as_seen(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.session.do(TurnPicture(PictureTurn(1)))
    qtbot.keyClick(loaded, Key.Key_6)
    drag(loaded, (100.0, 50.0), (220.0, 58.0))
    qtbot.keyClick(loaded, Key.Key_7)
    drag(loaded, (100.0, 50.0), (105.0, 120.0))
    plumb, level = loaded.session.state.marks
    assert plumb.points_px[0][1] == plumb.points_px[1][1]  # upright on a picture lying on its side
    assert level.points_px[0][0] == level.points_px[1][0]


def test_freehand_circle_and_words(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Key.Key_3)
    drag(loaded, *[(60.0 + 2 * i, 100.0 + 20 * math.sin(i / 8)) for i in range(60)])
    qtbot.keyClick(loaded, Key.Key_4)
    drag(loaded, (100.0, 40.0), (160.0, 100.0))
    qtbot.keyClick(loaded, Key.Key_8)
    QTest.mouseClick(loaded[AnnotationTools].marks, LEFT, pos=on_screen(loaded, 150.0, 120.0))
    qtbot.keyClicks(loaded[AnnotationTools].marks._words, "Hands first")
    qtbot.keyClick(loaded[AnnotationTools].marks._words, Key.Key_Return)
    freehand, circle, words = loaded.session.state.marks
    assert 5 < len(freehand.points_px) <= 61
    assert (circle.kind, words.text) == ("circle", "Hands first")
    QTest.mouseClick(loaded[AnnotationTools].marks, LEFT, pos=on_screen(loaded, 150.0, 150.0))
    qtbot.keyClicks(loaded[AnnotationTools].marks._words, "never mind")
    qtbot.keyClick(loaded[AnnotationTools].marks._words, Key.Key_Escape)
    assert len(loaded.session.state.marks) == 3 and loaded[Drawing].is_on


def test_choosing_moving_colouring_copying_deleting_and_undoing(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    qtbot.keyClick(loaded, Key.Key_1)
    drag(loaded, (60.0, 150.0), (200.0, 60.0))
    drag(loaded, (200.0, 60.0), (210.0, 80.0), (220.0, 100.0))  # its end is in hand
    qtbot.keyClick(loaded, Key.Key_P)
    drag(loaded, (140.0, 125.0), (145.0, 125.0), (150.0, 125.0))  # all of it, 10 to the right
    (mark,) = loaded.session.state.marks
    assert mark.points_px[0] == pytest.approx((70.0, 150.0), abs=1.0)
    assert mark.points_px[1] == pytest.approx((230.0, 100.0), abs=1.0)
    loaded.menus.actions["mark_colour"].trigger()
    go_to_frame(loaded, qtbot, 5)
    loaded.menus.actions["mark_copy"].trigger()
    first, copy = loaded.session.state.marks
    assert (first.colour, copy.colour, copy.points_px) == ("blue", "blue", first.points_px)
    assert copy.video_s == pytest.approx(loaded.playhead.time_s)
    qtbot.keyClick(loaded[AnnotationTools].marks, Key.Key_Delete)
    assert len(loaded.session.state.marks) == 1
    for _ in range(6):
        loaded.session.undo()
    assert loaded.session.state.marks == ()
    for _ in range(6):
        loaded.session.redo()
    assert loaded.session.state.marks == (first,)


def test_one_real_length_scales_all_distances(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Key.Key_9)
    drag(loaded, (60.0, 120.0), (160.0, 120.0))
    bar = loaded.findChild(DrawingBar)
    assert bar is not None and bar._length.isVisible()
    bar._length.setValue(2.0)
    (mark,) = loaded.session.state.marks
    assert loaded.session.state.metres_per_px == pytest.approx(2.0 / length_px(mark.points_px))
    drag(loaded, (60.0, 60.0), (110.0, 60.0))
    assert bar._length.value() == pytest.approx(1.0, abs=0.03)


def test_everything_by_mouse_alone(loaded: MainWindow, qtbot: QtBot) -> None:
    (begin,) = [b for b in loaded.tasks.findChildren(QToolButton) if b.text() == "Draw"]
    QTest.mouseClick(begin, LEFT)
    bar = loaded.findChild(DrawingBar)
    assert bar is not None and bar.isVisible()
    QTest.mouseClick(bar._tools["arrow"], LEFT)
    QTest.mouseClick(bar._colours["red"], LEFT)
    drag(loaded, (60.0, 150.0), (200.0, 60.0))
    (mark,) = loaded.session.state.marks
    assert (mark.kind, mark.colour) == ("arrow", "red")
    QTest.mouseClick(bar._deeds["mark_delete"], LEFT)
    assert loaded.session.state.marks == ()
    QTest.mouseClick(bar._deeds["draw_stop"], LEFT)
    assert not bar.isVisible() and not loaded[Drawing].is_on


def test_escape_drops_what_is_half_drawn_then_leaves(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Key.Key_5)
    drag(loaded, (220.0, 120.0), (100.0, 120.0))
    qtbot.keyClick(loaded, Key.Key_Escape)
    assert loaded[Drawing].is_on and loaded[AnnotationTools].marks._points == []
    qtbot.keyClick(loaded, Key.Key_Escape)
    assert not loaded[Drawing].is_on and loaded.session.state.marks == ()


def test_the_pen_does_not_move_a_zoomed_picture_but_the_middle_button_does(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    loaded.picture.zoom_by(3.0)
    qtbot.keyClick(loaded, Key.Key_1)
    zoom = loaded.picture.zoom
    drag(loaded, (150.0, 80.0), (170.0, 100.0))
    assert loaded.picture.zoom == zoom and len(loaded.session.state.marks) == 1
    middle = Qt.MouseButton.MiddleButton
    start = loaded.picture.rect().center()
    QTest.mousePress(loaded[AnnotationTools].marks, middle, pos=start)
    QTest.mouseMove(loaded[AnnotationTools].marks, start + QPoint(40, 10))
    QTest.mouseRelease(loaded[AnnotationTools].marks, middle, pos=start + QPoint(40, 10))
    assert loaded.picture.zoom != zoom and len(loaded.session.state.marks) == 1


def test_drawn_while_time_runs_it_stays_long_enough_to_be_seen(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    qtbot.keyClick(loaded, Key.Key_1)
    loaded.playhead.toggle()
    drag(loaded, (60.0, 150.0), (200.0, 60.0))
    assert loaded.playhead.is_playing
    loaded.playhead.pause()
    (mark,) = loaded.session.state.marks
    assert mark.end_s is not None and mark.end_s - mark.video_s >= 1.0


def test_under_the_glass_a_mark_stands_on_what_it_was_drawn_on(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    loaded[Drawing].use("line")
    loaded[Drawing].set_colour("red")
    drag(loaded, (100.0, 90.0), (220.0, 90.0))
    loaded[Drawing].stop()
    loaded.picture.toggle_lens()
    centre = QPointF(on_screen(loaded, 160.0, 84.0))
    loaded.picture.carry_lens(centre)
    lens = loaded.picture.lens()
    assert lens is not None
    drawn = QPointF(on_screen(loaded, 160.0, 90.0))
    shown = lens[1].map(drawn)
    assert math.hypot(*(shown - centre).toTuple()) > math.hypot(*(drawn - centre).toTuple())
    assert seen_at(loaded, shown.toPoint(), "red"), "it grew with the picture"
    assert not seen_at(loaded, drawn.toPoint(), "red"), "and is not left where it was"
    assert seen_at(loaded, on_screen(loaded, 101.0, 90.0), "red"), "beside the glass it is as ever"
    loaded.picture.toggle_lens()
    assert seen_at(loaded, drawn.toPoint(), "red")


def test_a_freehand_line_is_bent_by_its_handles_and_moved_by_arrows(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    loaded.session.do(TurnPicture(PictureTurn(1, True)))
    qtbot.keyClick(loaded, Key.Key_3)
    drag(loaded, (60.0, 60.0), (100.0, 60.0), (200.0, 60.0))
    assert loaded.session.review is not None
    steps = len(loaded.session.review._history._done)
    drawn = loaded.session.state.marks[0].points_px
    qtbot.keyClick(loaded, Key.Key_P)
    loaded[Drawing].choose(loaded.session.state.marks[0].id)
    handles = loaded[AnnotationTools].marks._handles(loaded.session.state.marks[0])
    assert len(handles) >= 3
    middle = handles[len(handles) // 2]
    drag(loaded, middle, (middle[0], 90.0), (middle[0], 110.0))
    bent = loaded.session.state.marks[0].points_px
    assert bent[0] == pytest.approx(drawn[0]) and bent[-1] == pytest.approx(drawn[-1])
    assert max(y for _x, y in bent) == pytest.approx(110.0, abs=3)
    assert len(loaded.session.review._history._done) == steps + 1
    before = on_screen(loaded, *bent[0])
    for _ in range(4):
        loaded.menus.actions["mark_right"].trigger()
    after = on_screen(loaded, *loaded.session.state.marks[0].points_px[0])
    assert after.x() > before.x() and after.y() == before.y()
    assert len(loaded.session.review._history._done) == steps + 2
    for wanted in (bent, drawn):
        loaded.menus.actions["undo"].trigger()
        assert loaded.session.state.marks[0].points_px == wanted
