"""The measures of one stroke. Definitions, units and sources: docs/measures.md."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.force.strokes import Stroke
from analysis.force.trace import ForceTrace


@dataclass(frozen=True)
class Measures:
    """Measures of one stroke in SI units; None where not measurable."""

    drive_s: float | None = None
    recovery_s: float | None = None
    rhythm: float | None = None  # recovery time divided by drive time
    rate_spm: float | None = None
    peak_n: float | None = None
    mean_n: float | None = None  # time mean over the drive
    impulse_ns: float | None = None
    mean_to_peak: float | None = None
    time_to_peak_pct: float | None = None  # percent of drive time
    length_to_peak_pct: float | None = None  # percent of drive length
    rfd_n_per_s: float | None = None  # largest slope over any 50 ms of the build-up
    plateau_pct: float | None = None  # percent of drive time at or above 90 % of peak
    length_m: float | None = None
    work_j: float | None = None


def measure_stroke(trace: ForceTrace, stroke: Stroke) -> Measures:
    """Measure one stroke."""
    raise NotImplementedError
