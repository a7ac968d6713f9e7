"""Marks on the second picture: of its own frame, of its own review only when asked for."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QPointF
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.review.parts.comparisons import EditComparison
from app.review.parts.marks import MARK_COLOURS, AddMark, DeleteMark, Mark, new_mark
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparisons import Comparisons
from app.window.main_window import MainWindow
from app.window.views.shown_marks import ShownMarks
from tests.app.window.features.comparing.test_comparing import compare, selected, settle
from tests.helpers.reviews import write_review

PLACE = (160.0, 70.0)


def ring(video_s: float, end_s: float | None = None) -> Mark:
    (x, y), r = PLACE, 18.0
    return new_mark("circle", ((x - r, y - r), (x + r, y + r)), video_s, end_s, "red")


def red_places(widget: QWidget) -> NDArray[np.intp]:
    """Where the colour of the mark is seen: (n, 2) x, y."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1)
    pixels = rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3).astype(int)
    red = [int(MARK_COLOURS["red"][i : i + 2], 16) for i in (1, 3, 5)]
    return np.argwhere(np.abs(pixels - red).max(axis=2) < 12)[:, ::-1]


def right_s(bench: MainWindow) -> float:
    """The moment of the frame on the right."""
    frame, footage = (
        bench[Comparisons].comparing.stage.second.frame,
        bench.session.footage,
    )
    assert frame is not None and footage is not None
    return float(footage.index.time_s[frame.index])


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_mark_of_its_frame_stands_on_the_right_picture(
    loaded: MainWindow, qtbot: QtBot, mirrored: bool
) -> None:
    comparison = compare(loaded, qtbot)
    if mirrored:
        loaded[Comparisons].adjusting.mirror()
    second = loaded[Comparisons].comparing.stage.second
    mark = ring(right_s(loaded))
    assert len(red_places(second)) == 0
    loaded.session.do(AddMark(mark))
    found = red_places(second)
    middle = second.video_transform().map(QPointF(*PLACE))
    apart = found.mean(axis=0) - (middle.x(), middle.y())
    assert len(found) > 60 and np.abs(apart).max() < 2.5
    assert len(red_places(loaded.picture)) == 0, "it is no mark of the frame on the left"
    # A frame on, it is gone; back on its frame, undo takes it away.
    footage = loaded.session.footage
    assert footage is not None
    loaded.playhead.seek(comparison.left.catch_s + 4 / 30)
    settle(loaded, qtbot)
    assert len(red_places(second)) == 0
    loaded.playhead.seek(comparison.left.catch_s)
    settle(loaded, qtbot)
    assert len(red_places(second)) > 60
    loaded.session.undo()
    assert len(red_places(second)) == 0


def test_over_the_left_picture_a_mark_is_as_faint_as_its_picture(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    compare(loaded, qtbot)
    loaded.session.do(AddMark(ring(right_s(loaded))))
    loaded[Comparisons].adjusting.set_layout("over")
    stage = loaded[Comparisons].comparing.stage
    loaded[Comparisons].adjusting.set_opacity(1.0)
    assert len(red_places(stage)) > 60
    loaded[Comparisons].adjusting.set_opacity(0.3)
    assert len(red_places(stage)) == 0


def test_what_a_walkthrough_shows_stands_on_both(loaded: MainWindow, qtbot: QtBot) -> None:
    compare(loaded, qtbot)
    second = loaded[Comparisons].comparing.stage.second
    loaded[ShownMarks].show_instead((ring(right_s(loaded)),))
    assert len(red_places(second)) > 60
    loaded[ShownMarks].show_instead(None)
    assert len(red_places(second)) == 0


def test_marks_of_another_review_are_shown_only_on_a_tick(
    loaded: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    comparison = compare(loaded, qtbot)
    second, tab = loaded[Comparisons].comparing.stage.second, loaded[Comparisons].tab
    mark = ring(right_s(loaded))
    path = submission / "other.review"
    theirs = ReviewState(video=refer(submission / "piece.mp4", "video", path), marks=(mark,))
    write_review(path, theirs)
    right = replace(comparison.right, source="other.review", label="last month")
    assert not tab.other_marks.isVisible()
    loaded.menus.actions["other_marks"].trigger()
    assert "marks stand on both" in loaded.message_line.text
    loaded.session.do(EditComparison(comparison.id, right=right))
    settle(loaded, qtbot)
    assert tab.other_marks.isVisible() and not tab.other_marks.isChecked()
    least = loaded.minimumSizeHint()
    assert least.width() <= 1280 and least.height() <= 760
    assert len(red_places(second)) == 0
    own = replace(mark, id="own")
    loaded.session.do(AddMark(own))  # at the same time of this film: none of the other's
    assert len(red_places(second)) == 0
    loaded.session.do(DeleteMark("own"))
    tab.other_marks.click()
    assert selected(loaded).other_marks
    assert len(red_places(second)) > 60
    loaded.session.undo()
    assert not tab.other_marks.isChecked() and len(red_places(second)) == 0
    loaded.menus.actions["other_marks"].trigger()
    assert tab.other_marks.isChecked() and len(red_places(second)) > 60


def test_where_the_other_review_has_no_marks_that_is_said(
    loaded: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    comparison = compare(loaded, qtbot)
    path = submission / "bare.review"
    write_review(path, ReviewState(video=refer(submission / "piece.mp4", "video", path)))
    bare = StrokeRef("bare.review", 0.5, 1.0, 2.0, "bare")
    loaded.session.do(EditComparison(comparison.id, right=bare))
    settle(loaded, qtbot)
    assert not loaded[Comparisons].tab.other_marks.isVisible()
    loaded.menus.actions["other_marks"].trigger()
    assert "Nothing is drawn in the other review" in loaded.message_line.text
    assert not selected(loaded).other_marks
