"""The handle force of one piece on its recorder's clock, and how it was read."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from analysis.signals.signal import TRACE, FloatArray, Signal, SignalSet

__all__ = ["ColumnMapping", "FloatArray", "ForceTrace", "IntakeReport", "TraceError"]

FORCE, HANDLE = "force", "handle"  # names of the two signals that strokes are cut from


class TraceError(ValueError):
    """A force file that cannot be used. The message is one sentence for the user."""


@dataclass(frozen=True)
class ColumnMapping:
    """How the columns of a delimited force file are to be read.

    Columns are counted from 0. `interval_s` stands in for a missing time column.
    Units are those of the file; everything is converted to SI on reading.
    """

    force_column: int
    force_unit: str  # "N", "kgf", "lbf", "kN", "daN", or a calibration, "245.3 N/V"
    time_column: int | None = None
    time_unit: str = "s"  # "s", "ms" or "us"
    interval_s: float | None = None
    position_column: int | None = None
    position_unit: str = "m"  # "m", "cm" or "mm"
    keep_rest: bool = False  # leave in the force what is read while nobody pulls
    one_hand: bool = False  # of a left and a right force, the column named and not their sum


@dataclass(frozen=True)
class IntakeReport:
    """What reading a force file found and did; nothing is repaired without a line here."""

    rows: int
    samples: int
    encoding: str
    delimiter: str
    decimal: str
    has_header: bool
    columns: tuple[str, ...]
    mapping: ColumnMapping
    missing: int = 0  # rows dropped because time, force or position was no finite number
    repeated: int = 0  # rows dropped because their time stood there before
    backward: int = 0  # rows put in order because the clock stepped back
    gaps_s: tuple[tuple[float, float], ...] = ()  # stretches with no samples, trace seconds
    remarks: tuple[str, ...] = ()  # sentences for the coach, in plain words
    began_s: float = 0.0  # what was taken off a clock that counts from a far-off date, s


@dataclass(frozen=True)
class ForceTrace:
    """Handle force over time.

    Attributes
    ----------
    time_s : (N,) float64, s, strictly ascending, on the force recorder's clock
    force_n : (N,) float64, N, finite, positive when the handle is pulled
    position_m : (N,) float64, m, travel of the handle away from the flywheel, or None
    intake : how the samples came to be
    further : the other columns of the file, on the same clock
    timed : False where it holds single strokes and nobody knows how long it was between them
    """

    time_s: FloatArray
    force_n: FloatArray
    position_m: FloatArray | None = None
    intake: IntakeReport | None = field(default=None, compare=False)
    further: tuple[Signal, ...] = field(default=(), compare=False)
    timed: bool = True

    @cached_property
    def force(self) -> Signal:
        """The handle force as a signal."""
        return Signal(FORCE, "Handle force", "N", 0, TRACE, self.time_s, self.force_n)

    @cached_property
    def handle(self) -> Signal | None:
        """The handle's position as a signal, None where it is not known."""
        if self.position_m is None:
            return None
        title = "Handle position"
        return Signal(HANDLE, title, "m", 2, TRACE, self.time_s, self.position_m)

    @cached_property
    def signals(self) -> SignalSet:
        """Every signal of the recording: force, handle position, further columns."""
        handle = () if self.handle is None else (self.handle,)
        return SignalSet((self.force, *handle, *self.further))

    @property
    def duration_s(self) -> float:
        """Seconds from the first sample to the last."""
        return float(self.time_s[-1] - self.time_s[0]) if len(self.time_s) > 1 else 0.0

    @property
    def interval_s(self) -> float:
        """Median seconds between samples; NaN for fewer than two."""
        return float(np.median(np.diff(self.time_s))) if len(self.time_s) > 1 else float("nan")
