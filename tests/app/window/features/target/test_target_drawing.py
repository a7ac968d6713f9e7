"""Drawing, mending and the bound on the peak, with a real mouse on the curve."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QToolButton
from pytestqt.qtbot import QtBot

from analysis.findings.finding import Effect, Evidence, Finding, Where
from analysis.force.flywheel import what_would_change
from analysis.force.piece import summary
from analysis.force.target import TargetCurve, sample_target
from app.review.parts.target import SetTarget
from app.review.review import Review
from app.window.features.target.target_editor import TargetEditor
from app.window.main_window import MainWindow
from app.window.session.selection import Selection
from tests.app.window.conftest import open_and_wait
from tests.helpers.drive_shapes import PCT, SHAPES
from tests.helpers.pieces import GIVING

PEAK_N = 600.0  # of the half sines of the recorded piece


def shown(window: MainWindow) -> TargetCurve:
    target = window.session.state.target
    assert target is not None
    return target


def own(window: MainWindow) -> np.ndarray:
    curves = window.view.curves
    assert curves is not None
    return curves.mean


def area(curve: np.ndarray) -> float:
    return float(np.trapezoid(curve, PCT))


def drag(window: MainWindow, qtbot: QtBot, places: list[QPoint]) -> None:
    """Press, move with the button down, let go; QTest's own moves carry no buttons."""
    viewport = window.curve.viewport()
    qtbot.mousePress(viewport, Qt.MouseButton.LeftButton, pos=places[0])
    for place in places[1:]:
        event = QMouseEvent(
            QEvent.Type.MouseMove,
            QPointF(place),
            viewport.mapToGlobal(QPointF(place)),
            Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton,
            Qt.KeyboardModifier.NoModifier,
        )
        QApplication.sendEvent(viewport, event)
    qtbot.mouseRelease(viewport, Qt.MouseButton.LeftButton, pos=places[-1])


def draw(window: MainWindow, qtbot: QtBot, *points: tuple[float, float]) -> None:
    qtbot.keyClick(window, Qt.Key.Key_D)
    drag(window, qtbot, [window.curve.place_of(p, f).toPoint() for p, f in points])


def offer(window: MainWindow, text: str) -> QToolButton:
    found = [b for b in window.message_line.findChildren(QToolButton) if b.text() == text]
    assert found, window.message_line.text
    return found[-1]


def finding(first: float | None, last: float | None, good: bool = False) -> Finding:
    evidence = Evidence("drop of the force", 20.0, "% of peak", 8.0, first, last, 0)
    return Finding(
        "give", "The force gives", "drive", (0,), 1.0, 0.5, 1.0, 0.5, Effect(), evidence, Where(),
        good=good,
    )  # fmt: skip


def test_a_fifth_drawn_over_the_mean_patches_it(loaded: MainWindow, qtbot: QtBot) -> None:
    draw(loaded, qtbot, (40, 450), (47, 450), (53, 450), (60, 450))
    curve, mean = sample_target(shown(loaded)), own(loaded)
    assert curve[42:59] == pytest.approx(450.0, abs=8.0)
    away = (PCT < 24) | (PCT > 76)
    assert curve[away] == pytest.approx(mean[away], abs=0.02 * PEAK_N)
    # A tick afterwards scales what was not drawn.
    loaded[TargetEditor].hold(True)
    held = sample_target(shown(loaded))
    assert shown(loaded).hold_equal
    assert held[42:59] == pytest.approx(curve[42:59], abs=1.0)
    assert area(held) == pytest.approx(area(mean), rel=1e-6)
    loaded[TargetEditor].hold(False)
    assert sample_target(shown(loaded)) == pytest.approx(curve, abs=1e-6)


def test_a_fifth_drawn_over_a_held_target_is_no_spike(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Qt.Key.Key_T)
    assert shown(loaded).hold_equal
    before = sample_target(shown(loaded))
    draw(loaded, qtbot, (40, 500), (47, 500), (53, 500), (60, 500))
    target = shown(loaded)
    curve = sample_target(target)
    assert target.hold_equal
    assert curve[42:59] == pytest.approx(500.0, abs=8.0)
    assert curve.max() < 1.15 * PEAK_N
    assert area(curve) == pytest.approx(area(own(loaded)), rel=1e-6)
    factor = curve[[10, 15, 85, 90]] / before[[10, 15, 85, 90]]
    assert factor == pytest.approx(factor[0], rel=0.02)  # the rest kept its shape
    loaded.menus.actions["undo"].trigger()
    assert sample_target(shown(loaded)) == pytest.approx(before)


