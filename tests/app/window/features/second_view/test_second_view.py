"""The second camera's film beside the first: one moment, whichever is asked for."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint
from pytestqt.qtbot import QtBot

from app.review.parts.films import AddFilms, new_film
from app.review.recordings import refer
from app.window.features.second_view.inset import HALF, SMALL, UNFILMED
from app.window.features.second_view.second_view import SecondView
from app.window.main_window import MainWindow
from tests.app.window.conftest import open_and_wait
from tests.helpers.clips import needs_ffmpeg, number_in
from tests.helpers.cut_films import FPS, cut_film
from tests.helpers.patience import HANGS_MS

pytestmark = needs_ffmpeg


@pytest.fixture
def two(bench: MainWindow, tmp_path: Path, qtbot: QtBot) -> MainWindow:
    """Frames 0 to 90, and from frame 30 on a second camera's 30 to 120, at once."""
    open_and_wait(bench, qtbot, cut_film(tmp_path / "side.mp4", 0, 90))
    second = cut_film(tmp_path / "front.mp4", 30, 120, (240, 180))
    review = bench.session.review
    assert review is not None and review.path is not None
    ref = refer(second, "video", review.path)
    bench.session.do(AddFilms((new_film(ref, 30 / FPS, 0.026, "picture", "view"),)))
    qtbot.waitUntil(lambda: bench[SecondView].inset.isVisible(), timeout=HANGS_MS)
    return bench


def numbers(bench: MainWindow) -> tuple[int | None, int | None]:
    first, second = bench.picture.frame, bench[SecondView].inset
    shown = second._pixels
    return (
        None if first is None else number_in(first.image_bgra),
        None if shown is None else number_in(shown),
    )


def test_both_show_one_moment(two: MainWindow, qtbot: QtBot) -> None:
    for number in (45, 31, 88, 60):
        two.playhead.seek(number / FPS)
        qtbot.waitUntil(lambda n=number: numbers(two) == (n, n), timeout=HANGS_MS)
    two.playhead.step(1)
    qtbot.waitUntil(lambda: numbers(two) == (61, 61), timeout=HANGS_MS)


def test_where_the_second_camera_was_not_running_nothing_is_shown_for_it(
    two: MainWindow, qtbot: QtBot
) -> None:
    two.playhead.seek(10 / FPS)
    qtbot.waitUntil(lambda: numbers(two) == (10, None), timeout=HANGS_MS)
    inset = two[SecondView].inset
    assert inset.words.endswith(UNFILMED)
    two.playhead.seek(45 / FPS)
    qtbot.waitUntil(lambda: numbers(two) == (45, 45), timeout=HANGS_MS)
    assert inset.words.startswith("front.mp4") and UNFILMED not in inset.words
    assert len(two.session.footage.index) == 90, "a second view makes the piece no longer"


def test_a_frame_that_comes_too_late_is_not_shown_where_nobody_filmed(
    two: MainWindow, qtbot: QtBot
) -> None:
    two.playhead.seek(45 / FPS)
    qtbot.waitUntil(lambda: numbers(two) == (45, 45), timeout=20000)
    supply = two[SecondView].supply
    late = supply._last
    assert late is not None
    two.playhead.seek(10 / FPS)
    qtbot.waitUntil(lambda: numbers(two) == (10, None), timeout=20000)
    supply._take(supply._token, late)
    assert numbers(two) == (10, None)


def test_it_grows_and_goes_and_comes_again(two: MainWindow, qtbot: QtBot) -> None:
    view = two[SecondView]
    assert view.inset.share == SMALL and "± 26 ms" in view.inset.toolTip()
    narrow = view.inset.width()
    view.change()
    assert view.inset.share == HALF and view.inset.width() > narrow
    assert two.picture.rect().contains(view.inset.geometry())
    view.change()
    assert not view.inset.isVisible() and not view.is_shown
    view.change()
    qtbot.waitUntil(view.inset.isVisible, timeout=HANGS_MS)
    two.session.undo()
    qtbot.waitUntil(lambda: not view.inset.isVisible(), timeout=HANGS_MS)
    view.change()
    assert "filmed from one side" in two.message_line.text


def test_the_second_view_can_be_the_large_one(two: MainWindow, qtbot: QtBot) -> None:
    view = two[SecondView]
    view.swap()
    assert view.is_swapped and view.inset.geometry() == two.picture.rect()
    assert two.picture.rect().contains(view.corner.geometry())
    for number in (40, 71):
        two.playhead.seek(number / FPS)
        qtbot.waitUntil(lambda n=number: numbers(two) == (n, n), timeout=HANGS_MS)
        corner = view.corner._pixels
        assert corner is not None and number_in(corner) == number
    # A click does not draw on the film that lies below.
    assert two.picture.childAt(two.picture.rect().center()) is view.inset
    assert "Swap back" in view.inset.toolTip()
    view.swap()
    assert not view.is_swapped and view.corner.isHidden() and view.inset.share == SMALL
    assert two.picture.childAt(two.picture.rect().topLeft() + QPoint(9, 9)) is not view.inset
    view.swap()
    two.session.undo()
    qtbot.waitUntil(lambda: not view.inset.isVisible(), timeout=HANGS_MS)
    assert view.corner.isHidden()
