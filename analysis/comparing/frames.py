"""Which frames of two recordings belong together, for a clip of both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from analysis.comparing.phase import StrokeTimes, Timing, back_time, nearest_frame, other_time
from analysis.signals.signal import FloatArray

LEAD_S: Final = 0.25  # before the left catch, so that the eye is there when it comes
LONGEST_S: Final = 12.0  # a pause after a stroke does not make its clip long


@dataclass(frozen=True)
class FramePair:
    """Two frames shown together.

    Attributes
    ----------
    out_s : when, seconds from the start of the clip
    left, right : numbers of the frames
    left_s : the instant on the left footage's clock that both stand for
    """

    out_s: float
    left: int
    right: int
    left_s: float


@dataclass(frozen=True)
class PairClip:
    """All pairs of a clip in order of time, and when the last one ends."""

    pairs: tuple[FramePair, ...]
    end_s: float


def pair_frames(
    left_times_s: FloatArray,
    right_times_s: FloatArray,
    left: StrokeTimes,
    right: StrokeTimes,
    timing: Timing,
    shift_s: float = 0.0,
) -> PairClip:
    """Pair the frames of two strokes, on the left one's clock.

    The side with more frames over the span gives the beat, each of its frames once and at its own
    time; beside it stands the other side's nearest frame, at most half a frame off.

    Parameters
    ----------
    left_times_s, right_times_s : (L,), (R,) presentation times of all frames, rising

    Returns
    -------
    PairClip
        Without pairs where one film does not reach its stroke; where it reaches a part, its first
        or last frame stands still beside the other.
    """
    start_s, end_s = _span(left, right, timing, shift_s)
    lefts = np.flatnonzero((left_times_s >= start_s - 1e-9) & (left_times_s < end_s))
    back = np.array([back_time(left, right, float(t), timing, shift_s).t_s for t in right_times_s])
    rights = np.flatnonzero((back >= start_s - 1e-9) & (back < end_s))
    if len(lefts) == 0 or len(rights) == 0:
        return PairClip((), 0.0)
    made: list[tuple[float, int, int]] = []
    if len(lefts) >= len(rights):
        for i in lefts:
            t_s = float(left_times_s[i])
            there_s = other_time(left, right, t_s, timing, shift_s).t_s
            made.append((t_s, int(i), nearest_frame(right_times_s, there_s)))
    else:
        for i in rights:
            t_s = float(back[i])
            made.append((t_s, nearest_frame(left_times_s, t_s), int(i)))
    first_s = made[0][0]
    pairs = tuple(FramePair(t_s - first_s, i, j, t_s) for t_s, i, j in made)
    step_s = float(np.median(np.diff([p.out_s for p in pairs]))) if len(pairs) > 1 else 1.0 / 30.0
    return PairClip(pairs, pairs[-1].out_s + step_s)


def _span(
    left: StrokeTimes, right: StrokeTimes, timing: Timing, shift_s: float
) -> tuple[float, float]:
    """From shortly before the earlier catch to the later next catch, on the left clock."""
    start_s, end_s = left.catch_s, left.next_catch_s
    if timing != "phase":
        start_s = min(start_s, back_time(left, right, right.catch_s, timing, shift_s).t_s)
        end_s = max(end_s, back_time(left, right, right.next_catch_s, timing, shift_s).t_s)
    start_s -= LEAD_S
    return start_s, min(end_s, start_s + LONGEST_S)
