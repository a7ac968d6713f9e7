"""Footage with a stretch left out: both sides are lined up, and only where there is a cut."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from analysis.clocks.cuts import jumps_in, line_up_with_cuts, said_of_sides
from analysis.clocks.matching import line_up
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from tests.helpers import rhythms
from tests.helpers.rhythms import cut_out, draw_wrong


def filmed(
    rhythm: str, seed: int, seconds: float = 75.0
) -> tuple[ForceTrace, MotionSignal, SoundSignal]:
    rng = np.random.default_rng([seed, 6])
    rowed = rhythms.row(rng, rhythms.periods(rng, rhythm, 26.0, 120.0))
    trace = rhythms.recorded(rng, rowed, 2.0, 105.0, 2.0)
    motion = rhythms.filmed(rng, rowed, 12.0, seconds)
    return trace, motion, rhythms.heard(rng, rowed, 12.0, seconds)


@pytest.mark.parametrize("rhythm", ["loose", "pyramid"])
def test_both_sides_of_a_cut_are_lined_up(rhythm: str) -> None:
    trace, motion, sound = filmed(rhythm, 3)
    motion, heard, gone = cut_out(motion, sound, 33.0, 42.0)
    strokes = find_strokes(trace)
    whole = line_up(motion, heard, trace, strokes, 1.0)
    found = line_up_with_cuts(motion, heard, trace, strokes, 1.0)
    assert whole.verdict != "lined up" and found.verdict == "lined up"
    first, second = found.sides
    assert first.until_s == second.from_s == pytest.approx(33.0, abs=0.05)
    assert first.found is not None and second.found is not None
    assert first.found.alignment.offset_s == pytest.approx(-10.0, abs=0.1)
    assert second.found.alignment.offset_s == pytest.approx(-10.0 - gone, abs=0.1)
    # Each line-up says where it holds: beyond the cut it would be wrong by what was cut out.
    early, late = first.found.alignment, second.found.alignment
    assert (early.from_s, late.until_s) == (None, None)
    assert early.holds(20.0) and not early.holds(first.until_s)
    assert late.holds(first.until_s) and not late.holds(20.0)
    assert "only" in early.reach and "only" in late.reach and not whole.alignment.is_partial
    said = said_of_sides(found)
    assert "cut at 33.0 s" in said and "reads zero at" in said
    # Both count, where both are sure: what was left out lies nowhere in the film.
    sure = [s.found.alignment for s in (first, second) if s.found.verdict == "lined up"]
    assert list(found.alignment.parts) == sure or len(sure) == 0
    if len(sure) == 2:
        assert not found.alignment.has_gap and "each side" in said
        assert found.alignment.shown(20.0) == pytest.approx(10.0, abs=0.1)
        assert found.alignment.shown(33.0 + 10.0 + 0.5 * gone) is None
        assert found.alignment.shown(70.0) == pytest.approx(60.0 - gone, abs=0.1)


def test_a_jump_of_the_picture_alone_is_no_cut() -> None:
    trace, motion, sound = filmed("loose", 4, seconds=40.0)
    changed = np.ones(len(motion.time_s))
    changed[len(changed) // 2] = 5.0
    jumpy = replace(motion, changed=changed)
    assert len(jumps_in(jumpy)) == 1
    found = line_up_with_cuts(jumpy, sound, trace, find_strokes(trace), 1.0)
    assert found.sides == () and found.verdict == "lined up"
    assert found.alignment == line_up(motion, sound, trace, find_strokes(trace), 1.0).alignment
    assert said_of_sides(found) == ""


def test_sides_in_another_order_than_the_force_are_not_believed() -> None:
    """The second half shown first: no cut makes that."""
    trace, motion, _ = filmed("pyramid", 5)
    half = len(motion.time_s) // 2
    changed = np.ones(2 * half)
    changed[half] = 5.0
    turned = np.concatenate((motion.travel[half : 2 * half], motion.travel[:half]))
    shown = replace(motion, time_s=motion.time_s[: 2 * half], travel=turned, changed=changed)
    found = line_up_with_cuts(shown, None, trace, find_strokes(trace), 1.0)
    assert sum(s.found is not None and s.found.verdict == "lined up" for s in found.sides) < 2


@pytest.mark.parametrize("seed", [2, 5])
def test_another_piece_is_not_claimed_for_its_cuts(seed: int) -> None:
    met = draw_wrong(seed, "another piece")
    motion = met.motion or rhythms.idle(np.random.default_rng(seed), "walking", 60.0)
    changed = np.ones(len(motion.time_s))
    changed[len(changed) // 3] = changed[2 * len(changed) // 3] = 5.0
    shown = replace(motion, changed=changed)
    found = line_up_with_cuts(shown, met.sound, met.trace, find_strokes(met.trace), 1.0)
    assert found.verdict != "lined up"


def test_where_the_picture_jumps_is_found_and_nowhere_else() -> None:
    even = rhythms.idle(np.random.default_rng(1), "walking", 40.0)
    noise = 1.0 + 0.2 * np.random.default_rng(2).random(len(even.time_s))
    assert jumps_in(even) == () and jumps_in(replace(even, changed=noise)) == ()
    at = len(noise) // 2
    noise[at] = 3.0
    assert jumps_in(replace(even, changed=noise)) == (float(even.time_s[at]),)
    noise[3] = noise[-3] = 9.0  # nothing could be lined up beyond those
    assert len(jumps_in(replace(even, changed=noise))) == 1
