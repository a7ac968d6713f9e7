"""The bench finds what the one loader finds, also with the film gone and other thresholds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from analysis.clocks.alignment import Alignment
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.submission.load import load
from app.window.features.findings.findings import Findings
from app.window.main_window import MainWindow
from tests.app.window.conftest import open_and_wait
from tests.helpers.reviews import write_review


@pytest.mark.parametrize("film", ["here", "missing"])
@pytest.mark.parametrize("thresholds", [(), (("fewest-strokes", 2.0), ("no such", 1.0))])
def test_the_bench_shows_the_findings_of_the_loader(
    make_bench: Callable[..., MainWindow],
    submission: Path,
    qtbot: QtBot,
    film: str,
    thresholds: tuple,
) -> None:
    path, video = submission / "piece.review", submission / "piece.mp4"
    state = ReviewState(
        video=refer(video, "video", path),
        trace=refer(submission / "piece.csv", "trace", path),
        alignment=Alignment(3.0, 0.0, 0.01, "by hand"),
    )
    write_review(path, state := replace(state, thresholds=thresholds))
    if film == "missing":
        video.unlink()
    bench = make_bench()
    open_and_wait(bench, qtbot, path)
    findings = load(state, path).findings
    assert findings and bench[Findings].found == findings
    assert all(f.where.video_s == 3.0 + (f.where.trace_s or 0.0) for f in findings)
