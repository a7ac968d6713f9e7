"""Traces of ideal curves, whose measures are known exactly."""

from __future__ import annotations

import numpy as np

from analysis.force.trace import FloatArray, ForceTrace
from analysis.signals.stroke import Stroke


def shape(name: str, x: FloatArray) -> FloatArray:
    """An ideal force curve over 0-1 of the drive, highest point 1."""
    if name == "triangle":
        return 1.0 - np.abs(2.0 * x - 1.0)
    if name == "half sine":
        return np.sin(np.pi * x)
    if name == "parabola":
        return 4.0 * x * (1.0 - x)
    if name == "trapezoid":  # flat over the middle 40 %
        return np.minimum(1.0, np.minimum(x, 1.0 - x) / 0.3)
    return np.ones_like(x)


def one_drive(
    name: str, peak_n: float = 600.0, drive_s: float = 0.9, hz: float = 2000.0
) -> tuple[ForceTrace, Stroke]:
    """One drive from 0 s to `drive_s` pulled at 1.5 m/s, and its stroke with those very ends."""
    n = round(drive_s * hz)
    time_s = np.linspace(0.0, drive_s, n + 1)
    force_n = peak_n * shape(name, time_s / drive_s)
    return ForceTrace(time_s, force_n, 1.5 * time_s), Stroke(0, 0.0, drive_s, drive_s + 1.6)


def row(
    strokes: int = 12, period_s: float = 2.5, drive_s: float = 0.9, hz: float = 100.0
) -> ForceTrace:
    """A trace of equal half-sine drives of 600 N that start at 1 s, 3.5 s ..., with position."""
    time_s = np.arange(round((strokes * period_s + 1.5) * hz)) / hz
    phase = np.mod(time_s - 1.0, period_s)
    rowing = (time_s >= 1.0) & (time_s < 1.0 + strokes * period_s)
    pulling = rowing & (phase < drive_s)
    force_n = np.where(pulling, 600.0 * np.sin(np.pi * np.minimum(phase / drive_s, 1.0)), 0.0)
    out = 0.7 - 0.7 * np.cos(np.pi * np.minimum(phase / drive_s, 1.0))
    home = 0.7 + 0.7 * np.cos(np.pi * np.clip((phase - drive_s) / (period_s - drive_s), 0, 1))
    return ForceTrace(time_s, force_n, np.where(rowing, np.where(phase < drive_s, out, home), 0.0))
