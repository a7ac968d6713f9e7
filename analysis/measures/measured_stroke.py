"""One stroke with what measures are taken from, each worked out once."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from analysis.measures.handle_motion import HandleMotion, handle_motion
from analysis.measures.noise import calm_drive, drive_samples
from analysis.signals.along import course_of
from analysis.signals.signal import FloatArray, Signal, SignalSet
from analysis.signals.stroke import Stroke

BEFORE_CATCH_S = 0.5  # where the handle turns is looked for within this of the catch
AFTER_FINISH_S = 0.1


@dataclass(frozen=True, eq=False)
class MeasuredStroke:
    """One stroke and the signals around it.

    Force is taken as recorded, with straight lines between samples. Single samples say little
    under noise: what hangs on them is taken on `calm_n`.

    Attributes
    ----------
    force : N; None where nobody recorded it and the stroke is one of the picture
    handle : position, m, growing in the drive; None where it is not known
    signals : all signals of the submission, for measures of others
    """

    stroke: Stroke
    force: Signal | None
    handle: Signal | None = None
    signals: SignalSet = field(default_factory=SignalSet)

    def has(self, need: str) -> bool:
        """Whether "force", "handle", "recovery" or a signal of that name is known."""
        if need == "handle":
            return self.position_m is not None
        if need == "recovery":
            return self.stroke.recovery is not None
        return self.force is not None if need == "force" else need in self.signals

    @property
    def drive_s(self) -> float:
        """Finish less catch."""
        return self.stroke.finish_s - self.stroke.catch_s

    @cached_property
    def _drive(self) -> tuple[FloatArray, FloatArray]:
        signal = self.force if self.force is not None else self.handle
        if signal is None:
            return np.array((self.stroke.catch_s, self.stroke.finish_s)), np.full(2, np.nan)
        time_s, values = drive_samples(signal, self.stroke.catch_s, self.stroke.finish_s)
        return time_s, values if self.force is not None else np.full(len(time_s), np.nan)

    @property
    def time_s(self) -> FloatArray:
        """Instants of the drive, its two ends among them, as force or else the handle has them."""
        return self._drive[0]

    @property
    def force_n(self) -> FloatArray:
        """Force at these instants: (n,) N."""
        return self._drive[1]

    @cached_property
    def calm_n(self) -> FloatArray:
        """Force at these instants without noise: (n,) N."""
        return self.force_n if self.force is None else calm_drive(self.force, *self._drive)

    @cached_property
    def peak_n(self) -> float:
        """Highest force of the drive, N."""
        return float(self.calm_n.max())

    @cached_property
    def peak_s(self) -> float:
        """When force is highest, s."""
        return float(self.time_s[int(self.calm_n.argmax())])

    @cached_property
    def impulse_ns(self) -> float:
        """Force integrated over the drive, N s."""
        return float(np.trapezoid(self.force_n, self.time_s))

    @cached_property
    def position_m(self) -> FloatArray | None:
        """Handle at the instants of the drive, (n,) m; None where it is of no use."""
        if self.handle is None or course_of(self.stroke, "length", "drive", self.handle) is None:
            return None
        position: FloatArray = np.interp(self.time_s, self.handle.time_s, self.handle.values)
        return position if float(position[-1] - position[0]) > 0.0 else None

    @property
    def length_m(self) -> float:
        """Handle travel from catch to finish, m; 0 without a handle."""
        return 0.0 if self.position_m is None else float(self.position_m[-1] - self.position_m[0])

    @cached_property
    def work_j(self) -> float:
        """Force integrated over handle travel, J; 0 without a handle."""
        return (
            0.0 if self.position_m is None else float(np.trapezoid(self.force_n, self.position_m))
        )

    @cached_property
    def motion(self) -> HandleMotion | None:
        """The handle from before the catch to after the finish, smoothed."""
        if self.handle is None:
            return None
        from_s = self.stroke.catch_s - BEFORE_CATCH_S
        return handle_motion(self.handle, from_s, self.stroke.finish_s + AFTER_FINISH_S)
