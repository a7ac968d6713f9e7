"""Any column of a force file is shown by a tick: on the trace, on the stroke's curve, named."""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from analysis.force.piece import PieceAnalysis
from app.submission.shown_signals import DASHES, ShownSignal
from app.window.features.signals.signal_key import line_of
from app.window.features.signals.signals import NONE_THERE, Signals
from app.window.features.signals.trace_signals import SignalLine
from app.window.main_window import MainWindow
from app.window.widgets import theme
from tests.app.window.conftest import open_and_wait
from tests.helpers.further_columns import HOLE_S, KNOWN_HEADINGS, NONSENSE, write_with

ROOT = Path(__file__).resolve().parents[5]


@pytest.fixture(params=[KNOWN_HEADINGS, NONSENSE], ids=["usual", "nonsense"])
def with_columns(
    bench: MainWindow, tmp_path: Path, qtbot: QtBot, request: pytest.FixtureRequest
) -> MainWindow:
    path = write_with(tmp_path / "piece.csv", request.param)
    open_and_wait(bench, qtbot, path)
    return bench


def piece_of(bench: MainWindow) -> PieceAnalysis:
    force = bench.session.submission.force
    assert force is not None
    return force.piece


def tick(bench: MainWindow, *places: int) -> list[str]:
    """Tick by the keyboard, as the menu of ticks is used; the names that were ticked."""
    bench.menus.actions["signals"].trigger()
    actions = bench[Signals].menu.actions()
    for place in places:
        bench[Signals].menu.setActiveAction(actions[place])
        QTest.keyClick(bench[Signals].menu, Qt.Key.Key_Space)
        assert bench[Signals].menu.isVisible(), "more than one can be ticked"
    bench[Signals].menu.close()
    return [str(actions[place].data()) for place in places]


def test_the_menu_lists_titles_and_units_and_ticks_are_undone(with_columns: MainWindow) -> None:
    bench = with_columns
    words = [action.text() for action in bench[Signals].menu.actions()]
    piece = piece_of(bench)
    assert words == [f"{s.title}, {s.unit}" for s in piece.signals if s.name != "force"]
    assert bench[Signals].button.isVisible()
    names = tick(bench, 1, 0)
    assert bench.session.state.shown_signals == tuple(names)
    bench.session.undo()
    bench.session.undo()
    assert bench.session.state.shown_signals == ()
    assert not any(action.isChecked() for action in bench[Signals].menu.actions())
    assert bench[Signals].on_trace.drawn == {} and not bench[Signals].on_trace.key.isVisible()


def test_the_trace_shows_it_named_and_its_hole_open(with_columns: MainWindow) -> None:
    bench = with_columns
    (name,) = tick(bench, 1)
    signal = piece_of(bench).signals[name]
    bench.trace.zoom_all()
    x, y = bench[Signals].on_trace.drawn[name]
    inside = (x > HOLE_S[0] + 0.05) & (x < HOLE_S[1] - 0.05)
    assert not inside.any() and np.isnan(x).any(), "nothing is drawn across the hole"
    known = np.isfinite(x)
    low, high = np.nanmin(signal.values), np.nanmax(signal.values)
    offset_s = bench.session.state.alignment.offset_s
    expected = signal.at(x[known] - offset_s)
    np.testing.assert_allclose(low + y[known] * (high - low), expected, rtol=1e-6)
    (words,) = bench[Signals].on_trace.key.words
    assert words.startswith(f"{signal.title}, {signal.unit}: ")
    area, key = (
        bench.trace.getPlotItem().getViewBox().sceneBoundingRect(),
        bench[Signals].on_trace.key,
    )
    assert (
        key.isVisible()
        and key.x() >= area.right()
        and key.geometry().right() <= bench.trace.width()
    )


def test_a_long_trace_is_thinned_without_losing_a_spike() -> None:
    from analysis.signals.signal import TRACE, Signal

    time_s = np.arange(0.0, 2000.0, 0.01)
    values = np.zeros(len(time_s))
    values[123_456] = 9.0
    values[50_000:60_000] = np.nan
    line = SignalLine(ShownSignal(Signal("x", "X", "q", 0, TRACE, time_s, values), 0))
    x, y = line.view(0.0, 2000.0, 800)
    assert len(x) < 10_000 and np.nanmax(y) == 1.0
    assert not ((x > time_s[50_000] + 2.0) & (x < time_s[60_000] - 2.0)).any()


