"""Pieces with known faults, drawn from formulas: no body, no flywheel, no machine.

Independent of the simulated athlete on purpose: other curves, other ways to go wrong, so that
the findings are not tuned to one drawing. Only faults of the force curve.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from analysis.force.trace import FloatArray, ForceTrace

FAULTS = (
    "hard-catch",
    "give",
    "stepped-build-up",
    "peaky",
    "early-loss",
    "empty-finish",
    "late-peak",
    "finish-snatch",
    "uneven",
    "fading",
)
X: FloatArray = np.linspace(0.0, 1.0, 801)
Draw = Callable[[np.random.Generator, float], FloatArray]


def _ramps(rise: float, fall: float, power: float, x: FloatArray = X) -> FloatArray:
    """Rise until `rise`, fall from `fall`, along powers of straight ramps."""
    up, down = np.clip(x / rise, 0, 1), np.clip((1 - x) / (1 - fall), 0, 1)
    return np.sin(np.pi / 2 * np.minimum(up, down)) ** power


def clean(rng: np.random.Generator) -> FloatArray:
    """A sound curve of one of four families."""
    kind = int(rng.integers(4))
    if kind == 0:
        return np.sin(np.pi * X ** rng.uniform(0.85, 1.0)).clip(0) ** rng.uniform(0.8, 1.1)
    if kind == 1:
        return _ramps(rng.uniform(0.3, 0.42), rng.uniform(0.5, 0.62), rng.uniform(1.0, 1.3))
    if kind == 2:
        wide = rng.uniform(0.28, 0.36)
        return np.clip(np.minimum(X / wide, (1 - X) / rng.uniform(0.34, 0.42)), 0, 1)
    a, b = rng.uniform(0.9, 1.1), rng.uniform(0.9, 1.15)
    return X**a * (1 - X) ** b


def _hard_catch(rng: np.random.Generator, s: float) -> FloatArray:
    rise = 0.20 - 0.17 * s
    top = np.clip(X / rise, 0, 1)
    sag = 1 - s * rng.uniform(0.2, 0.5) * np.clip((X - rise) / (1 - rise), 0, 1)
    return top * sag * np.clip((1 - X) / rng.uniform(0.3, 0.45), 0, 1) ** 0.9


def _give(rng: np.random.Generator, s: float) -> FloatArray:
    curve = _ramps(rng.uniform(0.2, 0.28), rng.uniform(0.6, 0.68), 1.0)
    at, half = rng.uniform(0.28, 0.42), rng.uniform(0.06, 0.11)
    inside = np.clip(1 - np.abs(X - at) / half, 0, 1)
    return curve * (1 - (0.1 + 0.5 * s) * (0.5 - 0.5 * np.cos(np.pi * inside)))


def _stepped(rng: np.random.Generator, s: float) -> FloatArray:
    stairs, over = int(rng.integers(3, 5)), rng.uniform(0.48, 0.58)
    z = np.clip(X / over, 0, 1) * stairs
    whole, part = np.floor(z), z - np.floor(z)
    flat = 0.5 * s + 0.1
    steps = (whole + np.clip((part) / (1 - flat), 0, 1)) / stairs
    return np.minimum(np.minimum(steps, 1), np.clip((1 - X) / 0.34, 0, 1))


def _peaky(rng: np.random.Generator, s: float) -> FloatArray:
    at = rng.uniform(0.38, 0.5)
    tent = np.minimum(X / at, (1 - X) / (1 - at)).clip(0, 1)
    return tent ** (0.75 + 0.75 * s)


def _early_loss(rng: np.random.Generator, s: float) -> FloatArray:
    top = rng.uniform(0.22, 0.28)
    rise = np.sin(np.pi / 2 * np.clip(X / top, 0, 1))
    flat = top + 0.20 * (1 - s)
    fall = np.clip((1 - X) / (1 - flat), 0, 1) ** (0.8 + 0.7 * s)
    return rise * fall


def _empty_finish(rng: np.random.Generator, s: float) -> FloatArray:
    end = 0.93 - 0.23 * s
    whole = clean(rng)
    curve = np.interp(X / end, X, whole / whole.max(), right=0.0)
    return np.maximum(curve, rng.uniform(0.07, 0.11) * (X > 0.5) * (X < 0.995))


def _late_peak(rng: np.random.Generator, s: float) -> FloatArray:
    a = 1.2 + 1.6 * s
    return X**a * (1 - X) ** rng.uniform(0.7, 0.95)


def _snatch(rng: np.random.Generator, s: float) -> FloatArray:
    at, half = rng.uniform(0.86, 0.91), rng.uniform(0.05, 0.07)
    hump = np.clip(1 - np.abs(X - at) / half, 0, 1)
    return _ramps(0.35, 0.5, 1.1) + (0.1 + 0.35 * s) * np.sin(np.pi / 2 * hump) ** 2


DRAWN: dict[str, Draw] = {
    "hard-catch": _hard_catch,
    "give": _give,
    "stepped-build-up": _stepped,
    "peaky": _peaky,
    "early-loss": _early_loss,
    "empty-finish": _empty_finish,
    "late-peak": _late_peak,
    "finish-snatch": _snatch,
}


def draw_piece(seed: int, fault: str | None, strength: float) -> ForceTrace:
    """Draw 12-20 strokes at 18-40 a minute, 50-200 Hz, noise to 3 % of the peak.

    Parameters
    ----------
    fault : one of `FAULTS`, or None for a sound piece
    strength : 0-1
    """
    rng = np.random.default_rng([seed, 77])
    count, rate = int(rng.integers(12, 21)), float(rng.uniform(18, 40))
    hz, noise = float(rng.choice([50.0, 100.0, 200.0])), float(rng.uniform(0, 0.03))
    own = int(rng.integers(1 << 30))
    draw = DRAWN.get(fault or "")
    peaks = rng.normal(1.0, 0.02 + 0.11 * strength * (fault == "uneven"), count)
    peaks *= 1 - 0.3 * strength * (fault == "fading") * np.linspace(0, 1, count)
    drives = (1.13 - 0.0115 * rate) * rng.normal(1.0, 0.015, count)
    starts = 1.0 + np.cumsum(60.0 / (rate * rng.normal(1.0, 0.012, count)))
    time_s = np.arange(round((starts[-1] + 2.0) * hz)) / hz
    force_n = np.full(len(time_s), 12.0) + 3.0 * np.sin(time_s / 9.0)
    for start, drive, peak in zip(starts, drives, peaks, strict=True):
        again = np.random.default_rng(own)
        curve = clean(again) if draw is None else draw(again, strength)
        # No two strokes alike: a slow ripple and a stretch of the drive's own time.
        bent = X + 0.01 * rng.normal() * np.sin(np.pi * X)
        curve = np.interp(bent, X, curve) * (1 + 0.015 * np.sin(2 * np.pi * (X + rng.random())))
        inside = slice(*np.searchsorted(time_s, [start, start + drive]))
        share = (time_s[inside] - start) / drive
        force_n[inside] += 620.0 * peak * np.interp(share, X, curve / curve.max())
    return ForceTrace(time_s, force_n + rng.normal(0, noise * 620.0, len(time_s)))
