"""Two strokes that are compared show the ticked signals over each other by phase."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from analysis.clocks.alignment import Alignment, Pair
from app.review.parts.line_up import SetLineUp
from app.review.parts.shown_signals import ShowSignal
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.signals.signals import Signals
from app.window.main_window import MainWindow
from app.window.session.other_recordings import own_recording
from tests.app.window.conftest import open_and_wait
from tests.helpers.further_columns import KNOWN_HEADINGS, NONSENSE, write_with


@pytest.mark.parametrize("headings", [KNOWN_HEADINGS, NONSENSE], ids=["usual", "nonsense"])
def test_both_strokes_lie_over_each_other(
    bench: MainWindow, submission: Path, qtbot: QtBot, headings: tuple[str, ...]
) -> None:
    write_with(submission / "piece.csv", headings)
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    name = bench[Signals].choosable[1].name
    bench.session.do(SetLineUp((Pair(0, 0),), Alignment(0.0, method="by hand")))
    own = own_recording(bench.session)
    strokes = {s.index: s for s in own.strokes()}
    bench[Comparisons].comparing.add(own.ref(strokes[0]), own.ref(strokes[1]), own)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)
    under = bench[Comparisons].signals
    assert under.rows == () and not under.isVisible()
    bench.session.do(ShowSignal(name))
    (row,) = under.rows
    assert under.isVisible() and row.words == bench[Signals].shown[0].words
    force = bench.session.submission.force
    assert force is not None and row.left is not None and row.right is not None
    signal = force.piece.signals[name]
    for values, stroke in zip((row.left, row.right), force.piece.strokes[:2], strict=True):
        assert stroke.next_catch_s is not None
        # 0 is the catch, 50 the finish, 100 the next catch; between them straight.
        home_s = stroke.next_catch_s - stroke.finish_s
        at_s = np.array([stroke.catch_s, stroke.finish_s, stroke.finish_s + home_s / 2])
        np.testing.assert_allclose(values[[0, 50, 75]], signal.at(at_s), rtol=1e-9)
    assert np.isfinite(row.left).all() and np.isnan(row.right).any(), "the hole stays open"
    bench[Comparisons].comparing.show("")
    assert under.rows == ()
