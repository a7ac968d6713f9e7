"""The signals that are ticked on the stroke strip and in a walkthrough: named, holes left open."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from analysis.force.intake import read_trace
from analysis.force.piece import PieceAnalysis, analyse
from app.bundle.pictures.content import of_signals
from app.bundle.pictures.strip import make_strip, strip_svg
from app.bundle.pictures.strip_layout import lay_out
from app.bundle.walkthrough.walkthrough_curve import CurvePanel
from app.bundle.wording.signal_words import named_signals
from app.bundle.wording.words import ENGLISH
from app.review.parts.state import ReviewState
from app.scene.plot import runs_of
from app.scene.shapes import Line, Text
from app.submission.clock import ReviewClock
from app.submission.shown_signals import choosable, shown
from tests.helpers.further_columns import KNOWN_HEADINGS, NONSENSE, write_with
from tests.helpers.submissions import submission_of


@pytest.fixture(params=[KNOWN_HEADINGS, NONSENSE], ids=["usual", "nonsense"])
def piece(tmp_path: Path, request: pytest.FixtureRequest) -> PieceAnalysis:
    return analyse(read_trace(write_with(tmp_path / "force.csv", request.param)))


def ticked(piece: PieceAnalysis) -> ReviewState:
    return ReviewState(
        shown_signals=tuple(c.name for c in choosable(submission_of(piece=piece))[1:])
    )


def test_the_strip_has_a_row_a_signal_under_the_curve(piece: PieceAnalysis) -> None:
    state = ticked(piece)
    plain = lay_out(make_strip(None, piece, 1, ReviewClock.of(state)), 1000.0)
    named = named_signals(submission_of(state, piece), ENGLISH)
    strip = make_strip(None, piece, 1, ReviewClock.of(state), state=state, signals=named)
    layout = lay_out(strip, 1000.0)
    assert layout.height > plain.height
    texts = [s.text for s in layout.shapes if isinstance(s, Text)]
    for choice in shown(submission_of(state, piece)):
        assert f"{choice.words}: {choice.reach_words}" in texts
        assert choice.signal.title in strip_svg(strip)
    # The hole lies in this stroke: the first row is drawn in two pieces, the others in one.
    rows = [s for s in layout.shapes if isinstance(s, Line) and s.ink == "ink"]
    assert len(rows) == len(strip.signals) + 1
    ends = sorted((r.points[0][0], r.points[-1][0]) for r in rows if r.dash == rows[0].dash)
    assert ends[0][1] < ends[1][0] - 50.0


def test_without_a_tick_strip_and_keys_are_as_ever(piece: PieceAnalysis) -> None:
    state = ReviewState(shown_signals=("gone",))
    sent = submission_of(state, piece)
    assert named_signals(sent, ENGLISH) == ()
    assert of_signals(sent) == {}
    assert of_signals(submission_of(ticked(piece), piece)) != {}


def test_a_walkthrough_paints_them_with_their_hole(piece: PieceAnalysis) -> None:
    signals = named_signals(submission_of(ticked(piece), piece), ENGLISH)[:1]
    bare = CurvePanel(640, 120, piece, None, ENGLISH, 1)
    with_it = CurvePanel(640, 120, piece, None, ENGLISH, 1, (), signals)
    stroke = piece.strokes[1]
    pictures = [panel.at(stroke.catch_s).y.astype(int) for panel in (bare, with_it)]
    changed = np.abs(pictures[0] - pictures[1]) > 30
    words = 28  # rows of the panel over the plot
    hole = slice(bare.cursor_px(2.25), bare.cursor_px(2.55))
    beside = slice(bare.cursor_px(2.8), bare.cursor_px(3.4))
    assert not changed[words:, hole].any() and changed[words:, beside].any()
    legend = changed[:words]
    assert legend.any(), "it is named"


def test_runs_are_what_lines_may_join() -> None:
    nan = np.nan
    assert runs_of(np.array([1.0, 2.0, nan, 3.0, nan, 4.0, 5.0, 6.0])) == [
        slice(0, 2),
        slice(5, 8),
    ]
    assert runs_of(np.array([nan, nan])) == [] and runs_of(np.array([])) == []
