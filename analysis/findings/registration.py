"""A mean curve that keeps the height of its strokes although their peaks wander in time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.signals.signal import FloatArray

# Share of each curve's own peak at which it is pinned on the way up and on the way down.
PINS = (0.5, 0.9)


@dataclass(frozen=True)
class RegisteredMean:
    """Mean after the strokes' landmarks were brought together.

    Attributes
    ----------
    mean_n : (P,) N
    landmarks_pct : (S, K) where each stroke's landmarks lie, percent of the drive
    timing_sd_pct : spread of the middle of the top, percent of the drive
    flattened : how much lower the peak of the plain mean is, as a share of the registered one
    """

    mean_n: FloatArray
    landmarks_pct: FloatArray
    timing_sd_pct: float
    flattened: float


def registered_mean(curves_n: FloatArray) -> RegisteredMean:
    """Bring landmarks of all strokes to their mean places, then average.

    Landmarks are where a curve passes half and nine tenths of its peak on the way up and down,
    and the ends; between them time is stretched in straight lines (landmark registration: Ramsay,
    Hooker & Graves 2009, Functional Data Analysis with R and MATLAB, ch. 8).

    Parameters
    ----------
    curves_n : (S, P) N at even steps from catch to finish
    """
    pct = np.linspace(0.0, 100.0, curves_n.shape[1])
    marks = np.array([_landmarks(curve, pct) for curve in curves_n])
    usual = marks.mean(axis=0)
    moved = np.array(
        [
            np.interp(np.interp(pct, usual, own), pct, curve)
            for own, curve in zip(marks, curves_n, strict=True)
        ]
    )
    mean: FloatArray = moved.mean(axis=0)
    plain = curves_n.mean(axis=0)
    middle = 0.5 * (marks[:, 2] + marks[:, 3])
    return RegisteredMean(
        mean,
        marks[:, 1:-1],
        float(middle.std(ddof=1)) if len(marks) > 1 else 0.0,
        1.0 - float(plain.max() / mean.max()) if mean.max() > 0.0 else 0.0,
    )


def _landmarks(curve: FloatArray, pct: FloatArray) -> FloatArray:
    """Ends and crossings of one curve, strictly rising: (6,) percent."""
    top = float(curve.max())
    low, high = PINS
    places = [
        0.0,
        _up(curve, pct, low * top),
        _up(curve, pct, high * top),
        100.0 - _up(curve[::-1], pct, high * top),
        100.0 - _up(curve[::-1], pct, low * top),
        100.0,
    ]
    # Equal places would fold time: a hair apart keeps the map one to one.
    spaced = np.maximum.accumulate(np.array(places)) + np.linspace(0.0, 1e-6, len(places))
    marks: FloatArray = spaced * 100.0 / spaced[-1]
    return marks


def _up(curve: FloatArray, pct: FloatArray, level: float) -> float:
    """First place at which a curve reaches a level, between points."""
    at = int((curve >= level).argmax())
    if at == 0:
        return 0.0
    part = (level - curve[at - 1]) / (curve[at] - curve[at - 1])
    return float(pct[at - 1] + part * (pct[at] - pct[at - 1]))
