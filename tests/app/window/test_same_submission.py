"""The bench finds what the one loader finds, also with the film gone and other thresholds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from analysis.clocks.alignment import Alignment
from app.review.parts.findings import SetThreshold
from app.review.parts.notes import AddNote, Note
from app.review.parts.sections import SetSections, new_section
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
    assert bench[Findings].found is bench.session.submission.findings
    assert all(f.where.video_s == 3.0 + (f.where.trace_s or 0.0) for f in findings)


def test_other_sections_are_judged_anew(loaded: MainWindow, qtbot: QtBot) -> None:
    session, before = loaded.session, loaded[Findings].found
    session.do(SetSections((new_section(0.0, "Warm up"), new_section(3.0, "Piece"))))
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    assert len(session.submission.sections) == 2
    assert loaded[Findings].found is session.submission.findings is not before


def test_what_is_written_meanwhile_does_not_cost_the_findings(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    loaded.session.do(SetThreshold("give.depth", 60.0))
    loaded.session.do(AddNote(Note("a", 1.0, "Long arms.")))
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    assert loaded[Findings].found is loaded.session.submission.findings
