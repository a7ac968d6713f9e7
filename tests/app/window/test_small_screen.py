"""A small screen, a larger font, a hand without a mouse, an ear instead of an eye."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QScrollBar,
    QToolButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.window.features.comparing.comparisons import Comparisons
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.review_file.name_panel import NamePanel
from app.window.main_window import MainWindow
from app.window.session.other_recordings import own_recording
from app.window.widgets.scroll_frame import ScrollFrame
from tests.app.window.conftest import open_and_wait

WIDE, HIGH = 850, 530  # logical pixels
TITLE_BAR = 30
LARGER = 1.4
CONTROLS = (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
)


@pytest.fixture(params=[1.0, LARGER], ids=["usual font", "larger font"])
def scale(request: pytest.FixtureRequest, qapp: QApplication) -> Iterator[float]:
    usual = qapp.font()
    larger = qapp.font()
    larger.setPointSizeF(usual.pointSizeF() * request.param)
    qapp.setFont(larger)
    yield request.param
    qapp.setFont(usual)


def _states(bench: MainWindow, qtbot: QtBot) -> Iterator[str]:
    """Bring the bench into each state in turn, and name it."""
    actions = bench.menus.actions
    yield "open"
    for place in range(bench.tabs.count()):
        bench.tabs.setCurrentIndex(place)
        yield bench.tabs.tabText(place)
    actions["next_catch"].trigger()
    actions["target_steady"].trigger()
    actions["note"].trigger()
    yield "target and note"
    for name in ("curve_draw", "draw", "blur"):
        actions[name].trigger()
        yield name
        bench.modes.give_up_or_stop()
    own = own_recording(bench.session)
    first, second = own.strokes()[:2]
    bench[Comparisons].comparing.add(own.ref(first), own.ref(second), own)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)
    yield "two strokes"
    bench[Comparisons].adjusting.set_layout("over")
    bench[Comparisons].adjusting.set_timing("free")
    yield "two strokes over each other"


def test_every_state_fits_a_small_screen(
    scale: float,
    make_bench: Callable[..., MainWindow],
    submission: Path,
    qtbot: QtBot,
) -> None:
    bench = make_bench()
    bench.resize(WIDE, HIGH)
    yielded = 0
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    for state in _states(bench, qtbot):
        QApplication.processEvents()
        yielded += 1
        qtbot.waitUntil(lambda: _is_inside(bench.message_line, bench))
        assert (bench.width(), bench.height()) == (WIDE, HIGH), state
        # What scrolls is the side; all of the bench does with a font that is much larger.
        if scale == 1.0:
            assert _whole(bench) == [], state
    assert yielded > 8


def test_nothing_scrolls_sideways(scale: float, loaded: MainWindow, qtbot: QtBot) -> None:
    """1280 x 800 at 1.5 and 2, 1920 x 1080 at 2; the curve beside the picture, and large."""
    loaded.menus.actions["target_steady"].trigger()
    (room,) = [f for f in loaded.findChildren(ScrollFrame) if f.widget().isAncestorOf(loaded.trace)]
    (send,) = [b for b in loaded.tasks.findChildren(QToolButton) if b.text() == "Send"]
    for size in ((WIDE, HIGH), (640, 400), (960, 540)):
        for _curve in ("beside the picture", "large"):
            loaded.resize(*size)
            # A font that is much larger on the smallest of these screens needs more than its width.
            if scale == 1.0 or size[0] >= WIDE:
                qtbot.waitUntil(lambda: room.widget().width() <= room.viewport().width())
            assert send.isVisible() and _is_inside(send, loaded)
            loaded.menus.actions["large_curve"].trigger()


def test_a_scaled_screen_shows_or_scrolls_everything(scale: float, loaded: MainWindow) -> None:
    """1280 x 800 at 1.5 and 2, 1920 x 1080 at 2, in logical pixels."""
    (room,) = [f for f in loaded.findChildren(ScrollFrame) if f.widget().isAncestorOf(loaded.trace)]
    for size in ((WIDE, HIGH), (640, 400), (960, 540)):
        loaded.resize(*size)
        QApplication.processEvents()
        assert (loaded.width(), loaded.height()) == size
        inside, seen = room.widget().size(), room.viewport().size()
        assert inside.width() <= seen.width() + room.horizontalScrollBar().maximum()
        assert inside.height() <= seen.height() + room.verticalScrollBar().maximum()


DIALOGS = (
    "keys", "search", "limits", "versions", "rescued", "show_line_up", "thresholds", "flywheel",
    "compare_new", "keep_reference", "references", "self_test", "send_panel", "send_plan",
)  # fmt: skip


def test_every_dialog_fits_a_small_screen(scale: float, loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.menus.actions["next_catch"].trigger()
    for name in DIALOGS:
        loaded.menus.actions[name].trigger()
        shown = [d for d in loaded.findChildren(QDialog) if d.isVisible()]
        assert shown, name
        for dialog in shown:
            dialog.resize(WIDE, HIGH - TITLE_BAR)
            QApplication.processEvents()
            assert dialog.width() <= WIDE and dialog.height() <= HIGH - TITLE_BAR, name
            dialog.close()
        loaded.jobs.cancel_all()
        qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)


def _whole(bench: MainWindow) -> list[str]:
    """What of the bench as a whole must be scrolled to be seen."""
    (room,) = [f for f in bench.findChildren(ScrollFrame) if f.widget().isAncestorOf(bench.trace)]
    bars = {"across": room.horizontalScrollBar(), "down": room.verticalScrollBar()}
    return [name for name, bar in bars.items() if bar.maximum() > 0]


def _is_inside(part: QWidget, whole: QWidget) -> bool:
    place = part.mapTo(whole, part.rect().bottomRight())
    return whole.rect().contains(place)


def test_the_tabs_are_read_whole(loaded: MainWindow) -> None:
    bench = loaded
    for place in range(bench.tabs.count()):
        bench.tabs.show_tab(bench.tabs.widget(place))
        bench.tabs.count_in(bench.tabs.widget(place), 19)
    QApplication.processEvents()
    bar = bench.tabs.tabBar()
    assert bar.sizeHint().width() <= bench.tabs.width()
    assert all(bar.tabToolTip(place).endswith(" 19") for place in range(bar.count()))


def test_a_question_about_a_force_file_fits_too(
    bench: MainWindow, submission: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    unknown = tmp_path / "unknown.csv"
    lines = (submission / "piece.csv").read_text().splitlines()
    unknown.write_text("\n".join(["t;F", *(";".join(line.split(",")[:2]) for line in lines[1:])]))
    open_and_wait(bench, qtbot, submission / "piece.mp4", unknown)
    assert bench[ReviewFileFeature].question.isVisible() and not bench.trace.isVisible()
    QApplication.processEvents()
    bench.resize(WIDE, HIGH)
    QApplication.processEvents()
    assert (bench.width(), bench.height()) == (WIDE, HIGH) and _whole(bench) == []
    assert (
        "unit" in bench[ReviewFileFeature].question._lacks.text()
        and not bench[ReviewFileFeature].question.read.isEnabled()
    )
    bench[ReviewFileFeature].question.force_unit.setCurrentText("N")
    assert (
        bench[ReviewFileFeature].question._lacks.text() == ""
        and bench[ReviewFileFeature].question.read.isEnabled()
    )
    bench[ReviewFileFeature].question.later.click()
    assert bench.trace.isVisible()


def test_every_control_has_a_name_for_who_cannot_see_it(loaded: MainWindow) -> None:
    nameless = [
        f"{type(control).__name__} in {type(control.parent()).__name__}"
        for control in _controls(loaded)
        if len(_name(control)) < 2
    ]
    assert nameless == []


def test_every_button_says_what_it_does(loaded: MainWindow) -> None:
    silent = [
        _name(control)
        for control in _controls(loaded)
        if isinstance(control, QAbstractButton) and not control.toolTip()
    ]
    assert silent == []


def _name(control: QWidget) -> str:
    words = control.text() if isinstance(control, QAbstractButton) else ""
    return control.accessibleName() or words


def _controls(bench: MainWindow) -> Iterator[QWidget]:
    """What a hand can use, without the parts that controls are made of."""
    for control in bench.findChildren(QWidget):
        inside = isinstance(control.parent(), QAbstractSpinBox | QComboBox | QAbstractItemView)
        made = control.objectName().startswith("qt_") or isinstance(control, QScrollBar)
        popup = control.window() is not bench or isinstance(control, QMenu)
        tabs = type(control.parent()).__name__ in ("QTabBar", "QMenuBar")
        if isinstance(control, CONTROLS) and not (inside or made or popup or tabs):
            yield control


def test_keys_of_the_bench_are_not_typed_into_a_field(loaded: MainWindow, qtbot: QtBot) -> None:
    """A window that comes forward gives the keys to the first part in the order of Tab."""
    loaded.menus.actions["note"].trigger()
    loaded[NotesFeature].panel._words.clearFocus()
    first = loaded.nextInFocusChain()
    while not (first.focusPolicy() & Qt.FocusPolicy.TabFocus and first.isVisibleTo(loaded)):
        first = first.nextInFocusChain()
    assert first is loaded.stage
    loaded.stage.setFocus()
    qtbot.keyClick(loaded.stage, Qt.Key.Key_M)
    assert loaded.session.state.turn.mirrored
    assert loaded[NamePanel].athlete.text() == ""
