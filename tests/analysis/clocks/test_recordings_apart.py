"""One force file with hours of silence in it: the film is of one of its parts."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.clocks.matching import line_up
from analysis.clocks.recordings_apart import LONGEST_SILENCE_S, MOST_PARTS, parts_of
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from tests.helpers import rhythms


@pytest.mark.parametrize("silence_s", [5 * 3600.0, 3.2e7])
def test_a_film_of_the_shorter_part_is_lined_up_with_it(silence_s: float) -> None:
    rng = np.random.default_rng(4)
    rowed = rhythms.row(rng, rhythms.periods(rng, "loose", 26.0, 190.0))
    trace = rhythms.recorded(rng, rowed, 2.0, 170.0, 2.0)
    late = np.where(trace.time_s > 105.0, trace.time_s + silence_s, trace.time_s)
    apart = ForceTrace(late, trace.force_n, trace.position_m)
    strokes = find_strokes(apart)
    assert [len(part.time_s) for part, _ in parts_of(apart, strokes)] == sorted(
        (int((late < 106.0).sum()), int((late > 106.0).sum())), reverse=True
    )
    found = line_up(rhythms.filmed(rng, rowed, 115.0, 45.0), None, apart, strokes, 1.0)
    # 115 s of the piece are 113 s of the recorder, which is the film's beginning.
    assert found.verdict == "lined up"
    assert found.alignment.trace_time(0.0) == pytest.approx(113.0 + silence_s, abs=0.3)


def test_a_rest_parts_nothing_and_many_parts_are_bounded() -> None:
    time_s = np.arange(0.0, 60.0, 0.02)
    force = 500.0 * np.maximum(np.sin(2.0 * np.pi * time_s / 2.5), 0.0)
    rest = ForceTrace(np.where(time_s > 30.0, time_s + LONGEST_SILENCE_S - 1.0, time_s), force)
    strokes = find_strokes(rest)
    assert parts_of(rest, strokes) == [(rest, strokes)]
    torn = ForceTrace(time_s + 1e5 * np.floor(time_s / 6.0), force)
    assert len(parts_of(torn, find_strokes(torn))) == MOST_PARTS