def test_the_curve_has_an_axis_a_unit_at_most_two(with_columns: MainWindow) -> None:
    bench = with_columns
    axes = bench[Signals].on_curve.axes
    assert not any(axis.axis.isVisible() for axis in axes)
    bench.playhead.seek(bench.session.state.alignment.video_time(0.9))
    names = tick(bench, *range(len(bench[Signals].choosable)))
    units = {s.unit for s in bench[Signals].shown}
    assert sum(axis.axis.isVisible() for axis in axes) == len(units)
    piece, curve = piece_of(bench), bench[Signals].on_curve
    for axis in ("time", "length"):
        bench.view.set_axis(axis)
        for name in names:
            stroke, mean = curve.drawn[name]
            signal = piece.signals[name]
            np.testing.assert_array_equal(stroke, piece.curve(signal, piece.strokes[0], axis))
            np.testing.assert_array_equal(mean, piece.curves(signal, axis).mean)
    assert curve.key.isVisible() and len(curve.key.words) == len(names)


def test_an_axis_too_low_for_its_words_says_the_unit(with_columns: MainWindow) -> None:
    tick(with_columns, 0)
    (shown,) = with_columns[Signals].shown
    axis = with_columns[Signals].on_curve.axes[0]
    axis.say("Way " * 200, shown.unit)
    assert axis.axis.labelText == shown.unit
    axis.say("Way", shown.unit)
    assert axis.axis.labelText == "Way"


def test_the_hole_stays_open_on_the_curve(with_columns: MainWindow) -> None:
    bench = with_columns
    (name,) = tick(bench, 1)
    bench.playhead.seek(bench.session.state.alignment.video_time(2.15))
    stroke, _mean = bench[Signals].on_curve.drawn[name]
    assert np.isnan(stroke).any() and np.isfinite(stroke).any()


def test_of_three_units_each_line_has_its_own_height_and_says_its_reach(
    bench: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, write_with(tmp_path / "p.csv", (*KNOWN_HEADINGS, *NONSENSE)))
    bench.playhead.seek(0.9)
    names = tick(bench, 0, 2, 3)
    assert not any(axis.axis.isVisible() for axis in bench[Signals].on_curve.axes)
    for name in names:
        for values in bench[Signals].on_curve.drawn[name]:
            assert np.nanmin(values) >= 0.0 and np.nanmax(values) <= 1.0
    assert all(" to " in words for words in bench[Signals].on_curve.key.words)


def test_without_further_columns_there_is_no_button_and_a_word_why(
    bench: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    (tmp_path / "p.csv").write_text(
        "time_s,force_n\n" + "".join(f"{i / 100},{500 * (i % 160 < 60)}\n" for i in range(800)),
        "utf-8",
    )
    open_and_wait(bench, qtbot, tmp_path / "p.csv")
    assert bench[Signals].choosable == () and not bench[Signals].button.isVisible()
    with qtbot.waitSignal(bench.messages.said, check_params_cb=lambda m, *_: NONE_THERE in str(m)):
        bench.menus.actions["signals"].trigger()


def test_lines_differ_by_dashes_and_stand_out_from_the_ground() -> None:
    from app.scene.colours import DARK
    from app.scene.force_curve import signal_ink
    from tests.helpers.contrast import contrast

    assert len(set(DASHES)) == len(DASHES)
    inks = {signal_ink(place) for place in range(32)}
    assert all(contrast(DARK[ink], theme.FLOOR) >= 4.5 for ink in inks)
    from analysis.signals.signal import TRACE, Signal

    signal = Signal("x", "X", "", 0, TRACE, np.arange(3.0), np.arange(3.0))
    two = np.arange(2.0)
    looks = [line_of(ShownSignal(signal, i), two, two) for i in range(32)]
    seen = {(DARK[line.ink], line.dash) for (line,) in looks}
    assert len(seen) == 32


def test_no_code_knows_a_signals_name() -> None:
    names = r"flurb|bpm|heart.?rate|seat.?pos|\bhr\b"
    found = subprocess.run(
        ["git", "grep", "-niE", names, "--", "app/*.py"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert found.stdout == ""


def test_on_a_low_screen_the_key_takes_one_row_and_the_measures_give_way(
    bench: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, write_with(tmp_path / "p.csv", (*KNOWN_HEADINGS, *NONSENSE)))
    least = bench.minimumSizeHint().height()
    tick(bench, 0, 1, 2, 3)
    bench.resize(1000, 400)  # a force alone has the picture's room: low is lower than with a film
    panel, key = bench.stroke_panel, bench[Signals].on_curve.key
    qtbot.waitUntil(lambda: panel.is_low)
    assert key.heightForWidth(key.width()) <= key.fontMetrics().height()
    qtbot.waitUntil(lambda: key.geometry().bottom() < bench.curve.geometry().top())
    qtbot.waitUntil(lambda: bench.curve.geometry().bottom() <= panel.height())
    assert bench.minimumSizeHint().height() <= least, "ticks ask for no larger screen"
    bench.resize(560, 1000)
    qtbot.waitUntil(lambda: not panel.is_low)
    assert key.heightForWidth(key.width()) > key.fontMetrics().height()
