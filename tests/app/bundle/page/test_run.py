from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analysis.clocks.alignment import Alignment
from app.bundle.page.run import Run, run_of
from app.bundle.pictures.clips import Span
from app.bundle.sources.recordings import Sources, gather, sources_of
from app.review.parts.curve_marks import CurveMark, new_curve_mark
from app.review.parts.state import ReviewState
from tests.app.bundle.conftest import CATCHES_S, DRIVE_S, OFFSET_S, PEAK_N
from tests.helpers.submissions import submission_of


@pytest.fixture(scope="module")
def sources(review: ReviewState, review_path: Path) -> Sources:
    return gather(review, review_path)


def of_state(sources: Sources, state: ReviewState) -> Sources:
    return sources_of(replace(sources.submission, state=state))


def run_for(sources: Sources, review: ReviewState, span: Span, at_s: float) -> Run:
    assert sources.piece is not None
    run = run_of(sources, review, sources.piece.strokes[1], span, at_s)
    assert run is not None
    return run


CATCH_S = CATCHES_S[1] + OFFSET_S
STROKE = Span(CATCH_S - 0.25, CATCHES_S[2] + OFFSET_S, True)


def test_the_curve_stands_over_the_clips_own_time(sources: Sources, review: ReviewState) -> None:
    """A half sine of known height and place: what the script reads is what was rowed then."""
    run = run_for(sources, review, STROKE, CATCH_S + DRIVE_S / 2)
    data = json.loads(run.data)
    (t0, x0), (finish_ms, tail_x), (end_ms, end_x) = data["knots"]
    assert (t0, x0, end_x) == (0, 0, 320)
    assert end_ms == pytest.approx(1000 * STROKE.seconds, abs=1)
    # The drive is cut where force crosses 5 % of the peak, a moment after and before its ends.
    edge_ms = 1000 * DRIVE_S * np.arcsin(0.05) / np.pi
    assert data["catch"] == pytest.approx(250 + edge_ms, abs=12)
    assert finish_ms == pytest.approx(250 + 1000 * DRIVE_S - edge_ms, abs=12)
    assert tail_x == run.tail_x == 256
    x = np.arange(len(data["own"])) * data["step"]
    clip_ms = np.interp(x, [k[1] for k in data["knots"]], [k[0] for k in data["knots"]])
    share = np.clip((clip_ms / 1000 - 0.25) / DRIVE_S, 0, 1)
    assert data["own"] == pytest.approx(PEAK_N * np.sin(np.pi * share), abs=6)
    assert run.moment is not None
    assert run.moment[0] == pytest.approx(256 * (250 + 400) / finish_ms, abs=1)
    assert run.grid[1] == 500


def test_the_target_stands_on_the_drive_alone(sources: Sources, review: ReviewState) -> None:
    data = json.loads(run_for(sources, review, STROKE, CATCH_S).data)
    x = np.arange(len(data["aim"])) * data["step"]
    on = [p for p, value in zip(x, data["aim"], strict=True) if value is not None]
    at = np.interp([data["catch"], data["finish"]], *zip(*data["knots"], strict=True))
    assert (on[0], on[-1]) == pytest.approx(tuple(at), abs=data["step"])
    none = replace(sources, target=None)
    assert json.loads(run_for(none, review, STROKE, CATCH_S).data)["aim"] is None


def test_nothing_is_drawn_where_nobody_lined_up(sources: Sources, review: ReviewState) -> None:
    assumed = replace(review, alignment=Alignment(method="assumed"))
    assert run_of(of_state(sources, assumed), assumed, None, STROKE, CATCH_S) is None
    assert run_of(sources_of(submission_of(review, None)), review, None, STROKE, CATCH_S) is None
    assert run_of(sources, review, None, Span(1e4, 1e4 + 2), 1e4) is None


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    start=st.floats(-3, 12), length=st.floats(0.05, 12), offset=st.floats(-20, 20), data=st.data()
)
def test_any_clip_gives_a_whole_curve_or_none(
    sources: Sources, review: ReviewState, start: float, length: float, offset: float,
    data: st.DataObject,
) -> None:  # fmt: skip
    assert sources.piece is not None
    stroke = data.draw(st.sampled_from([None, *sources.piece.strokes]))
    state = replace(review, alignment=Alignment(offset, 0.0, 0.0, "by hand"))
    # The line-up alone differs: target, findings and flywheel need not be worked out anew.
    moved = replace(sources, submission=replace(sources.submission, state=state))
    run = run_of(moved, state, stroke, Span(start, start + length), start + length / 2)
    if run is None:
        return
    record = json.loads(run.data)
    times, places = zip(*record["knots"], strict=True)
    assert list(times) == sorted(times)
    assert list(places) == sorted(places)
    assert places[-1] == 320
    assert len(record["own"]) == 161
    for path in re.findall(r'<path class="own" d="([^"]*)"', run.drawn):
        assert re.fullmatch(r"(?:[ML][\d.]+ [\d.]+)+", path)
    for x in (run.catch_x, run.finish_x):
        assert x is None or 0 <= x <= 320


def test_what_lies_before_the_clip_does_not_pile_up_at_its_edge(
    sources: Sources, review: ReviewState
) -> None:
    """A clip that begins half way through the drive shows no mark of the first half."""
    late = Span(CATCH_S + 0.5 * DRIVE_S, CATCHES_S[2] + OFFSET_S, False)
    early = new_curve_mark("span", "time", [(5.0, 0.0), (15.0, 0.0)], "red")
    line = new_curve_mark("line", "time", [(0.0, 100.0), (20.0, 400.0), (30.0, 500.0)])
    across = new_curve_mark("span", "time", [(70.0, 0.0), (90.0, 0.0)], "blue")

    def drawn(*marks: CurveMark) -> str:
        state = replace(review, curve_marks=marks)
        return run_for(of_state(sources, state), state, late, late.from_s + 0.1).drawn

    assert drawn(early, line) == drawn()
    assert drawn(early, line, across) == drawn(across) != drawn()
