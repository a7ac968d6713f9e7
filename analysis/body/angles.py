"""What the picture tells of the body over time, whoever found it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from analysis.body.smoothing import CUT_OFF_HZ, calm_series
from analysis.signals.signal import VIDEO, FloatArray, Signal, SignalSet

METRES = "m"
BODY_LENGTHS = "body lengths"  # shares of stature, where nobody said how tall the athlete is


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
    more : (N,) each, of the names in `MORE_SIGNALS`; those that are not known are left out
    sd : (N,) standard deviation of a series by its name, in its unit: mostly an error that stays
        or returns with every stroke, and little of it jitter; empty where nothing is known of it
    length_unit : of everything named "_m": `METRES` or `BODY_LENGTHS`
    length_sd : standard deviation of the scale of these, as a share
    """

    time_s: FloatArray
    knee_rad: FloatArray
    trunk_lean_rad: FloatArray
    lumbar_flexion_rad: FloatArray
    elbow_rad: FloatArray
    seat_m: FloatArray
    handle_m: FloatArray
    handle_height_m: FloatArray
    more: Mapping[str, FloatArray] = field(default_factory=dict)
    sd: Mapping[str, FloatArray] = field(default_factory=dict)
    length_unit: str = METRES
    length_sd: float = 0.0

    def __post_init__(self) -> None:
        rows = [self.values(name) for name in SIGNALS]
        rows += [*self.more.values(), *self.sd.values()]
        if {len(row) for row in rows} != {len(self.time_s)}:
            raise ValueError("The series of the body must be equally long.")
        unknown = (self.more.keys() - MORE_SIGNALS.keys()) | (self.sd.keys() - TITLES.keys())
        if unknown:
            raise ValueError(f"There is no series of the body called {', '.join(sorted(unknown))}.")

    def values(self, name: str) -> FloatArray:
        """Give one of the series, NaN all along where it is not known: (N,)."""
        if name in SIGNALS:
            core: FloatArray = getattr(self, name)
            return core
        if name not in MORE_SIGNALS:
            raise KeyError(name)
        return self.more.get(name, np.full(len(self.time_s), np.nan))

    def with_values(self, changed: Mapping[str, FloatArray]) -> BodySeries:
        """Give the same body with some of its series changed."""
        core = {name: changed.get(name, self.values(name)) for name in SIGNALS}
        more = {name: row for name, row in changed.items() if name not in SIGNALS}
        return replace(
            self,
            knee_rad=core["knee_rad"],
            trunk_lean_rad=core["trunk_lean_rad"],
            lumbar_flexion_rad=core["lumbar_flexion_rad"],
            elbow_rad=core["elbow_rad"],
            seat_m=core["seat_m"],
            handle_m=core["handle_m"],
            handle_height_m=core["handle_height_m"],
            more={**self.more, **more},
        )

    def calm(self, cut_off_hz: float = CUT_OFF_HZ) -> BodySeries:
        """Give the series without the jumps of its points; see `smoothing.calm_series`."""
        names = (*SIGNALS, *self.more)
        return self.with_values(
            {n: calm_series(self.time_s, self.values(n), cut_off_hz) for n in names}
        )

    def at(self, name: str, time_s: FloatArray) -> FloatArray:
        """Read one signal at some instants: same shape as `time_s`, NaN where it is unknown.

        Gaps longer than 0.15 s stay unknown, as does what lies outside the series.
        """
        return self.signal(name).at(time_s)

    def unit(self, name: str) -> str:
        """Unit of one of the series."""
        if name.endswith("_rad"):
            return "rad"
        return f"{self.length_unit}/s" if name.endswith("_m_s") else self.length_unit

    def signal(self, name: str) -> Signal:
        """Give one of the series as a signal."""
        return Signal(
            name, TITLES[name], self.unit(name), 2, VIDEO, self.time_s, self.values(name),
            hole_s=LONGEST_GAP_S,
        )  # fmt: skip

    @property
    def signals(self) -> SignalSet:
        """All series of which anything is known, as signals."""
        known = (name for name in TITLES if np.isfinite(self.values(name)).any())
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
# What is known besides, where the points of the body were followed.
MORE_SIGNALS = {
    "hip_rad": "Hip flexion",  # between thigh and trunk, 0 is straight
    # From the vertical: 0 is upright, negative is past it, with the knee nearer the flywheel.
    "shank_rad": "Shank",
    "handle_speed_m_s": "Handle speed in the picture",  # positive in the drive
    "hip_m": "Hip in the picture",  # along the rail, as the seat
    "shoulder_m": "Shoulder in the picture",
    "hip_height_m": "Hip height",  # on the origin of the handle's height
}
TITLES = {**SIGNALS, **MORE_SIGNALS}