def test_what_the_rest_cannot_make_up_for_is_said(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Qt.Key.Key_T)
    draw(loaded, qtbot, (15, 600), (50, 600), (85, 600))
    target = shown(loaded)
    assert not target.hold_equal
    assert sample_target(target)[50] == pytest.approx(600.0, abs=8.0)
    assert "kept as drawn" in loaded.message_line.text
    qtbot.mouseClick(offer(loaded, "Scale all of it"), Qt.MouseButton.LeftButton)
    scaled = sample_target(shown(loaded))
    assert shown(loaded).hold_equal
    assert area(scaled) == pytest.approx(area(own(loaded)), rel=1e-6)
    assert scaled.max() <= 1.15 * PEAK_N


@pytest.mark.parametrize("answer", ["Use it anyway", "Lower it", ""])
def test_a_drawing_far_above_the_athlete_is_asked_about(
    loaded: MainWindow, qtbot: QtBot, answer: str
) -> None:
    qtbot.keyClick(loaded, Qt.Key.Key_T)
    loaded[TargetEditor].hold(False)
    before = shown(loaded)
    loaded.curve._box.setYRange(0, 1400, padding=0)
    draw(loaded, qtbot, (40, 900), (47, 900), (53, 900), (60, 900))
    assert shown(loaded) == before
    assert "more than 1.15 times the athlete's own highest" in loaded.message_line.text
    if not answer:
        return
    qtbot.mouseClick(offer(loaded, answer), Qt.MouseButton.LeftButton)
    peak = sample_target(shown(loaded)).max()
    highest = float(np.max(loaded.view.curves.rows))  # type: ignore[union-attr]
    wanted = 900.0 if answer == "Use it anyway" else 1.15 * highest
    assert peak == pytest.approx(wanted, abs=12.0)
    if answer == "Lower it":
        assert peak <= 1.15 * highest * (1 + 1e-9)
    loaded.menus.actions["undo"].trigger()
    assert shown(loaded) == before


def test_the_level_stops_at_the_bound_and_asks(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Qt.Key.Key_T)
    loaded.curve._box.setYRange(0, 1400, padding=0)
    start = loaded.curve._sheet.places["level"].toPoint()
    up = [loaded.curve.place_of(50, f).toPoint() for f in (600, 640, 900, 1200)]
    drag(loaded, qtbot, [start, *(QPoint(start.x(), p.y()) for p in up)])
    assert 620 < shown(loaded).level_n < 1.15 * 605
    qtbot.mouseClick(offer(loaded, "Use it anyway"), Qt.MouseButton.LeftButton)
    assert shown(loaded).level_n == pytest.approx(1200, abs=15)
    # What was said yes to is not asked about again.
    start = loaded.curve._sheet.places["level"].toPoint()
    drag(loaded, qtbot, [start, start + QPoint(0, 8)])
    assert 1000 < shown(loaded).level_n < 1195


