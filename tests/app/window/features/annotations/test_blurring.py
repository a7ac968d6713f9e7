"""Marking faces with a real mouse and real keys; they are followed, shown, put right and undone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.media.encode import ClipWriter
from app.review.file.store import read_review
from app.review.parts.blur import new_region, region_at
from app.review.parts.blurs import AddBlur
from app.review.parts.picture import PictureTurn, TurnPicture
from app.window.features.annotations.annotation_tools import AnnotationTools
from app.window.features.annotations.blur_bar import BlurBar
from app.window.features.annotations.blur_paint import FOLLOWED, LOST, WIDENED, handle_of, standing
from app.window.features.annotations.blurring import Blurring
from app.window.features.annotations.drawing import Drawing
from app.window.features.sending.sending import Sending
from app.window.main_window import MainWindow
from tests.app.window.conftest import open_and_wait
from tests.app.window.unsaved import saved

Key, Mod = Qt.Key, Qt.KeyboardModifier
LEFT = Qt.MouseButton.LeftButton
FRAMES, FPS, FACE = 30, 10, 40


def middle(i: int) -> tuple[float, float]:
    return 120.0 + 3.0 * i, 80.0


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A patch of noise that moves to the right over a slope."""
    path = tmp_path_factory.mktemp("faces") / "piece.mp4"
    rng = np.random.default_rng(4)
    face = np.kron(rng.integers(20, 230, (10, 10)), np.ones((4, 4))).astype(np.uint8)
    ground = np.broadcast_to(np.linspace(60, 150, 320), (180, 320)).astype(np.uint8)
    with ClipWriter(path, 320, 180) as clip:
        for i in range(FRAMES):
            image = ground.copy()
            x, y = (round(v - FACE / 2) for v in middle(i))
            image[y : y + FACE, x : x + FACE] = face
            clip.add(np.repeat(image[..., None], 3, axis=2), i / FPS)
        clip.finish(FRAMES / FPS)
    return path


@pytest.fixture
def faces(bench: MainWindow, film: Path, tmp_path: Path, qtbot: QtBot) -> MainWindow:
    (tmp_path / "piece.mp4").write_bytes(film.read_bytes())
    open_and_wait(bench, qtbot, tmp_path / "piece.mp4")
    return bench


def drag(bench: MainWindow, *points: tuple[float, float]) -> None:
    """Press, move and let go with the mouse, at video pixels."""
    places = [place_of(bench, p) for p in points]
    QTest.mousePress(bench[AnnotationTools].blurs, LEFT, pos=places[0])
    for place in places[1:]:
        QTest.mouseMove(bench[AnnotationTools].blurs, place)
    QTest.mouseRelease(bench[AnnotationTools].blurs, LEFT, pos=places[-1])


def place_of(bench: MainWindow, point: tuple[float, float]) -> QPoint:
    return bench.picture.video_transform().map(QPointF(*point)).toPoint()


def around(bench: MainWindow, i: int) -> None:
    x, y = middle(i)
    drag(bench, (x - 24, y - 24), (x, y), (x + 24, y + 24))


