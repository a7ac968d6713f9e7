"""Two strokes on one playhead: the frames that stand together, and what a coach does to them."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from analysis.comparing.phase import phase_of
from app.review.comparison import Comparison
from app.window.comparison_source import own_recording
from app.window.main_window import MainWindow

Key = Qt.Key
LEFT = Qt.MouseButton.LeftButton


def compare(bench: MainWindow, qtbot: QtBot, left: int = 0, right: int = 1) -> Comparison:
    """Put two strokes of the piece side by side."""
    own = own_recording(bench.desk)
    strokes = {s.index: s for s in own.strokes()}
    bench.comparisons.comparing.add(own.ref(strokes[left]), own.ref(strokes[right]), own)
    settle(bench, qtbot)
    return in_hand(bench)


def in_hand(bench: MainWindow) -> Comparison:
    comparison = bench.comparisons.comparing.in_hand
    assert comparison is not None
    return comparison


def settle(bench: MainWindow, qtbot: QtBot) -> None:
    """Wait until both pictures show what the playhead asks for."""
    comparing = bench.comparisons.comparing

    def shown() -> bool:
        footage, first = bench.desk.material.footage, bench.picture.frame
        second, wanted_s = comparing.stage.second.frame, bench.playhead.wanted_s
        if footage is None or first is None or bench.jobs.running:
            return False
        expected = comparing.second.frame_at(wanted_s)
        right = second.index if second is not None else None
        return first.index == footage.index.at(wanted_s) and right == expected

    qtbot.waitUntil(shown, timeout=20000)


def test_each_frame_on_the_left_has_the_frame_of_its_phase(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    comparison = compare(loaded, qtbot)
    comparing, footage = loaded.comparisons.comparing, loaded.desk.material.footage
    assert footage is not None
    times = footage.index.time_s
    first = footage.index.at(comparison.left.catch_s) + 1
    last = footage.index.at(comparison.left.next_catch_s)
    for frame in np.linspace(first, last, 6).astype(int):
        loaded.playhead.seek(float(times[frame]))
        settle(loaded, qtbot)
        second = comparing.stage.second.frame
        assert second is not None
        apart = phase_of(comparison.left.times, float(times[frame])) - phase_of(
            comparison.right.times, float(times[second.index])
        )
        part = comparison.right.finish_s - comparison.right.catch_s
        rest = comparison.right.next_catch_s - comparison.right.finish_s
        half_a_frame = 0.5 * float(np.diff(times).max()) / min(part, rest)
        assert abs(apart) <= half_a_frame + 1e-9
    assert comparing.stage.second.frame is not None
