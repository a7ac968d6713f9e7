"""Force traces with known catches, drawn from formulas: no body, no flywheel, no machine.

Independent of the simulated athlete on purpose: other curve families, so that the cutting of
strokes is not tuned to one shape.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analysis.force.trace import FloatArray, ForceTrace

FINE = 2001


@dataclass(frozen=True)
class TraceOptions:
    """What to draw. Shares are of the nominal peak; `noise` is a standard deviation."""

    seed: int = 1
    strokes: int = 1000
    rate_spm: float = 24.0
    hz: float = 100.0
    peak_n: float = 600.0
    noise: float = 0.0
    drift: float = 0.0
    dropouts: float = 0.0  # share of samples lost one by one
    jitter: float = 0.0  # standard deviation of the sampling instants, in intervals
    pauses: int = 0
    halves: int = 0
    bumps: float = 0.0  # share of recoveries with a tug on the handle
    gives: float = 0.0  # share of drives with a give down to as little as 40 % of the peak
    cord_n: float = 12.0
    family: str = "mixed"


@dataclass(frozen=True)
class TruePull:
    """One drawn pull, seconds; 5 % of its own peak above the cord."""

    catch_s: float
    finish_s: float
    half: bool


def _beta(x: FloatArray, rng: np.random.Generator) -> FloatArray:
    a, b = rng.uniform(0.8, 1.7), rng.uniform(0.8, 1.7)
    return x**a * (1.0 - x) ** b


def _cosine(x: FloatArray, rng: np.random.Generator) -> FloatArray:
    w, p = rng.uniform(0.22, 0.45), rng.uniform(0.5, 0.7)
    rise = 0.5 - 0.5 * np.cos(np.pi * np.clip(x / w, 0, 1))
    fall = 0.5 - 0.5 * np.cos(np.pi * np.clip((1.0 - x) / (1.0 - p), 0, 1))
    return np.minimum(rise, fall) * (1.0 - 0.15 * np.clip(x - w, 0, 1))


def _power(x: FloatArray, rng: np.random.Generator) -> FloatArray:
    w, p, q = rng.uniform(0.2, 0.4), rng.uniform(0.8, 1.6), rng.uniform(0.9, 1.5)
    return np.where(x < w, (np.clip(x, 0, w) / w) ** p, (np.clip(1.0 - x, 0, 1) / (1.0 - w)) ** q)


def _sine(x: FloatArray, rng: np.random.Generator) -> FloatArray:
    return np.sin(np.pi * x ** rng.uniform(0.75, 1.15)).clip(0) ** rng.uniform(0.9, 1.4)


FAMILIES = {"beta": _beta, "cosine": _cosine, "power": _power, "sine": _sine}


def draw_trace(options: TraceOptions) -> tuple[ForceTrace, tuple[TruePull, ...]]:
    """Draw one trace and its pulls."""
    rng = np.random.default_rng(options.seed)
    starts, drives, half = _timing(options, rng)
    hz = options.hz
    time_s = np.arange(round((starts[-1] + drives[-1] + 2.5) * hz)) / hz
    if options.jitter:
        time_s = np.sort(time_s + rng.normal(0, options.jitter / hz, len(time_s)))
        time_s = time_s[np.concatenate(([True], np.diff(time_s) > 1e-6))]
    force_n = np.full(len(time_s), options.cord_n)
    # Within a piece the shape wanders about the athlete's own.
    names = list(FAMILIES) if options.family == "mixed" else [options.family]
    family = FAMILIES[names[int(rng.integers(len(names)))]]
    own = int(rng.integers(1 << 30))
    pulls = []
    x = np.linspace(0.0, 1.0, FINE)
    for start, drive, is_half in zip(starts, drives, half, strict=True):
        own_rng = np.random.default_rng(own if rng.random() < 0.8 else int(rng.integers(1 << 30)))
        curve = family(x, own_rng) * (1.0 + 0.04 * np.sin(2 * np.pi * (x + rng.random())))
        if rng.random() < options.gives:
            deep, at = rng.uniform(0.2, 0.6), rng.uniform(0.35, 0.6)
            curve = curve * (1.0 - deep * np.exp(-(((x - at) / 0.06) ** 2)))
        curve = curve / curve.max()
        peak_n = options.peak_n * rng.normal(1.0, 0.04) * (0.75 if is_half else 1.0)
        inside = slice(*np.searchsorted(time_s, [start, start + drive]))
        force_n[inside] += peak_n * np.interp((time_s[inside] - start) / drive, x, curve)
        above = np.flatnonzero(curve >= 0.05)
        first, last = above[0], above[-1]
        catch = first - (curve[first] - 0.05) / (curve[first] - curve[first - 1])
        finish = last + (curve[last] - 0.05) / (curve[last] - curve[last + 1])
        pulls.append(
            TruePull(
                start + drive * catch / (FINE - 1), start + drive * finish / (FINE - 1), is_half
            )
        )
    _tug(options, rng, time_s, force_n, starts, drives)
    return _spoil(options, rng, time_s, force_n), tuple(pulls)


def _timing(o: TraceOptions, rng: np.random.Generator) -> tuple[FloatArray, FloatArray, FloatArray]:
    period = 60.0 / (o.rate_spm * rng.normal(1.0, 0.015, o.strokes))
    drives = (1.12 - 0.0115 * o.rate_spm) * rng.normal(1.0, 0.02, o.strokes)
    half = np.zeros(o.strokes, dtype=bool)
    half[rng.choice(np.arange(3, o.strokes - 1), o.halves, replace=False)] = True
    drives = np.where(half, 0.6 * drives, drives)
    hold = np.zeros(o.strokes)
    hold[rng.choice(o.strokes - 1, o.pauses, replace=False)] = rng.uniform(5.0, 20.0, o.pauses)
    starts = 1.0 + np.concatenate(([0.0], np.cumsum(period + hold)[:-1]))
    return starts, drives, half


def _tug(
    o: TraceOptions,
    rng: np.random.Generator,
    time_s: FloatArray,
    force_n: FloatArray,
    starts: FloatArray,
    drives: FloatArray,
) -> None:
    """Small pulls and wiggles of 10-20 N on the recovery."""
    for end, after in zip((starts + drives)[:-1], starts[1:], strict=True):
        if rng.random() >= o.bumps or after - end < 0.6:
            continue
        centre, wide = rng.uniform(end + 0.25, after - 0.25), rng.uniform(0.03, 0.12)
        around = slice(*np.searchsorted(time_s, [centre - wide, centre + wide]))
        lift = rng.uniform(10.0, 20.0)
        force_n[around] += lift * np.cos(np.pi / 2 * (time_s[around] - centre) / wide) ** 2


def _spoil(
    o: TraceOptions, rng: np.random.Generator, time_s: FloatArray, force_n: FloatArray
) -> ForceTrace:
    drift = np.sin(2 * np.pi * time_s / 240.0 + rng.uniform(0, 6)) + time_s / time_s[-1]
    force_n = force_n + o.drift * o.peak_n * drift
    force_n = force_n + rng.normal(0.0, o.noise * o.peak_n, len(force_n)) if o.noise else force_n
    kept = rng.random(len(time_s)) >= o.dropouts
    return ForceTrace(time_s[kept], force_n[kept])