def test_an_old_answer_changes_nothing_later(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.curve._box.setYRange(0, 1400, padding=0)
    draw(loaded, qtbot, (40, 900), (50, 900), (60, 900))
    button = offer(loaded, "Use it anyway")
    assert loaded.session.state.target is None
    loaded.session.do(SetTarget(TargetCurve(level_n=400.0)))
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert shown(loaded).level_n == 400.0


@pytest.fixture
def giving(bench: MainWindow, qtbot: QtBot, tmp_path: Path) -> MainWindow:
    """A bench with strokes that give at 28 % of the drive."""
    open_and_wait(bench, qtbot, GIVING.write(tmp_path / "giving.csv"))
    return bench


def test_mending_bridges_the_stretch_of_the_finding(giving: MainWindow, qtbot: QtBot) -> None:
    mean = own(giving)
    giving[Selection].choose_finding(finding(16.0, 42.0))
    giving.menus.actions["target_mend"].trigger()
    curve = sample_target(shown(giving))
    outside = (PCT <= 16) | (PCT >= 42)
    assert curve[outside] == pytest.approx(mean[outside], abs=0.02 * PEAK_N)
    assert curve[28] > mean[28] + 100.0
    assert (np.diff(curve[16:43]) >= -1e-6).all()
    assert "is the athlete's own curve" in giving.message_line.text
    qtbot.mouseClick(offer(giving, "Keep the impulse"), Qt.MouseButton.LeftButton)
    held = sample_target(shown(giving))
    assert area(held) == pytest.approx(area(mean), rel=1e-6)
    assert held.max() <= mean.max()
    force = giving.session.submission.force
    curves = giving.view.curves
    assert force is not None and curves is not None
    rate = summary(force.piece)["rate_spm"]
    assert rate is not None
    change = what_would_change(mean, held, "time", curves.mean_span, rate.mean)
    assert change.after.peak_power_w <= change.before.peak_power_w
    qtbot.mouseClick(offer(giving, "Leave the rest as it is"), Qt.MouseButton.LeftButton)
    assert sample_target(shown(giving)) == pytest.approx(curve)


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        (None, "Choose a finding"),
        (finding(None, None), "Choose a finding"),
        (finding(20.0, 40.0, good=True), "good sign"),
        (finding(110.0, 150.0), "too short on the drive"),
    ],
)
def test_without_a_stretch_it_says_what_to_do(
    loaded: MainWindow, chosen: Finding | None, words: str
) -> None:
    loaded[Selection].choose_finding(chosen)
    loaded.menus.actions["target_mend"].trigger()
    assert words in loaded.message_line.text
    assert loaded.session.state.target is None


@pytest.mark.parametrize("preset", ["target_steady", "target_race"])
@pytest.mark.parametrize("shape", ["trapezoid", "early peak"])
def test_a_preset_asks_for_no_more_peak_power(
    make_bench: Callable[[], MainWindow], qtbot: QtBot, tmp_path: Path, preset: str, shape: str
) -> None:
    window = make_bench()
    open_and_wait(window, qtbot, _piece(tmp_path / "piece.csv", 640.0 * SHAPES[shape]))
    window.menus.actions[preset].trigger()
    force, curves = window.session.submission.force, window.view.curves
    assert force is not None and curves is not None
    rate = summary(force.piece)["rate_spm"]
    assert rate is not None
    target = sample_target(shown(window))
    change = what_would_change(curves.mean, target, "time", curves.mean_span, rate.mean)
    assert change.after.peak_power_w <= change.before.peak_power_w * (1.0 + 1e-9)
    assert target.max() <= 1.15 * curves.rows.max()
    assert "peak power does not rise" in window.message_line.text


def _piece(path: Path, curve_n: np.ndarray) -> Path:
    """Eight strokes of 0.85 s at 24 a minute with this curve, 200 samples a second."""
    time_s = np.arange(0.0, 21.5, 0.005)
    phase = (np.mod(time_s - 1.0, 2.5)) / 0.85
    pulling = (time_s >= 1.0) & (time_s < 21.0) & (phase <= 1.0)
    force_n = np.where(pulling, np.interp(100.0 * phase, PCT, curve_n), 0.0)
    rows = "\n".join(f"{t:.3f},{f:.3f}" for t, f in zip(time_s, force_n, strict=True))
    path.write_text(f"time_s,force_n\n{rows}\n", "utf-8")
    return path


def test_an_old_drawing_opens_and_looks_the_same(
    loaded: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    """Points each two percent, far above the bound, as they were kept before there was one."""
    at = np.arange(0.0, 101.0, 2.0)
    pairs = tuple((float(p), float(np.sin(np.pi * p / 100.0) ** 8)) for p in at)
    spike = TargetCurve("time", level_n=2599.0, freehand=pairs, name="drawn by hand")
    looked = sample_target(spike)
    loaded.session.do(SetTarget(spike))
    review = loaded.session.review
    assert isinstance(review, Review)
    path = review.path
    assert path is not None
    assert review.save()
    open_and_wait(loaded, qtbot, path)
    assert shown(loaded) == spike
    assert sample_target(shown(loaded)) == pytest.approx(looked, abs=0.0)
    (aim,) = (line for line in loaded.curve.shown if line.ink == "target")
    assert [force_n for _percent, force_n in aim.points] == pytest.approx(looked, abs=0.0)
