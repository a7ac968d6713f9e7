"""What the picture tells of the body over time, whoever found it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.body.smoothing import CUT_OFF_HZ, calm_series
from analysis.force.trace import FloatArray


@dataclass(frozen=True)
class BodySeries:
    """Joint angles and positions at N instants; NaN where not known.

    Attributes
    ----------
    time_s : (N,) s, ascending, on the video clock
    knee_rad, elbow_rad : (N,) flexion, 0 is straight
    trunk_lean_rad : (N,) from the vertical, positive towards the flywheel
    lumbar_flexion_rad : (N,) bend of the low back, 0 is flat, positive is rounded
    seat_m, handle_m : (N,) along the rail, growing towards the finish, any origin
    handle_height_m : (N,) upwards, any origin
    """

    time_s: FloatArray
    knee_rad: FloatArray
    trunk_lean_rad: FloatArray
    lumbar_flexion_rad: FloatArray
    elbow_rad: FloatArray
    seat_m: FloatArray
    handle_m: FloatArray
    handle_height_m: FloatArray

    def __post_init__(self) -> None:
        lengths = {len(getattr(self, name)) for name in SIGNALS} | {len(self.time_s)}
        if len(lengths) > 1:
            raise ValueError("The series of the body must be equally long.")

    def calm(self, cut_off_hz: float = CUT_OFF_HZ) -> BodySeries:
        """Give the series without the jumps of its points; see `smoothing.calm_series`."""
        smooth = {n: calm_series(self.time_s, getattr(self, n), cut_off_hz) for n in SIGNALS}
        return replace(self, **smooth)

    def at(self, name: str, time_s: FloatArray) -> FloatArray:
        """Read one signal at some instants: same shape as `time_s`, NaN where it is unknown.

        Gaps longer than 0.15 s stay unknown, as does what lies outside the series.
        """
        values = getattr(self, name)
        known = np.flatnonzero(np.isfinite(values))
        if len(known) < 2:
            return np.full(np.shape(time_s), np.nan)
        clock = self.time_s[known]
        read = np.interp(time_s, clock, values[known], left=np.nan, right=np.nan)
        after = np.clip(np.searchsorted(clock, time_s), 1, len(clock) - 1)
        gap = clock[after] - clock[after - 1]
        return np.where(gap > LONGEST_GAP_S, np.nan, read)


LONGEST_GAP_S = 0.15
SIGNALS = (
    "knee_rad",
    "trunk_lean_rad",
    "lumbar_flexion_rad",
    "elbow_rad",
    "seat_m",
    "handle_m",
    "handle_height_m",
)


@dataclass(frozen=True)
class BodyStroke:
    """One stroke of the body in video seconds: turn at the catch, turn at the finish, next turn.

    `index` is the stroke of the force trace it belongs to, or its own number without a trace.
    """

    index: int
    catch_s: float
    finish_s: float
    before_s: float | None = None  # the finish before it, where its recovery begins


SMALLEST_WAY_M = 0.4


def body_strokes(body: BodySeries) -> tuple[BodyStroke, ...]:
    """Cut the series into strokes by the turns of the handle, or of the seat where it is unknown.

    A turn must stand out by half of the usual way (at least 0.4 m for the handle).
    """
    from scipy.signal import find_peaks

    signal, least = body.handle_m, SMALLEST_WAY_M
    if np.isfinite(signal).mean() < 0.5:
        signal, least = body.seat_m, 0.5 * SMALLEST_WAY_M
    known = np.isfinite(signal)
    if known.sum() < 8:
        return ()
    time_s, where = body.time_s[known], signal[known]
    way = float(np.subtract(*np.percentile(where, (95.0, 5.0))))
    if way < least:
        return ()
    far, _ = find_peaks(where, prominence=0.5 * way)
    near, _ = find_peaks(-where, prominence=0.5 * way)
    strokes: list[BodyStroke] = []
    for catch in near:
        finish = far[far > catch]
        if len(finish) == 0:
            break
        before = far[far < catch]
        strokes.append(
            BodyStroke(
                len(strokes),
                float(time_s[catch]),
                float(time_s[finish[0]]),
                float(time_s[before[-1]]) if len(before) else None,
            )
        )
    return tuple(strokes)
