from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from analysis.comparing.frames import LEAD_S, LONGEST_S, pair_frames
from analysis.comparing.phase import StrokeTimes
from tests.benchmarks.comparison_phase import phase_apart, real_apart
from tests.helpers.two_clips import PICKED, known_stroke

SLOW, FAST = StrokeTimes(2.0, 3.1, 5.3), StrokeTimes(4.0, 4.8, 5.9)


@pytest.mark.parametrize("seed", [1, 2])
def test_strokes_of_18_and_32_a_minute_stay_within_half_a_frame(seed: int) -> None:
    left, right = known_stroke(18.0, seed), known_stroke(32.0, seed + 40)
    apart = phase_apart(left, right, (left.true, right.true))
    assert apart.pairs > 90 and apart.largest <= 0.5 + 1e-6
    # Events found on a recording add what they are off by: a tenth of a frame.
    found = phase_apart(left, right, (left.found, right.found))
    assert found.timing < 0.15 and found.largest < 0.65
    # Events picked by hand on the nearest frame add up to half a frame either side.
    assert phase_apart(left, right, (left.rounded(30.0), right.rounded(30.0))).largest <= 1.5


def test_a_real_person_by_events_picked_by_hand(shared_media: Path) -> None:
    apart, wrists = real_apart(shared_media, PICKED)
    assert (apart.largest, apart.pairs) == (0.0, 77 - 1) and wrists < 0.5
    slipped, wrists = real_apart(shared_media, (25, 48, 101))
    assert slipped.largest <= 1.5 and wrists < 5.0


def test_the_side_with_more_frames_gives_the_beat_and_each_is_shown_once() -> None:
    slow_film, quick_film = np.arange(0.0, 8.0, 1 / 25), np.arange(0.0, 8.0, 1 / 60)
    clip = pair_frames(slow_film, quick_film, SLOW, FAST, "phase")
    rights = [p.right for p in clip.pairs]
    # 1.9 s of the quick stroke at 60 a second, against 3.3 s of the slow one at 25.
    assert rights == list(range(rights[0], rights[0] + len(rights))) and len(rights) > 114
    lefts = [p.left for p in clip.pairs]
    assert lefts == sorted(lefts) and set(np.diff(lefts)) <= {0, 1}
    other = pair_frames(quick_film, slow_film, SLOW, FAST, "phase")
    assert set(np.diff([p.left for p in other.pairs])) == {1}


def test_times_rise_and_frames_of_any_spacing_keep_theirs() -> None:
    rng = np.random.default_rng(5)
    uneven = np.cumsum(rng.uniform(0.02, 0.06, 240))
    clip = pair_frames(uneven, uneven + 1.0, SLOW, FAST, "phase")
    assert clip.pairs[0].out_s == 0.0
    outs = [p.out_s for p in clip.pairs]
    assert np.all(np.diff(outs) > 0.0) and clip.end_s > outs[-1]
    assert np.allclose(np.diff(outs), np.diff([uneven[p.left] for p in clip.pairs]))


def test_real_time_runs_until_both_are_over() -> None:
    film = np.arange(0.0, 10.0, 1 / 30)
    clip = pair_frames(film, film, FAST, SLOW, "real")
    assert clip.pairs[0].left_s == pytest.approx(FAST.catch_s - LEAD_S, abs=1 / 30)
    assert clip.end_s == pytest.approx(LEAD_S + SLOW.whole_s, abs=2 / 30)
    shifted = pair_frames(film, film, FAST, SLOW, "free", 0.5)
    pair = shifted.pairs[20]
    apart = film[pair.right] - SLOW.catch_s - (film[pair.left] - FAST.catch_s)
    assert apart == pytest.approx(0.5, abs=0.5 / 30 + 1e-9)


def test_a_pause_does_not_make_a_clip_long_and_no_film_makes_none() -> None:
    film = np.arange(0.0, 60.0, 1 / 30)
    assert pair_frames(film, film, StrokeTimes(1, 2, 50), SLOW, "phase").end_s <= LONGEST_S + 0.1
    assert pair_frames(film, film, StrokeTimes(90, 91, 92), SLOW, "phase").pairs == ()
