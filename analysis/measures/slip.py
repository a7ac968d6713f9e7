"""The slip of the catch: how long the handle moves before the force is there."""

from __future__ import annotations

import numpy as np

from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.spec import FORCE, HANDLE, MeasureSpec
from analysis.signals.signal import FloatArray

PEAK_SHARE = 0.3
# The handle moves when it is this far from its turn, and further than its noise reaches.
MOVED_M = 0.005
MOVED_NOISES = 3.0


def _slip_s(m: MeasuredStroke) -> float | None:
    loaded_s = _first_above(m.time_s, m.calm_n, PEAK_SHARE * m.peak_n)
    motion = m.motion
    if loaded_s is None or motion is None or motion.time_s[0] > m.stroke.catch_s:
        return None
    until = int(np.searchsorted(motion.time_s, loaded_s, side="right"))
    position = motion.position_m[:until]
    if until < 2:
        return None
    moved_m = float(position.min()) + max(MOVED_M, MOVED_NOISES * motion.noise_m)
    at_rest = np.flatnonzero(position <= moved_m)
    last = int(at_rest[-1])
    if last == until - 1:
        return 0.0  # the force was there before the handle had moved
    step = position[last : last + 2]
    share = (moved_m - step[0]) / (step[1] - step[0])
    begun_s = motion.time_s[last] + share * (motion.time_s[last + 1] - motion.time_s[last])
    return max(0.0, float(loaded_s - begun_s))


def _first_above(time_s: FloatArray, force_n: FloatArray, level_n: float) -> float | None:
    """When a chain of straight lines first reaches a level, s."""
    above = np.flatnonzero(force_n >= level_n)
    if len(above) == 0 or level_n <= 0.0:
        return None
    i = int(above[0])
    if i == 0:
        return float(time_s[0])
    share = (level_n - force_n[i - 1]) / (force_n[i] - force_n[i - 1])
    return float(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]))


SLIP_S = MeasureSpec(
    key="slip_s", title="Slip at the catch", short="slip s", unit="s", digits=2,
    compute=_slip_s, needs=(FORCE, HANDLE),
    meaning="How long the handle moves before the pull reaches 30 % of its peak.",
    definition=(
        "time from the first movement of the handle to 30 % of the peak; the handle has moved when "
        "it last is 5 mm (or three times the noise of its position) from its turn at the catch; 0 "
        "where the force is there first"
    ),
)  # fmt: skip
