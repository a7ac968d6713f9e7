"""Footage and force of two pieces are told from those of one, by rhythms of this test's own."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.clocks.alignment import NOT_TOGETHER, Alignment
from analysis.clocks.keeping_step import FEWEST_SURE
from analysis.clocks.matching import LineUp, check, line_up
from analysis.force.strokes import find_strokes
from tests.helpers import rhythms
from tests.helpers.rhythms import Met


def laid(met: Met) -> LineUp:
    return line_up(met.motion, met.sound, met.trace, find_strokes(met.trace), met.slow)


def met(
    rhythm: str, seed: int, *, other: str = "", seconds: float = 40.0, slow: float = 1.0
) -> Met:
    """Footage from second 12 of a piece, or of another one, with the force of all of it."""
    rng = np.random.default_rng([seed, 5])
    rowed = rhythms.row(rng, rhythms.periods(rng, rhythm, 25.0, 100.0))
    seen = rhythms.row(rng, rhythms.periods(rng, other, 25.0, 100.0)) if other else rowed
    motion = rhythms.filmed(rng, seen, 12.0, seconds, slow)
    trace = rhythms.recorded(rng, rowed, 1.0, 80.0, 1.0)
    return Met("", rhythm, "picture", motion, None, trace, (1.0 - 12.0) * slow, 0, slow)


@pytest.mark.parametrize("rhythm", ["loose", "pyramid", "drifting"])
def test_one_piece_is_lined_up(rhythm: str) -> None:
    pair = met(rhythm, 1)
    found = laid(pair)
    assert found.verdict == "lined up" and not found.alignment.ambiguous
    assert abs(found.alignment.offset_s - pair.offset_s) < 0.2
    assert found.step.strokes >= FEWEST_SURE and found.step.none < 0.05


@pytest.mark.parametrize("other", ["loose", "pyramid"])
def test_another_piece_is_never_claimed_and_mostly_refused(other: str) -> None:
    """About a third stays undecided: errors of seeing are allowed for (docs/line-up.md)."""
    found = [laid(met("steady", seed, other=other)) for seed in range(3)]
    assert all(f.verdict != "lined up" and f.alignment.ambiguous for f in found)
    refused = [f for f in found if f.verdict == "not together"]
    assert len(refused) >= 2 and all(f.step.none > 0.3 for f in refused)


@pytest.mark.parametrize("kind", rhythms.NOT_ROWED)
def test_where_nobody_rows_nothing_keeps_step(kind: str) -> None:
    rng = np.random.default_rng(8)
    pair = met("steady", 2)
    found = line_up(rhythms.idle(rng, kind, 40.0), None, pair.trace, find_strokes(pair.trace))
    assert found.verdict == "not together"


@pytest.mark.parametrize("rhythm", ["metronome", "rests"])
def test_what_is_not_proved_is_not_refused(rhythm: str) -> None:
    assert laid(met(rhythm, 1)).verdict == "one of several"


@pytest.mark.parametrize("slow", [1.0, 4.0])
def test_nothing_is_sure_on_four_strokes(slow: float) -> None:
    for seed in range(3):
        found = laid(met("loose", seed, seconds=10.5, slow=slow))
        assert found.step.strokes < FEWEST_SURE
        assert found.verdict != "lined up"


def test_a_line_up_by_hand_stays_where_the_recordings_do_not_keep_step() -> None:
    pair = met("steady", 0, other="loose")
    said = check(Alignment(), pair.motion, None, pair.trace, find_strokes(pair.trace))
    assert said.agrees is None and said.sentence.startswith(NOT_TOGETHER)
