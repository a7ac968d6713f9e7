"""Athletes drawn as plain numbers: strokes that resemble each other, days that differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from analysis.following_up.summaries import (
    FindingSummary,
    PieceSummary,
    SectionSummary,
    measure_summary,
)
from analysis.measures.registry import KEYS

# Middle of each measure, its spread from stroke to stroke as a share, and its change in percent
# with one percent of rate: what a trained rower of middle size might show, set by hand here.
USUAL: dict[str, tuple[float, float, float]] = {
    "drive_s": (0.80, 0.020, -0.5),
    "recovery_s": (1.70, 0.030, -1.4),
    "rhythm": (2.10, 0.040, -0.9),
    "rate_spm": (24.0, 0.012, 1.0),
    "peak_n": (620.0, 0.035, 0.4),
    "mean_n": (330.0, 0.030, 0.4),
    "impulse_ns": (270.0, 0.030, -0.1),
    "mean_to_peak": (0.53, 0.030, 0.0),
    "time_to_peak_pct": (44.0, 0.060, 0.0),
    "rfd_n_per_s": (3600.0, 0.080, 0.8),
    "length_m": (1.38, 0.012, -0.1),
    "work_j": (430.0, 0.030, 0.2),
}


@dataclass(frozen=True)
class Athlete:
    """One who rows as drawn.

    Attributes
    ----------
    day : standard deviation from day to day, in those of strokes
    alike : correlation of neighbouring strokes
    changed : what was learned, by measure, in standard deviations of strokes
    """

    day: float = 0.5
    alike: float = 0.3
    changed: Mapping[str, float] = field(default_factory=dict)


def piece_of(
    rng: np.random.Generator,
    athlete: Athlete,
    learned: bool = False,
    strokes: int = 40,
    rate_spm: float = 24.0,
    found: str = "",
    limit: float = 0.0,
) -> PieceSummary:
    """Draw a piece and sum it up.

    Parameters
    ----------
    learned : after what the athlete changed
    found : a finding of strokes whose latent value lies above `limit`, in standard deviations
    """
    shares = np.log(rate_spm / 24.0)
    told = {}
    for key in KEYS:
        if key not in USUAL:
            continue
        middle, spread, with_rate = USUAL[key]
        shift = athlete.changed.get(key, 0.0) if learned else 0.0
        day = 0.0 if key == "rate_spm" else athlete.day * rng.standard_normal()
        row = day + shift + _alike(rng, strokes, athlete.alike)
        values = middle * np.exp(with_rate * shares) * (1.0 + spread * row)
        summed = measure_summary(key, values.tolist())
        assert summed is not None
        told[key] = summed
    rate, force = told["rate_spm"].mean, told["mean_n"].mean
    findings: tuple[FindingSummary, ...] = ()
    if found:
        shift = athlete.changed.get(found, 0.0) if learned else 0.0
        latent = athlete.day * rng.standard_normal() + shift + _alike(rng, strokes, athlete.alike)
        shows = int((latent > limit).sum())
        if shows:
            findings = (
                FindingSummary(
                    found, found.title(), "drive", shows / strokes, 0.5, (shows,),
                    raised=shows >= 0.3 * strokes, seen_in="force",
                ),
            )  # fmt: skip
    section = SectionSummary("", strokes, rate, force, told)
    return PieceSummary("force", (section,), findings, looked_at=("force",))


def _alike(rng: np.random.Generator, strokes: int, alike: float) -> np.ndarray:
    """Strokes of variance 1, each like the one before by so much."""
    fresh = rng.standard_normal(strokes)
    row = np.empty(strokes)
    row[0] = fresh[0]
    for i in range(1, strokes):
        row[i] = alike * row[i - 1] + np.sqrt(1.0 - alike**2) * fresh[i]
    return row
