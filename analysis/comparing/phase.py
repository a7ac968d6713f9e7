"""Where in its stroke an instant is, and the instant of another stroke that is just as far.

Phase 0 is the catch, 1 the finish, 2 the next catch: drive and recovery each run evenly from their
start to their end, so that strokes of any rate meet at the same events. This is piecewise linear
time normalisation between events, as gait analysis uses it for stance and swing (Sadeghi et al.
2000, "Reduction of gait data variability using curve registration", Human Movement Science 19).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Timing = Literal["phase", "real", "free"]


class PhaseError(ValueError):
    """Events that make no stroke. The message is one sentence for the user."""


@dataclass(frozen=True)
class StrokeTimes:
    """Events of one stroke, seconds on the clock of its footage.

    Raises
    ------
    PhaseError
        A time is no finite number, or the events do not follow each other.
    """

    catch_s: float
    finish_s: float
    next_catch_s: float

    def __post_init__(self) -> None:
        """Refuse events out of order: no phase could be told from them."""
        known = all(math.isfinite(t) for t in (self.catch_s, self.finish_s, self.next_catch_s))
        if not known or not self.catch_s < self.finish_s < self.next_catch_s:
            raise PhaseError(
                "A stroke needs its catch, then its finish, then the next catch; mark them anew."
            )

    @property
    def whole_s(self) -> float:
        """From catch to next catch, seconds."""
        return self.next_catch_s - self.catch_s


@dataclass(frozen=True)
class OtherTime:
    """An instant of the other stroke, seconds, and whether it lies within that stroke."""

    t_s: float
    inside: bool


def phase_of(times: StrokeTimes, t_s: float) -> float:
    """How far in its stroke an instant is: 0 to 1 the drive, 1 to 2 the recovery.

    Outside the stroke it goes on as if the stroke were rowed again and again: before the catch
    comes a recovery as long as this one, after the next catch a drive as long as this one. So the
    phase is below 0 or above 2 there, and runs at the speed of the part it is in.
    """
    strokes = math.floor((t_s - times.catch_s) / times.whole_s)
    # From the nearer event, so that an event itself gives a whole number without rounding.
    start_s = _catch(times, strokes)
    if t_s < start_s:
        strokes -= 1
    elif t_s >= _catch(times, strokes + 1):
        strokes += 1
    start_s = _catch(times, strokes)
    finish_s = times.finish_s if strokes == 0 else start_s + (times.finish_s - times.catch_s)
    if t_s < finish_s:
        return 2.0 * strokes + (t_s - start_s) / (finish_s - start_s)
    return 2.0 * strokes + 1.0 + (t_s - finish_s) / (_catch(times, strokes + 1) - finish_s)


def time_at(times: StrokeTimes, phase: float) -> float:
    """The instant of a phase, seconds; the inverse of `phase_of`."""
    strokes = math.floor(phase / 2.0)
    rest = phase - 2.0 * strokes
    start_s = _catch(times, strokes)
    finish_s = times.finish_s if strokes == 0 else start_s + (times.finish_s - times.catch_s)
    if rest < 1.0:
        return start_s + rest * (finish_s - start_s)
    return finish_s + (rest - 1.0) * (_catch(times, strokes + 1) - finish_s)


def other_time(
    left: StrokeTimes, right: StrokeTimes, t_s: float, timing: Timing, shift_s: float = 0.0
) -> OtherTime:
    """The instant of the right stroke that belongs to an instant of the left one.

    The way back is the same call with the strokes exchanged and the sign of the shift turned, or
    `back_time`.

    Parameters
    ----------
    t_s : seconds on the left footage's clock
    timing : "phase": as far in its stroke; "real": as many seconds from its catch; "free": as
        many seconds from its catch and `shift_s` more
    shift_s : how much later in its stroke the right picture is, seconds ("free" only)
    """
    if timing == "phase":
        there_s = time_at(right, phase_of(left, t_s))
    else:
        there_s = right.catch_s + (t_s - left.catch_s)
        if timing == "free":
            there_s += shift_s
    return OtherTime(there_s, right.catch_s <= there_s <= right.next_catch_s)


def back_time(
    left: StrokeTimes, right: StrokeTimes, t_s: float, timing: Timing, shift_s: float = 0.0
) -> OtherTime:
    """The instant of the left stroke that belongs to an instant of the right one."""
    return other_time(right, left, t_s, timing, -shift_s)


def nearest_frame(frame_times_s: Sequence[float] | NDArray[np.float64], t_s: float) -> int:
    """The frame whose own instant lies nearest: at most half a frame off.

    The frame on screen at an instant may be a whole frame old, which would let one picture lag.

    Parameters
    ----------
    frame_times_s : (F,) presentation times, rising
    """
    times = np.asarray(frame_times_s)
    after = int(np.searchsorted(times, t_s))
    if after == 0:
        return 0
    if after == len(times):
        return len(times) - 1
    return after if times[after] - t_s < t_s - times[after - 1] else after - 1


def _catch(times: StrokeTimes, strokes: int) -> float:
    """The catch so many strokes on, seconds; the two that are known are given as they are."""
    if strokes <= 0:
        return times.catch_s + strokes * times.whole_s
    return times.next_catch_s + (strokes - 1) * times.whole_s
