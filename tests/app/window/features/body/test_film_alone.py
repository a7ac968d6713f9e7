"""The whole job with a film alone: what works on strokes works on those of the picture."""

from __future__ import annotations

from typing import TypeVar

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QLabel, QPushButton, QToolButton, QWidget
from pytestqt.qtbot import QtBot

from app.media.video import VideoFile
from app.window.actions.feature import Feature
from app.window.features.annotations.annotation_tools import AnnotationTools
from app.window.features.body.feature import BodyFeature
from app.window.features.comparing.feature import ComparingFeature
from app.window.features.comparing.measure_table import BOTH_SEEN
from app.window.features.comparing.self_test_dialog import SelfTestDialog
from app.window.features.findings.feature import FindingsFeature
from app.window.features.footage.feature import FootageFeature
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.sections.feature import SectionsFeature
from app.window.features.stroke_strip.feature import StrokeStripFeature
from app.window.features.stroke_strip.strip_view import StripView
from app.window.features.walkthrough.feature import WalkthroughFeature
from app.window.features.walkthrough.walkthroughs import Walkthroughs
from app.window.main_window import MainWindow
from app.window.sound.sample_clock import SampleClock

Button = TypeVar("Button", bound=QWidget)


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """What a coach does with strokes."""
    return (
        ReviewFileFeature, FindingsFeature, NotesFeature, AnnotationTools, FootageFeature,
        SectionsFeature, ComparingFeature, StrokeStripFeature, BodyFeature, WalkthroughFeature,
    )  # fmt: skip


def press(qtbot: QtBot, within: QWidget, kind: type[Button], text: str) -> None:
    """Click the button that says so."""
    named = [b for b in within.findChildren(kind) if getattr(b, "text", str)() == text]
    shown = [b for b in named if b.isVisible()]
    assert shown, f"no button says {text}"
    qtbot.mouseClick(shown[0], Qt.MouseButton.LeftButton)


def settled(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=240000)


def dialog(bench: MainWindow) -> QDialog:
    (found,) = [d for d in bench.findChildren(QDialog) if d.isVisible()]
    return found


@pytest.fixture
def rowing(film: MainWindow, qtbot: QtBot) -> MainWindow:
    """The film, followed by a click on the button under it, at its second stroke."""
    press(qtbot, film, QPushButton, film.menus.actions["follow_body"].text())
    settled(film, qtbot)
    assert film.session.submission.from_picture
    for _ in range(2):
        qtbot.keyClick(film, Qt.Key.Key_Down)
        qtbot.waitUntil(lambda: film.playhead.time_s == film.playhead.wanted_s, timeout=240000)
    return film


def said(bench: MainWindow) -> str:
    """Every word on the bench."""
    return "\n".join(label.text() for label in bench.findChildren(QLabel) if label.isVisible())


def test_its_strokes_are_compared_and_put_to_the_athlete(rowing: MainWindow, qtbot: QtBot) -> None:
    text = said(rowing)
    assert "From the picture" in text and "pull " in text and "drive " not in text
    assert "hands out" not in text, "to a rower these go out in the recovery"
    rowing.menus.actions["compare_new"].trigger()
    press(qtbot, dialog(rowing), QPushButton, "Compare")
    settled(rowing, qtbot)
    assert len(rowing.session.state.comparisons) == 1 and BOTH_SEEN in said(rowing)
    rowing.menus.actions["compare"].trigger()
    rowing.menus.actions["self_test"].trigger()
    asked = dialog(rowing)
    assert isinstance(asked, SelfTestDialog)
    press(qtbot, asked, QToolButton, "Add this stroke")
    test = rowing.session.state.self_test
    assert test is not None and len(test.items) == 1
    stroke = rowing.session.submission.strokes[1]
    assert test.items[0].stroke.catch_s == pytest.approx(stroke.catch_s)
    asked.reject()


def test_its_curve_is_given_the_lower_half_and_its_trace_is_zoomed(
    rowing: MainWindow, qtbot: QtBot
) -> None:
    curve = rowing.stroke_panel
    bench_curve = rowing.curve
    assert "Target" not in said(rowing).splitlines(), "there is no curve to row towards yet"
    before_px, curve_px, actions = curve.height(), bench_curve.height(), rowing.menus.actions
    qtbot.keyClick(rowing, Qt.Key.Key_F5)
    qtbot.waitUntil(lambda: curve.width() > 500, timeout=5000)
    assert actions["large_curve"].isChecked()
    qtbot.keyClick(rowing, Qt.Key.Key_F5)
    qtbot.waitUntil(lambda: curve.height() == before_px, timeout=5000)
    qtbot.waitUntil(lambda: bench_curve.height() == curve_px, timeout=5000)
    left_s, right_s = rowing.trace.getViewBox().viewRange()[0]
    actions["zoom_in"].trigger()
    near_s, far_s = rowing.trace.getViewBox().viewRange()[0]
    assert far_s - near_s == pytest.approx((right_s - left_s) / 2)
    actions["zoom_all"].trigger()
    assert rowing.trace.getViewBox().viewRange()[0][1] > far_s


def test_its_strokes_are_cut_into_sections_laid_out_and_walked_through(
    rowing: MainWindow, qtbot: QtBot
) -> None:
    rowing.menus.actions["begin_section"].trigger()
    settled(rowing, qtbot)
    assert len(rowing.session.submission.sections) == 2
    qtbot.keyClick(rowing, Qt.Key.Key_V)
    strip = rowing.findChild(StripView)
    assert strip is not None
    qtbot.waitUntil(lambda: not strip.pixmap().isNull(), timeout=240000)
    settled(rowing, qtbot)
    qtbot.keyClick(rowing, Qt.Key.Key_V)
    now_s = [100.0]
    rowing.menus.actions["record_walk"].trigger()
    rowing[Walkthroughs].recorder._clock = SampleClock(lambda: now_s[0])
    for _ in range(3):
        now_s[0] += 0.2
        qtbot.keyClick(rowing, Qt.Key.Key_Right)
        qtbot.waitUntil(lambda: rowing.playhead.time_s == rowing.playhead.wanted_s, timeout=240000)
    rowing.menus.actions["record_walk"].trigger()
    settled(rowing, qtbot)
    assert len(rowing.session.state.walkthroughs) == 1
    rowing.menus.actions["write_walk"].trigger()
    settled(rowing, qtbot)
    review = rowing.session.review
    assert review is not None and review.path is not None
    (written,) = review.path.parent.glob("*walkthrough*.mp4")
    with VideoFile.open(written) as walk:
        assert walk.height > 180, "the curve of the picture stands under the film"
