"""A page about a piece of several sections: its mean is of the longest, and says so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analysis.force.piece import PieceAnalysis, analyse
from analysis.force.trace import ForceTrace
from app.bundle.page.page_curves import section_reading
from app.bundle.sources.recordings import sources_of
from app.bundle.wording.words import ENGLISH
from app.review.parts.sections import new_section
from app.review.parts.state import ReviewState
from tests.helpers.submissions import submission_of

PERIODS_S = [3.0] * 12 + [2.0] * 8
PEAKS_N = [400.0] * 12 + [800.0] * 8


def rowed() -> PieceAnalysis:
    """Twelve light strokes at 20, then eight hard ones at 30; half sines of 0.9 s."""
    begins = np.concatenate(([1.0], 1.0 + np.cumsum(PERIODS_S)))
    time_s = np.arange(0.0, begins[-1] + 1.0, 0.01)
    force_n = np.zeros_like(time_s)
    for begin, peak in zip(begins, PEAKS_N, strict=False):
        share = (time_s - begin) / 0.9
        force_n += peak * np.where((share > 0) & (share < 1), np.sin(np.pi * share), 0.0)
    return analyse(ForceTrace(time_s, force_n))


def test_the_mean_curve_is_of_the_longest_section_alone() -> None:
    sources = sources_of(submission_of(ReviewState(), rowed()))
    assert sources.main is not None and sources.main.by_time is not None
    assert abs(float(sources.main.by_time.mean.max()) - 400.0) < 4.0
    said = section_reading(sources, ENGLISH)
    assert "12 strokes" in said and "1 to 12" in said and "at 20 a minute" in said


def test_a_name_of_the_coachs_is_said() -> None:
    begins = (new_section(0.0, "10 easy"), new_section(36.5, "race pace"))
    state = replace(ReviewState(), sections=begins)
    said = section_reading(sources_of(submission_of(state, rowed())), ENGLISH)
    assert "“10 easy”" in said


def test_of_one_section_nothing_is_said() -> None:
    state = replace(ReviewState(), sections=(new_section(0.0, "all"),))
    assert section_reading(sources_of(submission_of(state, rowed())), ENGLISH) == ""
