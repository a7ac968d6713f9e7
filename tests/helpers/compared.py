"""A comparison of two strokes on the bench, and what is shown of it."""

from __future__ import annotations

from dataclasses import replace

from pytestqt.qtbot import QtBot

from app.review.parts.comparisons import Comparison
from app.review.parts.line_up import SetLineUp
from app.window.features.comparing.comparisons import Comparisons
from app.window.main_window import MainWindow
from app.window.session.other_recordings import own_recording


def compare(bench: MainWindow, qtbot: QtBot, left: int = 0, right: int = 1) -> Comparison:
    """Put two strokes of the piece side by side."""
    own = own_recording(bench.session)
    strokes = {s.index: s for s in own.strokes()}
    bench[Comparisons].comparing.add(own.ref(strokes[left]), own.ref(strokes[right]), own)
    settle(bench, qtbot)
    return selected(bench)


def selected(bench: MainWindow) -> Comparison:
    comparison = bench[Comparisons].comparing.selected
    assert comparison is not None
    return comparison


def settle(bench: MainWindow, qtbot: QtBot) -> None:
    """Wait until both pictures show what the playhead asks for."""
    comparing = bench[Comparisons].comparing

    def shown() -> bool:
        footage, first = bench.session.footage, bench.picture.frame
        second, wanted_s = comparing.stage.second.frame, bench.playhead.wanted_s
        if footage is None or first is None or bench.jobs.running:
            return False
        expected = comparing.second.frame_at(wanted_s)
        right = second.index if second is not None else None
        return first.index == footage.index.at(wanted_s) and right == expected

    qtbot.waitUntil(shown, timeout=20000)


def line_up(bench: MainWindow) -> None:
    """Say that footage and force count from one moment, as these two do."""
    alignment = replace(bench.session.state.alignment, method="by hand")
    bench.session.do(SetLineUp((), alignment))