def settle(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def go_to(bench: MainWindow, qtbot: QtBot, i: int) -> None:
    bench.playhead.seek(i / FPS)
    qtbot.waitUntil(lambda: bench.picture.frame.index == i, timeout=10000)  # type: ignore[union-attr]


def is_covered(bench: MainWindow, i: int) -> bool:
    key = region_at(bench.session.state.blurs[0], i / FPS)
    assert key is not None
    x, y = middle(i)
    return abs(key.x_px - x) < 8 and abs(key.y_px - y) < 8


@pytest.mark.parametrize("turn", [PictureTurn(), PictureTurn(1, True)])
def test_a_face_dragged_around_is_followed_through_the_film(
    faces: MainWindow, qtbot: QtBot, turn: PictureTurn
) -> None:
    faces.session.do(TurnPicture(turn))
    faces.menus.actions["blur"].trigger()
    assert faces[Blurring].is_on and faces.findChild(BlurBar).isVisible()
    go_to(faces, qtbot, 10)
    around(faces, 10)
    settle(faces, qtbot)
    (region,) = faces.session.state.blurs
    assert region.is_followed and region.unsure == ()
    assert all(is_covered(faces, i) for i in range(FRAMES))
    assert "recognised on every frame" in faces.message_line.text
    assert read_review(saved(faces, qtbot)).blurs == (region,)
    faces.session.undo()
    assert faces.session.state.blurs == ()
    faces.session.redo()
    assert faces.session.state.blurs == (region,)


def test_it_is_put_right_by_dragging_and_by_its_handle(faces: MainWindow, qtbot: QtBot) -> None:
    faces[Blurring].toggle()
    around(faces, 0)
    settle(faces, qtbot)
    go_to(faces, qtbot, 20)
    x, y = middle(20)
    drag(faces, (x, y), (x + 2, y + 3), (x + 4, y + 6))
    settle(faces, qtbot)
    (region,) = faces.session.state.blurs
    assert len(region.by_hand) == 2, "on another frame a correction, no second face"
    key = region_at(region, 2.0)
    assert key is not None and key.y_px == pytest.approx(y + 6, abs=2.5)
    hold = handle_of(key)
    drag(faces, (hold.x(), hold.y()), (hold.x() + 6, hold.y() + 6), (hold.x() + 12, hold.y() + 12))
    settle(faces, qtbot)
    wider = region_at(faces.session.state.blurs[0], 2.0)
    assert wider is not None and wider.w_px > key.w_px + 15
    faces.session.undo()
    back = region_at(faces.session.state.blurs[0], 2.0)
    assert back is not None and back.w_px == pytest.approx(key.w_px)


def test_everything_by_key(faces: MainWindow, qtbot: QtBot) -> None:
    faces.menus.actions["blur_here"].trigger()
    settle(faces, qtbot)
    (region,) = faces.session.state.blurs
    first = region.by_hand[0]
    faces.menus.actions["blur_right"].trigger()
    faces.menus.actions["blur_down"].trigger()
    faces.menus.actions["blur_smaller"].trigger()
    settle(faces, qtbot)
    moved = faces.session.state.blurs[0].by_hand[0]
    assert moved.x_px > first.x_px and moved.y_px > first.y_px and moved.w_px < first.w_px
    go_to(faces, qtbot, 20)
    faces.menus.actions["blur_to"].trigger()
    settle(faces, qtbot)
    assert faces.session.state.blurs[0].end_s == pytest.approx(2.0)
    faces.menus.actions["blur_remove"].trigger()
    assert faces.session.state.blurs == ()
    faces.menus.actions["blur"].trigger()
    qtbot.keyClick(faces, Key.Key_Escape)
    assert not faces[Blurring].is_on


def test_drawing_and_blurring_take_turns(faces: MainWindow, qtbot: QtBot) -> None:
    faces[Blurring].toggle()
    faces[Drawing].toggle()
    assert faces[Drawing].is_on and not faces[Blurring].is_on
    faces[Blurring].toggle()
    assert faces[Blurring].is_on and not faces[Drawing].is_on


def test_stopped_it_says_that_it_was_not_followed_and_goes_on_when_asked(
    faces: MainWindow, qtbot: QtBot
) -> None:
    faces[Blurring].toggle()
    around(faces, 0)
    for job in faces.jobs.running:
        job.cancel()
    settle(faces, qtbot)
    (region,) = faces.session.state.blurs
    far = region_at(region, 2.0)
    assert far is not None and standing(region, far) == WIDENED and far.w_px > 320
    faces.menus.actions["blur_follow"].trigger()
    settle(faces, qtbot)
    (region,) = faces.session.state.blurs
    near = region_at(region, 2.0)
    assert near is not None and standing(region, near) == FOLLOWED
    lost = replace(region, unsure=((1.5, 2.5),))
    assert standing(lost, near) == LOST


def test_the_coach_is_led_to_where_the_face_was_lost(faces: MainWindow, qtbot: QtBot) -> None:

    region = replace(new_region(0.0, 120, 80, 48, 48), unsure=((0.5, 0.8), (2.0, 2.2)))
    faces.session.do(AddBlur(region))
    for at in (5, 20, 5):
        faces.menus.actions["blur_lost"].trigger()
        qtbot.waitUntil(lambda at=at: faces.picture.frame.index == at, timeout=10000)


def test_sending_reminds_where_to_look_first(faces: MainWindow, qtbot: QtBot) -> None:

    faces.session.do(AddBlur(replace(new_region(0.0, 120, 80, 48, 48), unsure=((0.5, 0.8),))))
    faces[Sending].write("page")
    settle(faces, qtbot)
    said = faces.message_line.text
    assert "not followed" in said and "0:00.5 to 0:00.8" in said
    assert "Feedback bundle written" in said
