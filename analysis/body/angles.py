"""What the picture tells of the body over time, whoever found it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from analysis.body.smoothing import CUT_OFF_HZ, calm_series
from analysis.signals.signal import VIDEO, FloatArray, Signal, SignalSet
from analysis.signals.stroke import Stroke


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
        return self.signal(name).at(time_s)

    def signal(self, name: str) -> Signal:
        """Give one of the series as a signal."""
        unit = "rad" if name.endswith("_rad") else "m"
        return Signal(
            name, SIGNALS[name], unit, 2, VIDEO, self.time_s, getattr(self, name),
            hole_s=LONGEST_GAP_S,
        )  # fmt: skip

    @property
    def signals(self) -> SignalSet:
        """All series of which anything is known, as signals."""
        known = (name for name in SIGNALS if np.isfinite(getattr(self, name)).any())
        return SignalSet(tuple(self.signal(name) for name in known))


LONGEST_GAP_S = 0.15
# Names of the series and their titles for people.
SIGNALS = {
    "knee_rad": "Knee flexion",
    "trunk_lean_rad": "Trunk lean",
    "lumbar_flexion_rad": "Low-back flexion",
    "elbow_rad": "Elbow flexion",
    "seat_m": "Seat in the picture",
    "handle_m": "Handle in the picture",
    "handle_height_m": "Handle height",
}


SMALLEST_WAY_M = 0.4


def body_strokes(body: BodySeries) -> tuple[Stroke, ...]:
    """Cut the series into strokes by the turns of the handle, or of the seat where it is unknown.

    Catch, finish and next catch are these turns, in seconds of the film.

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
    strokes: list[Stroke] = []
    for catch in near:
        finish = far[far > catch]
        if len(finish) == 0:
            break
        before, after = far[far < catch], near[near > finish[0]]
        strokes.append(
            Stroke(
                len(strokes),
                float(time_s[catch]),
                float(time_s[finish[0]]),
                float(time_s[after[0]]) if len(after) else None,
                before_s=float(time_s[before[-1]]) if len(before) else None,
                source="body",
                clock=VIDEO,
            )
        )
    return tuple(strokes)
